"""What is taken out of the open book: figures written out, a backup, and the proof of a check."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QDate, QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from vault.screens.background import Background
from vault.screens.choosers import BOOK_ENDING, Choosers
from vault.screens.desk import Desk
from vault.screens.doors import CheckToShow, Doors
from vault.screens.later import later

_ASK = later("vault.screens.write_out_dialog", "WriteOutDialog")
_SHOW_CHECK = later("vault.screens.dialogs", "CheckDialog")


class Copies(QObject):
    """Asks what and where to, and has it done in the background.

    Signals:
        told: a sentence on what was made and where it is.
        warned: the same, with what is not as it should be.
    """

    told = Signal(str)
    warned = Signal(str)

    def __init__(
        self,
        doors: Doors,
        background: Background,
        choosers: Choosers,
        desk: Desk,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._doors = doors
        self._background = background
        self._choosers = choosers
        self._desk = desk
        self._window = window

    def write_out(self) -> None:
        """Ask what is to be written out, and where to."""
        self.write_out_this("")

    def write_out_this(self, what: str) -> None:
        """Ask the same where the reader looks at something that can be written out."""
        dialog = _ASK(self._window, what=what)
        dialog.accepted.connect(lambda: self._choose_file(dialog.what.value, dialog.kind.value))
        dialog.open()

    def back_up(self) -> None:
        """Ask where to, and make a proven copy of the book there."""
        book, path = self._desk.book, self._desk.path
        if book is None or path is None:
            return
        day = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        proposed = path.with_name(f"{path.stem} {day}{BOOK_ENDING}")
        to = self._choosers.backup_to_make(self._window, proposed)
        if to is not None:
            self._background.run(
                lambda _progress, _stopped: self._doors.back_up(book, to),
                partial(self._on_backed_up, path, to),
                words=f"Copying to {to.name} …",
            )

    def check(self) -> None:
        """Prove that the book is whole, and show what came of it."""
        book = self._desk.book
        if book is not None:
            self._background.run(
                lambda progress, stopped: self._doors.check(book, progress, stopped),
                self._on_checked,
                words="Checking the book …",
            )

    def _choose_file(self, what: str, kind: str) -> None:
        book, path = self._desk.book, self._desk.path
        if book is None or path is None:
            return
        proposed = path.with_name(f"{path.stem} {what}.{kind}")
        to = self._choosers.file_to_write(self._window, proposed)
        if to is not None:
            self._write_out(book, what, to)

    def _write_out(self, book: object, what: str, to: Path) -> None:
        self._background.run(
            lambda progress, stopped: self._doors.write_out(book, what, to, progress, stopped),
            partial(self._on_done, f"The {what} was written to {to}."),
            words=f"Writing {to.name} …",
        )

    def _on_backed_up(self, path: Path, to: Path, lost: Sequence[str]) -> None:
        told = f"{path.name} was copied to {to} and the copy was proven."
        if lost:
            photos = "1 photo was" if len(lost) == 1 else f"{len(lost)} photos were"
            self.warned.emit(
                f"{told} {photos} missing or altered before, and so in the copy: {lost[0]}"
            )
        else:
            self.told.emit(told)

    def _on_done(self, sentence: str, _answer: object) -> None:
        self.told.emit(sentence)

    def _on_checked(self, check: CheckToShow) -> None:
        _SHOW_CHECK(check, self._window).open()
