"""Where the Work screen begins: what to start with, what was begun, and what was done lately."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from vault.application.queries.answers.bench import RecentWork
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.models.sorted_rows import SortedRows
from vault.screens.widgets.cards import Card
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import FlowLayout
from vault.screens.widgets.lettered import give_letter
from vault.screens.widgets.table import Table
from vault.screens.widgets.table_card import TableCard
from vault.screens.work.columns import work_columns
from vault.screens.work.processes import WAYS
from vault.screens.work.recorded import RecordedCard
from vault.screens.work.sheet import Sheet

_FULL, _EMPTY = 0, 1
_NOTHING = "Nothing was worked yet"
_NOTHING_WORDS = (
    "Choose above what was done; scan what went in, weigh what came out, and the balance stands "
    "beside it before it is recorded. What is worked has to be in the book first: receive a lot, "
    "or read a daybook in."
)


class WorksPage(QWidget):
    """Big buttons that start a work, and the works done lately.

    Signals:
        begun: the reader starts a work; the word of its process.
        gone_on: the reader goes on with what was begun.
        thrown_away: the reader throws away what was begun.
        entry_wanted: the number of an entry to be shown in the daybook.
    """

    begun = Signal(str)
    gone_on = Signal()
    thrown_away = Signal()
    entry_wanted = Signal(int)

    def __init__(
        self, style: HouseStyle, *, prints: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._style = style
        self._works: Sequence[RecentWork] = ()
        self.recorded = RecordedCard(prints=prints)
        self.begun_card = BegunCard()
        self.start_buttons: dict[str, QPushButton] = {}
        self.model: SortedRows[RecentWork] = SortedRows(style, lambda row: str(row.number), self)
        self.table = Table(self.model, style, "Works done lately")
        self.table_card = TableCard(self.table)
        self._lay_out()
        self.begun_card.go_on_button.clicked.connect(self.gone_on)
        self.begun_card.throw_away_button.clicked.connect(self.thrown_away)
        self.table.row_entered.connect(self._on_row_entered)
        style.changed.connect(self.restyle)

    def show_works(self, works: Sequence[RecentWork]) -> None:
        """Show the works done lately; painted anew only where they are others than before."""
        if tuple(works) == tuple(self._works):
            return
        self._works = works
        self.model.show_rows(works, work_columns())
        self._pages.setCurrentIndex(_FULL if works else _EMPTY)

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        self.model.show_rows(self._works, work_columns())

    def begin(self) -> None:
        """Put the hand where it goes first."""
        if self.recorded.isVisibleTo(self):
            self.recorded.go_in()
        elif self.begun_card.isVisibleTo(self):
            self.begun_card.go_on_button.setFocus()
        else:
            next(iter(self.start_buttons.values())).setFocus()

    def _lay_out(self) -> None:
        starts = QWidget()
        flow = FlowLayout(starts, spacing=10)
        for way in WAYS:
            button = QPushButton()
            letter = give_letter(button, _capital(way.chip))
            button.setProperty("kind", "tall")
            done = f"Record that something was done: {way.process.value}"
            button.setToolTip(f"{done} (Alt+{letter})")
            button.setAccessibleName(way.process.value)
            button.setAutoDefault(True)
            button.clicked.connect(partial(self.begun.emit, way.process.value))
            flow.addWidget(button)
            self.start_buttons[way.process.value] = button
        self._pages = QStackedWidget()
        self._pages.addWidget(self.table_card)
        self._pages.addWidget(EmptyState(_NOTHING, _NOTHING_WORDS))
        column = QVBoxLayout(self)
        column.setContentsMargins(GAP + 6, GAP, GAP + 6, GAP)
        column.setSpacing(GAP - 4)
        column.addWidget(label("Record work", size=Size.HEADING, bold=True))
        column.addWidget(starts)
        column.addWidget(self.recorded)
        column.addWidget(self.begun_card)
        column.addWidget(self._pages, 1)

    def _on_row_entered(self, at: int) -> None:
        row = self.model.row_at(at)
        if row is not None:
            self.entry_wanted.emit(row.number)


def _capital(words: str) -> str:
    """Begin words with a capital, also where `&` stands before it."""
    at = words.startswith("&")
    return f"{words[:at]}{words[at].upper()}{words[at + 1 :]}"


class BegunCard(Card):
    """Says what was begun and not recorded; hidden where nothing was."""

    def __init__(self) -> None:
        super().__init__()
        self.words = label(wrap=True)
        self.go_on_button = QPushButton("Go on with it")
        self.go_on_button.setProperty("kind", "first")
        self.throw_away_button = QPushButton("Throw it away")
        self.throw_away_button.setProperty("kind", "tall")
        self.go_on_button.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        for one in (self.go_on_button, self.throw_away_button):
            one.setAutoDefault(True)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.words, 1)
        row.addWidget(self.go_on_button)
        row.addWidget(self.throw_away_button)
        self.column.addLayout(row)
        self.hide()

    def show_sheet(self, sheet: Sheet, *, came_back: bool) -> None:
        """Say what was begun; `came_back` where the program ended in the middle of it."""
        what = sheet.process or "a work"
        tags = ", ".join(one.tag for one in sheet.used[:4])
        more = f" and {len(sheet.used) - 4} more" if len(sheet.used) > 4 else ""
        of = f" of {tags}{more}" if tags else ""
        told = f"Begun and not recorded: {what}{of}."
        if came_back:
            told += " The program ended in the middle of it; all but the last field came back."
        self.words.setText(told)
        self.show()
