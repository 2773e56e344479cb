"""Lots: what was received, how far it is, and the account of the chosen one beside."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.lots import LotDetail, LotRow
from vault.core.metals import ALL_SYMBOLS
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.lots.columns import NAME, lot_columns
from vault.screens.lots.pane import LotPane
from vault.screens.lots.questions import LotsQuestions
from vault.screens.models.cells import fine_title
from vault.screens.models.sorted_rows import SortedRows
from vault.screens.screen import Screen
from vault.screens.settings.choices import Choices
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.column_choice import ColumnChoice
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import MarkLegend
from vault.screens.widgets.table import Table
from vault.screens.widgets.table_card import TableCard

_CHOICE_PAUSE_MS = 60
_FULL, _EMPTY = 0, 1
_NO_LOT = "No lot was received yet"
_NO_LOT_WORDS = (
    "A lot is what one customer brought at one time. Receive one, or read a daybook in that says "
    "what was received; each lot then stands here with its account."
)
_OWN_ORDER = ("", "newest first")
_HIDDEN_COLUMNS = "hidden_columns_of_lots"
# Most shops see little of these; one click shows them.
_HIDDEN_AT_FIRST = frozenset(fine_title(one) for one in ALL_SYMBOLS if one not in {"Ag", "Au"})


class LotsScreen(Screen):
    """Asks for the lots at once, and for all about the one that is chosen.

    Signals:
        receipt_wanted: the number of the entry that received a lot.
    """

    receipt_wanted = Signal(int)

    def __init__(
        self,
        questions: LotsQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
        choices: Choices,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._choices = choices
        self._rows: Sequence[LotRow] = ()
        self._style = style
        self._filter = ""
        self._wanted = ""
        # A lot that was asked for by name stays chosen, also where the table does not show it.
        self._is_held = False
        self._ask_lots = background.asker(self)
        self._ask_detail = background.asker(self)
        self.model: SortedRows[LotRow] = SortedRows(style, lambda row: row.lot, self)
        self.table = Table(self.model, style, "Lots")
        self.order = Choice("Sorted by", [_OWN_ORDER])
        hidden = choices.words(_HIDDEN_COLUMNS, _HIDDEN_AT_FIRST)
        self.columns = ColumnChoice(hidden, always_shown=NAME)
        self.count = ElidedLabel(kind="soft", size=Size.SECOND)
        self.table_card = TableCard(self.table, self._tools())
        self.pane = LotPane(style, commands["trace"])
        self._choice_pause = QTimer(self)
        self._choice_pause.setSingleShot(True)
        self._choice_pause.setInterval(_CHOICE_PAUSE_MS)
        self._lay_out(commands)
        self._connect(commands)

    def _tools(self) -> QWidget:
        tools = QWidget()
        row = QHBoxLayout(tools)
        row.setContentsMargins(12, 10, 12, 8)
        row.setSpacing(8)
        row.addWidget(label("sorted by", kind="soft", size=Size.SECOND))
        row.addWidget(self.order)
        row.addWidget(self.columns)
        row.addWidget(self.count, 1)
        row.addWidget(MarkLegend(self._style))
        return tools

    def _lay_out(self, commands: Commands) -> None:
        full = QWidget()
        row = QHBoxLayout(full)
        row.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        row.setSpacing(GAP)
        # The pane gives way only where the table would become too narrow to read.
        row.addWidget(self.table_card, 18)
        row.addWidget(self.pane, 11)
        self._pages = QStackedWidget()
        self._pages.addWidget(full)
        self._pages.addWidget(self._empty(commands))
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages)
        self.setFocusProxy(self.table)

    @staticmethod
    def _empty(commands: Commands) -> EmptyState:
        return EmptyState(_NO_LOT, _NO_LOT_WORDS, [commands["receive"], commands["import"]])

    def _connect(self, commands: Commands) -> None:
        self.table.row_chosen.connect(self._on_row_chosen)
        self.table.row_entered.connect(commands["trace"].trigger)
        self.table.title_clicked.connect(self._on_title_clicked)
        self.order.chosen.connect(self._sort_by)
        self.columns.changed.connect(self._on_columns_changed)
        self.pane.item_wanted.connect(partial(self.place_wanted.emit, "safe"))
        self.pane.entry_wanted.connect(self._on_entry_wanted)
        self.pane.work_wanted.connect(self.work_wanted)
        self.pane.receipt_wanted.connect(self.receipt_wanted)
        commands["trace"].triggered.connect(self._on_trace_triggered)
        self._choice_pause.timeout.connect(self._ask_for_detail)
        self._style.changed.connect(self._on_style_changed)

    # --- what the window calls ------------------------------------------------------------------

    def refresh(self) -> None:
        """Ask for the lots and the chosen one anew."""
        if self.book is None:
            self._ask_lots.forget()
            self._ask_detail.forget()
            self.model.show_rows((), ())
            self.pane.clear()
            return
        self._ask_for_lots()
        self._ask_for_detail()

    def set_filter(self, text: str) -> None:
        """Show only the lots that hold every word of what is typed."""
        if text != self._filter:
            self._filter, self._is_held = text, False
            self._ask_for_lots()

    def choose(self, name: str) -> None:
        """Choose the lot of a name."""
        self._wanted, self._is_held = name, True
        if self._filter:
            self._filter = ""
            self._ask_for_lots()
        self._ask_for_detail()

    # --- asking and answers ---------------------------------------------------------------------

    def _ask_for_lots(self) -> None:
        if self.book is not None:
            self._ask_lots.ask(
                partial(self._questions.lots, self.book, self._filter), self._on_lots_answered
            )

    def _ask_for_detail(self) -> None:
        if self.book is not None and self._wanted:
            self._ask_detail.ask(
                partial(self._questions.lot_detail, self.book, self._wanted, self._style.numbers),
                self._on_detail_answered,
            )

    def _on_lots_answered(self, rows: Sequence[LotRow]) -> None:
        self._rows = rows
        self._show_rows()
        number = len(rows)
        told = self._style.numbers.count(number)
        self.count.setText(f"{told} {'lot' if number == 1 else 'lots'}")
        self._pages.setCurrentIndex(_FULL if rows or self._filter else _EMPTY)
        # Before the table is seen again: Qt takes the first row where none is chosen yet.
        self._choose_again()
        if rows:
            self.table_card.show_table()
        else:
            self.table_card.say(
                f"No lot matches “{self._filter}”", "Press Escape in the field above to empty it."
            )

    def _show_rows(self) -> None:
        columns = lot_columns(self._rows)
        self.columns.offer(tuple(one.title for one in columns))
        self.model.show_rows(
            self._rows, tuple(one for one in columns if one.title not in self.columns.hidden)
        )
        titles = [(one.title, one.title) for one in columns if one.key is not None]
        self.order.offer([_OWN_ORDER, *titles])

    def _choose_again(self) -> None:
        row = self.model.row_of(self._wanted)
        if row is not None:
            self.table.choose_row(row)
        elif not self._is_held:
            self._wanted = ""
            self.pane.clear()
            if self.model.rowCount():
                self.table.choose_row(0)

    def _on_detail_answered(self, detail: LotDetail) -> None:
        self.pane.show_detail(detail)
        row = self.model.row_of(detail.row.lot)
        if row is not None and row != self.table.currentIndex().row():
            self.table.choose_row(row)

    # --- the reader -----------------------------------------------------------------------------

    def _on_row_chosen(self, at: int) -> None:
        row = self.model.row_at(at)
        if row is not None and row.lot != self._wanted:
            self._wanted, self._is_held = row.lot, False
            self._choice_pause.start()

    def _on_title_clicked(self, place: int) -> None:
        column = self.model.columns[place]
        if column.key is not None:
            self._sort_by(column.title)

    def _sort_by(self, title: object) -> None:
        self.model.sort_by(str(title))
        self.order.choose(title)
        self._choose_again()

    def _on_columns_changed(self, hidden: frozenset[str]) -> None:
        self._choices.remember_words(_HIDDEN_COLUMNS, hidden)
        self._show_rows()
        self._choose_again()

    def _on_trace_triggered(self) -> None:
        if self.isVisible() and self._wanted:
            self.trace_wanted.emit("", self._wanted)

    def _on_entry_wanted(self, entry: int) -> None:
        self.place_wanted.emit("daybook", str(entry))

    def _on_style_changed(self) -> None:
        self.pane.restyle()
        self._ask_for_detail()

    @override
    def leave(self) -> None:
        self._choice_pause.stop()
