"""What every screen is to the window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from vault.core.daybook import Process


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is chosen on a screen, for a form that is to be about it.

    Attributes:
        tags: items.
        container: the name of a container.
        entry: the number of an entry, None where none is chosen.
        shipment: the number of a shipment.
    """

    tags: tuple[str, ...] = ()
    container: str = ""
    entry: int | None = None
    shipment: str = ""


class Screen(QWidget):
    """One screen of the rail: it shows a book, asks anew when told, and lets go at the end.

    Signals:
        trace_wanted: tag, lot; one of the two is empty.
        place_wanted: name of a screen of the rail, and what to choose there.
        items_wanted: words that the items to be shown in the Safe hold, as the scan field has them.
        tags_wanted: tags that are to be printed.
        told: a sentence for the reader, about something that can be put right.
        write_out_wanted: the name of what is to be written to a file, of those that can be.
        work_wanted: a `Process`, and the tags of items with which a work is to be begun.
    """

    trace_wanted = Signal(str, str)
    place_wanted = Signal(str, str)
    items_wanted = Signal(str)
    tags_wanted = Signal(object)
    told = Signal(str)
    write_out_wanted = Signal(str)
    work_wanted = Signal(object, object)

    has_own_bar = False  # it brings its own line of tools in place of the window's scan field

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._book: object | None = None

    @property
    def book(self) -> object | None:
        """The book shown, or None."""
        return self._book

    def show_book(self, book: object | None) -> None:
        """Show another book, or none."""
        self._book = book
        self.refresh()

    def refresh(self) -> None:
        """Ask everything anew, since something changed or another book lies open."""
        raise NotImplementedError

    def set_filter(self, text: str) -> None:
        """Take what is typed in the scan field, letter by letter; not every screen filters."""

    def choose(self, name: str) -> None:
        """Choose the thing of this name: a tag, a lot, an entry; nothing where it is not here."""

    def work_on(self, process: Process, tags: Sequence[str]) -> None:
        """Begin a work with items; only the screen of works does."""

    def scanned(self, text: str) -> bool:
        """Take a scan: a tag, or the text itself where it names none; tell whether it was of use.

        What a screen has no use for is looked for as if it had been typed in the scan field.
        """
        del text
        return False

    def chosen_things(self) -> Chosen:
        """Give what is chosen here; nothing unless the screen says otherwise."""
        return Chosen()

    def leave(self) -> None:
        """Let go of everything, since the window closes."""
