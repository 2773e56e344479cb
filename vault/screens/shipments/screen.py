"""Shipments: all that went to refineries, how far each is, and the chosen one beside."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.shipments import ShipmentDetail, ShipmentRow, Way
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.models.sorted_rows import SortedRows
from vault.screens.screen import Chosen, Screen
from vault.screens.shipments.list_columns import list_columns
from vault.screens.shipments.pane import ShipmentPane
from vault.screens.shipments.questions import ShipmentsQuestions
from vault.screens.widgets.cards import Note
from vault.screens.widgets.empty import EmptyState, button_of
from vault.screens.widgets.labels import ElidedLabel
from vault.screens.widgets.table import Table
from vault.screens.widgets.table_card import TableCard

_CHOICE_PAUSE_MS = 60
_FULL, _EMPTY = 0, 1
_NONE_YET = "Nothing was sent to a refinery yet"
_NONE_YET_WORDS = (
    "A shipment is what goes to a refinery under one number: drums with all that lies in them, and "
    "single items. Make one up, and it stands here until it is settled."
)


class ShipmentsScreen(Screen):
    """Asks for the shipments at once, and for all about the one that is chosen.

    Signals:
        papers_wanted, own_estimate_wanted: an entry that sent one, of which papers are wanted.
    """

    papers_wanted = Signal(int)
    own_estimate_wanted = Signal(int)

    def __init__(
        self,
        questions: ShipmentsQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._style = style
        self._filter = ""
        self._wanted = ""
        self._ask_rows = background.asker(self)
        self._ask_detail = background.asker(self)
        self._ask_unnumbered = background.asker(self)
        self.unnumbered = Note()
        self.model: SortedRows[ShipmentRow] = SortedRows(style, lambda row: row.ref, self)
        self.table = Table(self.model, style, "Shipments")
        self.count = ElidedLabel(kind="soft", size=Size.SECOND)
        self.make_up_button = button_of(commands["ship"])
        self.table_card = TableCard(self.table, self._tools())
        self.pane = ShipmentPane(style, commands["settle"])
        self._choice_pause = QTimer(self, singleShot=True, interval=_CHOICE_PAUSE_MS)
        self._lay_out(commands)
        self._connect()

    def _tools(self) -> QWidget:
        tools = QWidget()
        row = QHBoxLayout(tools)
        row.setContentsMargins(12, 10, 12, 8)
        row.setSpacing(8)
        row.addWidget(self.count, 1)
        row.addWidget(self.make_up_button)
        return tools

    def _lay_out(self, commands: Commands) -> None:
        full = QWidget()
        row = QHBoxLayout(full)
        row.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        row.setSpacing(GAP)
        row.addWidget(self.table_card, 18)
        row.addWidget(self.pane, 11)
        self._pages = QStackedWidget()
        self._pages.addWidget(full)
        self._pages.addWidget(EmptyState(_NONE_YET, _NONE_YET_WORDS, [commands["ship"]]))
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages, 1)
        below = QHBoxLayout()
        below.setContentsMargins(GAP + 6, 0, GAP + 6, GAP)
        below.addWidget(self.unnumbered)
        outer.addLayout(below)
        self.unnumbered.hide()
        self.setFocusProxy(self.table)

    def _connect(self) -> None:
        self.table.row_chosen.connect(self._on_row_chosen)
        self.table.title_clicked.connect(self._on_title_clicked)
        self.pane.item_wanted.connect(partial(self.place_wanted.emit, "safe"))
        self.pane.entry_wanted.connect(self._on_entry_wanted)
        self.pane.papers_wanted.connect(self.papers_wanted)
        self.pane.own_estimate_wanted.connect(self.own_estimate_wanted)
        self._choice_pause.timeout.connect(self._ask_for_detail)
        self._style.changed.connect(self.refresh)

    # --- what the window calls ------------------------------------------------------------------

    def refresh(self) -> None:
        """Ask for the shipments and the chosen one anew."""
        if self.book is None:
            self._ask_rows.forget()
            self._ask_detail.forget()
            self._ask_unnumbered.forget()
            self._on_unnumbered_answered("")
            self._wanted = ""
            self.model.show_rows((), ())
            self.pane.clear()
            return
        self._ask_for_rows()
        self._ask_for_detail()
        question = partial(self._questions.sent_without_number, self.book)
        self._ask_unnumbered.ask(question, self._on_unnumbered_answered)

    def set_filter(self, text: str) -> None:
        """Show only the shipments that hold every word of what is typed."""
        if text != self._filter:
            self._filter = text
            self._ask_for_rows()

    def choose(self, name: str) -> None:
        """Choose the shipment of a number."""
        if name:
            self._wanted, self._filter = name, ""
            self._ask_for_rows()
            self._ask_for_detail()
        self.setFocus()

    @override
    def chosen_things(self) -> Chosen:
        return Chosen(shipment=self._wanted)

    @override
    def leave(self) -> None:
        self._choice_pause.stop()

    # --- asking and answers ---------------------------------------------------------------------

    def _ask_for_rows(self) -> None:
        if self.book is not None:
            question = partial(self._questions.shipments, self.book, self._filter)
            self._ask_rows.ask(question, self._on_rows_answered)

    def _ask_for_detail(self) -> None:
        if self.book is not None and self._wanted:
            numbers = self._style.numbers
            self._ask_detail.ask(
                partial(self._questions.shipment_detail, self.book, self._wanted, numbers),
                self._on_detail_answered,
            )

    def _on_rows_answered(self, rows: Sequence[ShipmentRow]) -> None:
        self.model.show_rows(rows, list_columns())
        self.count.setText(_count_words(rows))
        self._pages.setCurrentIndex(_FULL if rows or self._filter else _EMPTY)
        self._choose_again()
        if rows:
            self.table_card.show_table()
        else:
            self.table_card.say(
                f"No shipment matches “{self._filter}”",
                "Press Escape in the field above to empty it.",
            )

    def _choose_again(self) -> None:
        row = self.model.row_of(self._wanted)
        if row is not None:
            self.table.choose_row(row)
        elif self.model.rowCount():
            self._wanted = ""
            self.table.choose_row(0)
        else:
            self._wanted = ""
            self.pane.clear()

    def _on_unnumbered_answered(self, sentence: str) -> None:
        self.unnumbered.words.setText(sentence)
        self.unnumbered.setVisible(bool(sentence))

    def _on_detail_answered(self, detail: ShipmentDetail) -> None:
        if detail.row.ref == self._wanted:
            self.pane.show_detail(detail)

    # --- the reader -----------------------------------------------------------------------------

    def _on_row_chosen(self, at: int) -> None:
        row = self.model.row_at(at)
        if row is not None and row.ref != self._wanted:
            self._wanted = row.ref
            self._choice_pause.start()

    def _on_title_clicked(self, place: int) -> None:
        column = self.model.columns[place]
        if column.key is not None:
            self.model.sort_by(column.title)
            self._choose_again()

    def _on_entry_wanted(self, entry: int) -> None:
        self.place_wanted.emit("daybook", str(entry))


def _count_words(rows: Sequence[ShipmentRow]) -> str:
    out = sum(one.way is not Way.SETTLED for one in rows)
    many = "1 shipment" if len(rows) == 1 else f"{len(rows)} shipments"
    return f"{many}, {out} not settled" if out else f"{many}, all settled"
