"""The Safe: cards above, items below, the chosen item beside them."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.items import (
    ItemDetail,
    ItemIndex,
    ItemQuery,
    ItemRow,
)
from vault.application.queries.answers.safe import Safe
from vault.screens.background import Background, Stopped
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.models.item_columns import Column
from vault.screens.models.item_model import ItemModel, packed
from vault.screens.models.pages import PAGE
from vault.screens.photos.pictures import Pictures
from vault.screens.safe.card_row import CardRow
from vault.screens.safe.item_pane import ItemPane
from vault.screens.safe.item_tools import HIDDEN_AT_FIRST, ItemTools
from vault.screens.safe.item_view import ItemView
from vault.screens.safe.questions import SafeQuestions
from vault.screens.safe.stock_fold import StockFold
from vault.screens.screen import Chosen, Screen
from vault.screens.settings.choices import Choices
from vault.screens.widgets.cards import Card
from vault.screens.widgets.empty import EmptyState
from vault.screens.words import items as items_words

_CHOICE_PAUSE_MS = 60
# So long an answer may take before it is said that it takes long.
_PATIENCE_MS = 300
_LOOKING = "looking through all items …"
_ITEMS, _NO_ITEMS = 0, 1
_FULL, _EMPTY = 0, 1
_STOCK_IS_OPEN = "stock_over_time"
_HIDDEN_COLUMNS = "hidden_columns_of_items"


class SafeScreen(Screen):
    """Asks for the cards and for the items apart, so that each is shown as soon as it is there."""

    def __init__(
        self,
        questions: SafeQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
        choices: Choices,
    ) -> None:
        super().__init__()
        self._choices = choices
        self._questions = questions
        self._style = style
        self._query = ItemQuery()
        self._wanted_tag = ""
        # A tag that was asked for by name stays chosen, also where the table does not show it.
        self._is_held = False
        # The first item, chosen by nobody, gives way to another that comes to stand first.
        self._is_unasked = self._is_choosing_first = False
        self._ask_safe = background.asker(self)
        self._ask_index = background.asker(self)
        self._ask_rows = background.asker(self)
        self._ask_detail = background.asker(self)
        self.cards = CardRow(style)
        self.tools = ItemTools(style)
        self.model = ItemModel(style, self)
        self.view = ItemView(self.model, style)
        self.pane = ItemPane(style, commands, Pictures(background, self))
        self.stock = StockFold(questions.stock_series, background, style)
        self._choice_pause = QTimer(self)
        self._choice_pause.setSingleShot(True)
        self._choice_pause.setInterval(_CHOICE_PAUSE_MS)
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(_PATIENCE_MS)
        self._lay_out(commands)
        self._connect(commands)

    def _lay_out(self, commands: Commands) -> None:
        self._items_or_words = QStackedWidget()
        self._items_or_words.addWidget(self.view)
        self._no_items = EmptyState("", "")
        self._items_or_words.addWidget(self._no_items)
        table = Card(padding=1)
        table.column.setContentsMargins(1, 1, 1, 1)
        table.column.addWidget(self.tools)
        table.column.addWidget(self._items_or_words, 1)
        left = QVBoxLayout()
        left.setSpacing(8)
        left.addWidget(table, 1)
        left.addWidget(self.stock)
        below = QHBoxLayout()
        below.setSpacing(GAP)
        # The pane gives way only where the table would become too narrow to read.
        below.addLayout(left, 20)
        below.addWidget(self.pane, 11)
        full = QWidget()
        column = QVBoxLayout(full)
        column.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        column.setSpacing(GAP)
        column.addWidget(self.cards)
        column.addLayout(below, 1)
        self._pages = QStackedWidget()
        self._pages.addWidget(full)
        self._pages.addWidget(
            EmptyState(
                "This book is empty",
                "Receive the first lot: what a customer brought, bag by bag. Or read a daybook in: "
                "the CSV or XLSX file of an old notebook or spreadsheet.",
                [commands["receive"], commands["import"]],
            )
        )
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages)
        self.setFocusProxy(self.view)

    def _connect(self, commands: Commands) -> None:
        self.tools.changed.connect(self._on_tools_changed)
        self.tools.columns.hidden = self._choices.words(_HIDDEN_COLUMNS, HIDDEN_AT_FIRST)
        self.model.hide_columns(self.tools.columns.hidden)
        self.tools.columns_changed.connect(self._on_columns_changed)
        self.model.rows_wanted.connect(self._on_rows_wanted)
        self.view.item_chosen.connect(self._on_item_chosen)
        self.view.sort_wanted.connect(self._on_sort_wanted)
        self.view.trace_wanted.connect(commands["trace"].trigger)
        self.pane.lot_wanted.connect(self._on_lot_wanted)
        self.pane.entry_wanted.connect(self._on_entry_wanted)
        self.pane.shipment_wanted.connect(partial(self.place_wanted.emit, "shipments"))
        self.cards.findings_wanted.connect(self._on_findings_wanted)
        commands["trace"].triggered.connect(self._on_trace_triggered)
        commands["print_tag"].triggered.connect(self._on_print_tag_triggered)
        self._choice_pause.timeout.connect(self._ask_for_detail)
        self._patience.timeout.connect(self._on_patience_over)
        self.tools.stopped.connect(self._on_tools_stopped)
        self.stock.open(wide=self._choices.flag(_STOCK_IS_OPEN))
        self.stock.opened.connect(self._on_stock_opened)
        self._style.changed.connect(self._on_style_changed)

    # --- what the window calls ------------------------------------------------------------------

    @override
    def show_book(self, book: object | None) -> None:
        if book is not self.book:
            self.model.clear()
        super().show_book(book)

    def refresh(self) -> None:
        """Ask for the cards and the items anew."""
        book = self.book
        if book is None:
            for asker in (self._ask_safe, self._ask_index, self._ask_rows, self._ask_detail):
                asker.forget()
            self.model.clear()
            self.pane.clear()
            return
        self._ask_safe.ask(partial(self._questions.safe, book), self._on_safe_answered)
        self._ask_for_index()
        self._ask_for_detail()

    def set_filter(self, text: str) -> None:
        """Show only the items that match what is typed."""
        if text != self._query.text:
            self._is_held = False
            self._query = replace(self._query, text=text)
            self._ask_for_index()

    def choose(self, name: str) -> None:
        """Choose the item of a tag, wherever it is."""
        self._wanted_tag, self._is_held, self._is_unasked = name, True, False
        if self._query.text:
            self._query = replace(self._query, text="")
            self._ask_for_index()
        self._ask_for_detail()

    @override
    def chosen_things(self) -> Chosen:
        return Chosen(tags=(self._wanted_tag,) if self._wanted_tag else ())

    # --- asking ---------------------------------------------------------------------------------

    def _ask_for_index(self) -> None:
        if self.book is not None:
            # Where the table changes altogether the first page of a long list is shown first;
            # asked anew of the same, the table stays as it is until all is there.
            is_news = self.model.query != self._query
            self._ask_for_items(replace(self._query, most=PAGE) if is_news else self._query)

    def _ask_for_items(self, query: ItemQuery) -> None:
        self._ask_rows.forget()
        self._ask_index.ask_while_wanted(
            partial(first_page, self._questions, self.book, query), self._on_index_answered
        )
        if self.model.query != self._query:
            self._patience.start()

    def _ask_for_detail(self) -> None:
        if self.book is not None and self._wanted_tag:
            self._ask_detail.ask(
                partial(
                    self._questions.item_detail,
                    self.book,
                    self._wanted_tag,
                    self._style.numbers,
                ),
                self._on_detail_answered,
            )

    # --- answers --------------------------------------------------------------------------------

    def _on_safe_answered(self, safe: Safe) -> None:
        self._pages.setCurrentIndex(_EMPTY if safe.last_entry == 0 else _FULL)
        self.cards.show_safe(safe)
        self.stock.show_book(self.book, tuple(card.metal for card in safe.cards))

    def _on_index_answered(self, answer: FirstPage) -> None:
        index = answer.index
        self._patience.stop()
        self.model.show_index(index, answer.rows, answer.today)
        self.tools.columns.offer(self.model.offered)
        self._count()
        number = self.model.item_count
        self._items_or_words.setCurrentIndex(_ITEMS if number else _NO_ITEMS)
        if not number:
            self._no_items.say(*no_items_words(index.query))
        self._choose_again()
        if not index.is_whole:
            self._ask_for_items(self._query)

    def _count(self) -> None:
        number = self.model.item_count
        told = items_words(number, self._style.numbers.count(number))
        self.tools.count_items(told if self.model.is_whole else "…")

    def _choose_again(self) -> None:
        detail = self.pane.detail
        row = self.model.row_of_id(detail.row.id) if detail is not None else None
        gives_way = self._is_unasked and self.model.is_whole and row != self.view.first_row
        if row is not None and not gives_way:
            self.view.choose_row(row)
        elif gives_way or (not self._is_held and (self.model.is_whole or detail is None)):
            self._choose_first()

    def _choose_first(self) -> None:
        """Choose the first item, so that the pane is not empty; nobody has asked for it."""
        self._wanted_tag = ""
        self._ask_detail.forget()
        self.pane.clear()
        self._is_choosing_first = True
        self.view.choose_first()
        self._is_choosing_first = False

    def _on_detail_answered(self, detail: ItemDetail) -> None:
        self.pane.show_detail(detail)
        row = self.model.row_of_id(detail.row.id)
        if row is not None and row != self.view.currentIndex().row():
            self.view.choose_row(row)

    # --- the reader -----------------------------------------------------------------------------

    def _on_patience_over(self) -> None:
        if self._ask_index.is_waiting:
            self.tools.count_items(_LOOKING, waits=True)

    def _on_tools_stopped(self) -> None:
        """Stay with what is shown; what is typed as a filter stays in its field."""
        self._ask_index.forget()
        self._query = replace(self.model.query or ItemQuery(), text=self._query.text)
        self.tools.show_query(self._query)
        self._count()
        if not self.model.is_whole:
            self._ask_for_items(self._query)

    def _on_tools_changed(self) -> None:
        self._query = replace(
            self._query,
            group_by=self.tools.group_by,
            showing=self.tools.showing,
            metal=self.tools.metal,
        )
        self._ask_for_index()

    def _on_columns_changed(self, hidden: frozenset[str]) -> None:
        self._choices.remember_words(_HIDDEN_COLUMNS, hidden)
        self.model.hide_columns(hidden)
        self._choose_again()

    def _on_sort_wanted(self, column: Column) -> None:
        query = self._query
        same = (column.sort_by, column.metal) == (query.sort_by, query.sort_metal)
        if column.sort_by is not None:
            self._query = replace(
                query,
                sort_by=column.sort_by,
                sort_metal=column.metal,
                descending=not query.descending if same else False,
            )
            self._ask_for_index()

    def _on_rows_wanted(self, ids: array[int]) -> None:
        if self.book is not None:
            self._ask_rows.ask(
                partial(self._questions.item_rows, self.book, ids), self.model.take_rows
            )

    def _on_item_chosen(self, item: ItemRow | None) -> None:
        if item is not None and item.tag != self._wanted_tag:
            self._wanted_tag, self._is_held = item.tag, False
            self._is_unasked = self._is_choosing_first
            self._choice_pause.start()

    def _on_print_tag_triggered(self) -> None:
        if self.isVisible() and self._wanted_tag:
            self.tags_wanted.emit([self._wanted_tag])

    def _on_trace_triggered(self) -> None:
        if self.isVisible() and self._wanted_tag:
            self.trace_wanted.emit(self._wanted_tag, "")

    def _on_stock_opened(self, wide: bool) -> None:  # noqa: FBT001  what the signal carries
        self._choices.remember_flag(_STOCK_IS_OPEN, on=wide)

    def _on_style_changed(self) -> None:
        self.pane.restyle()
        self._ask_for_detail()

    def _on_lot_wanted(self, lot: str) -> None:
        self.trace_wanted.emit("", lot)

    def _on_entry_wanted(self, entry: int) -> None:
        self.place_wanted.emit("daybook", str(entry))

    def _on_findings_wanted(self) -> None:
        self.place_wanted.emit("daybook", "findings")

    @override
    def leave(self) -> None:
        self._choice_pause.stop()
        self._patience.stop()


@dataclass(frozen=True, slots=True)
class FirstPage:
    """Which items there are, and all that is needed to paint the first of them at once."""

    index: ItemIndex
    rows: Sequence[ItemRow]
    today: date


def first_page(
    questions: SafeQuestions, book: object, query: ItemQuery, stopped: Stopped
) -> FirstPage:
    """Ask which items there are and for their first page."""
    index = questions.item_index(book, query, stopped)
    first = packed(index.ids[:PAGE])
    rows = questions.item_rows(book, first) if first else ()
    return FirstPage(index, rows, questions.today(book))


def no_items_words(query: ItemQuery) -> tuple[str, str]:
    """Say why no item is shown and what to do."""
    if query.text:
        return (
            f"Nothing matches “{query.text}”",
            "Press Escape in the field above to empty it, or show everything, gone items too.",
        )
    return (
        "No item to show",
        "Nothing is of the kind chosen above; show everything to see what was here before.",
    )
