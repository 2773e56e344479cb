"""What a shipment is made up of: containers and items, scanned or typed, each with its line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.bench import ItemBrief
from vault.application.queries.answers.shipments import PackedRow
from vault.core.tags import Scan
from vault.screens.forms.kit import FormKit
from vault.screens.look import ROW_HEIGHT
from vault.screens.models.sorted_rows import SortedRows
from vault.screens.shipments.columns import packed_columns
from vault.screens.widgets.fields import TROUBLE
from vault.screens.widgets.named_field import NamedField
from vault.screens.widgets.table import Table

_MISREAD = "That scan was misread; hold the scanner still and scan it once more."
_ROWS_SEEN = 4
_FRAME = 4


class PackingList(QWidget):
    """Keeps the names of what goes; the next is scanned or typed in the line above the table.

    Signals:
        edited: something came or went.
        taken: Enter in the empty line; all is there.
        row_chosen: the name of the row that is chosen; empty for none.
    """

    edited = Signal()
    taken = Signal()
    row_chosen = Signal(str)

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kit = kit
        self._asker = kit.background.asker(self)
        self._places: Mapping[str, int] = {}
        self.drums: list[str] = []
        self.tags: list[str] = []
        self._newest: tuple[str, ...] = ()
        self.line = NamedField(
            "what goes", "scan or type a container's place, or a tag; Enter once all is here"
        )
        self.model: SortedRows[PackedRow] = SortedRows(kit.style, lambda row: row.name, self)
        self.table = Table(self.model, kit.style, "What goes")
        self.table.setFixedHeight((_ROWS_SEEN + 1) * ROW_HEIGHT + _FRAME)
        self.remove = QPushButton("Take it off the list")
        self.remove.setToolTip("Leave the chosen line out of the shipment (Delete in the list)")
        self.remove.setAutoDefault(False)
        # As high as the line beside it: a style sheet sets aside what a button asks for itself.
        self.remove.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self._lay_out()
        self._connect()

    def offer(self, places: Mapping[str, int]) -> None:
        """Know these places, with how many residues lie in each."""
        self._places = places
        self.line.offer(places)

    def take(self, *, drums: Iterable[str] = (), tags: Iterable[str] = ()) -> None:
        """Put containers and items on the list, each once."""
        new = [one for one in drums if one not in self.drums]
        self.drums += new
        self.tags += (newer := [one for one in tags if one not in self.tags])
        # What came last is looked at next: a container wants to be weighed.
        self._newest = (*self._newest, *newer, *new)[-1:]
        self.edited.emit()

    def take_scan(self, text: str) -> None:
        """Take a container by its name, or the item of a scan."""
        if text in self.drums or text in self.tags:
            # Enter has the line look at itself once more, after this.
            QTimer.singleShot(0, self, partial(self._say_twice, text))
            return
        place = next((one for one in self._places if one.casefold() == text.casefold()), "")
        if place:
            self._took(partial(self.take, drums=[place]))
            return
        kit = self._kit
        self._asker.ask(
            partial(kit.questions.read_scan, kit.book, text), partial(self._on_scan, text)
        )

    def show_rows(self, rows: Sequence[PackedRow]) -> None:
        """Show what the list holds, as the book has it."""
        chosen = next(iter(self._newest), self.chosen)
        self._newest = ()
        self.model.show_rows(rows, packed_columns(rows))
        place = self.model.row_of(chosen)
        if rows:
            self.table.choose_row(len(rows) - 1 if place is None else place)
        self.remove.setEnabled(bool(rows))
        self.row_chosen.emit(self.chosen)

    @property
    def chosen(self) -> str:
        """The name of the row that is chosen; empty for none."""
        row = self.model.row_at(self.table.currentIndex().row())
        return "" if row is None else row.name

    def choose(self, name: str) -> None:
        """Choose the row of a name."""
        place = self.model.row_of(name)
        if place is not None:
            self.table.choose_row(place)

    # --- its own --------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self.line, 1)
        head.addWidget(self.remove, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(head)
        column.addWidget(self.table)
        self.setFocusProxy(self.line)

    def _connect(self) -> None:
        self.line.taken.connect(self._on_line_taken)
        self.remove.clicked.connect(self._on_remove_clicked)
        self.table.row_chosen.connect(lambda _row: self.row_chosen.emit(self.chosen))

    def _on_line_taken(self) -> None:
        if self.line.text:
            self.take_scan(self.line.text)
        else:
            self.taken.emit()

    def _on_scan(self, text: str, scan: Scan) -> None:
        if scan.is_misread:
            self.line.said_of_it.say(_MISREAD, TROUBLE)
            return
        tag = scan.tag or scan.text
        if tag in self.tags:
            self._say_twice(tag)
            return
        kit = self._kit
        self._asker.ask(
            partial(kit.questions.briefs, kit.book, (tag,)), partial(self._on_brief, text, tag)
        )

    def _on_brief(self, text: str, tag: str, found: Mapping[str, ItemBrief]) -> None:
        brief = found.get(tag)
        if brief is None:
            told = f"Nothing here is called {text}: no residues lie in such a place, and no item "
            self.line.said_of_it.say(f"{told}has that tag. Check it.", TROUBLE)
        elif brief.trouble:
            self.line.said_of_it.say(brief.trouble, TROUBLE)
        else:
            self._took(partial(self.take, tags=[tag]))

    def _took(self, take: Callable[[], None]) -> None:
        self.line.line.clear()
        self.line.said_of_it.say("")
        take()

    def _say_twice(self, name: str) -> None:
        self.line.line.clear()
        self.line.said_of_it.say(f"{name} is in the list already.")

    def _on_remove_clicked(self) -> None:
        name = self.chosen
        self.drums = [one for one in self.drums if one != name]
        self.tags = [one for one in self.tags if one != name]
        self.line.setFocus(Qt.FocusReason.OtherFocusReason)
        self.edited.emit()
