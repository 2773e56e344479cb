"""The daybook: every entry, the chosen one in full, the proof, and what does not add up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from operator import attrgetter

from PySide6.QtCore import QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.daybook import (
    DaybookQuery,
    DaybookRow,
    EntryDetail,
    FindingRow,
)
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.daybook.columns import COLUMNS
from vault.screens.daybook.findings import FindingsFold
from vault.screens.daybook.pane import EntryPane
from vault.screens.daybook.proof import ProofStrip
from vault.screens.daybook.questions import DaybookQuestions
from vault.screens.daybook.tools import DaybookTools
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.models.paged_rows import PagedRows
from vault.screens.models.pages import PAGE
from vault.screens.numbers import Numbers
from vault.screens.screen import Chosen, Screen
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.table import Table
from vault.screens.widgets.table_card import TableCard

_CHOICE_PAUSE_MS = 60
_FULL, _EMPTY = 0, 1
_NO_ENTRY = "This daybook is empty"
_NO_ENTRY_WORDS = (
    "Everything that is received, weighed, worked and assayed stands here, in order and never "
    "altered. Receive a lot, or read a daybook in, to begin."
)
FINDINGS = "findings"


class DaybookRows(PagedRows[DaybookRow]):
    """The entries as the table shows them."""

    @override
    def is_struck(self, row: DaybookRow) -> bool:
        return row.struck_by is not None


class DaybookScreen(Screen):
    """Asks for the numbers of all entries, and for those that are seen."""

    def __init__(
        self,
        questions: DaybookQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._style = style
        self._query = DaybookQuery()
        self._wanted: int | None = None
        # An entry that was asked for by number stays chosen, also where the table has it not.
        self._is_held = False
        self._ask_numbers = background.asker(self)
        self._ask_rows = background.asker(self)
        self._ask_detail = background.asker(self)
        self._ask_findings = background.asker(self)
        self.proof = ProofStrip(questions.chain_proof, background, style)
        self.findings = FindingsFold()
        self.tools = DaybookTools()
        self.model = DaybookRows(style, COLUMNS, attrgetter("number"), self)
        self.table = Table(self.model, style, "Entries")
        self.table_card = TableCard(self.table, self.tools)
        self.pane = EntryPane(commands["strike"])
        self._choice_pause = QTimer(self)
        self._choice_pause.setSingleShot(True)
        self._choice_pause.setInterval(_CHOICE_PAUSE_MS)
        self._lay_out(commands)
        self._connect()

    def _lay_out(self, commands: Commands) -> None:
        below = QHBoxLayout()
        below.setSpacing(GAP)
        below.addWidget(self.table_card, 20)
        below.addWidget(self.pane, 11)
        full = QWidget()
        column = QVBoxLayout(full)
        column.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        column.setSpacing(10)
        column.addWidget(self.proof)
        column.addWidget(self.findings)
        column.addLayout(below, 1)
        self._pages = QStackedWidget()
        self._pages.addWidget(full)
        self._pages.addWidget(
            EmptyState(_NO_ENTRY, _NO_ENTRY_WORDS, [commands["receive"], commands["import"]])
        )
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages)
        self.setFocusProxy(self.table)

    def _connect(self) -> None:
        self.tools.changed.connect(self._on_tools_changed)
        self.model.rows_wanted.connect(self._on_rows_wanted)
        self.table.row_chosen.connect(self._on_row_chosen)
        for one in (self.pane, self.findings):
            one.item_wanted.connect(partial(self.place_wanted.emit, "safe"))
            one.entry_wanted.connect(self._choose_entry)
        self._choice_pause.timeout.connect(self._ask_for_detail)
        self._style.changed.connect(self._ask_for_detail)

    # --- what the window calls ------------------------------------------------------------------

    def refresh(self) -> None:
        """Ask for the entries and the findings anew."""
        self.proof.show_book(self.book)
        if self.book is None:
            for one in (self._ask_numbers, self._ask_rows, self._ask_detail, self._ask_findings):
                one.forget()
            self.model.show_numbers(())
            self.findings.show_findings(())
            self.pane.clear()
            return
        self._ask_for_numbers()
        self._ask_for_detail()
        self._ask_findings.ask(
            partial(self._questions.findings, self.book), self._on_findings_answered
        )

    def set_filter(self, text: str) -> None:
        """Show only the entries that hold every word of what is typed."""
        if text != self._query.text:
            self._is_held = False
            self._query = replace(self._query, text=text)
            self._ask_for_numbers()

    def choose(self, name: str) -> None:
        """Open the findings, or choose the entry of a number."""
        if name == FINDINGS:
            self.findings.open(wide=True)
            self.findings.button.setFocus()
        elif name.isdecimal():
            self._choose_entry(int(name))

    @override
    def chosen_things(self) -> Chosen:
        detail = self.pane.detail
        return Chosen(tags=() if detail is None else detail.row.tags, entry=self._wanted)

    def _choose_entry(self, number: int) -> None:
        self._wanted, self._is_held = number, True
        if self._query.text:
            self._query = replace(self._query, text="")
            self._ask_for_numbers()
        self._choose_again()
        self._ask_for_detail()

    # --- asking and answers ---------------------------------------------------------------------

    def _ask_for_numbers(self) -> None:
        if self.book is not None:
            self._ask_rows.forget()
            self._ask_numbers.ask(
                partial(first_page, self._questions, self.book, self._query, self._style.numbers),
                self._on_numbers_answered,
            )

    def _ask_for_detail(self) -> None:
        if self.book is not None and self._wanted is not None:
            self._ask_detail.ask(
                partial(self._questions.entry_detail, self.book, self._wanted, self._style.numbers),
                self._on_detail_answered,
            )

    def _on_numbers_answered(self, answer: FirstPage) -> None:
        self.model.show_numbers(answer.numbers, answer.rows)
        many = len(answer.numbers)
        told = self._style.numbers.count(many)
        self.tools.count.setText(f"{told} {'entry' if many == 1 else 'entries'}")
        is_everything = replace(self._query, newest_first=True) == DaybookQuery()
        self._pages.setCurrentIndex(_EMPTY if is_everything and not many else _FULL)
        if is_everything:
            self.proof.note_entries(many)
            self._prove_if_seen()
        # Before the table is seen again: Qt takes the first row where none is chosen yet.
        self._choose_again()
        if many:
            self.table_card.show_table()
        else:
            self.table_card.say("No entry is like that", _no_entry_words(self._query))

    def _choose_again(self) -> None:
        row = None if self._wanted is None else self.model.place_of(self._wanted)
        if row is not None:
            self.table.choose_row(row)
        elif not self._is_held:
            self._wanted = None
            self.pane.clear()
            if self.model.rowCount():
                self.table.choose_row(0)

    def _on_detail_answered(self, detail: EntryDetail) -> None:
        self.pane.show_detail(detail)

    def _on_findings_answered(self, findings: Sequence[FindingRow]) -> None:
        self.findings.show_findings(findings)

    def _prove_if_seen(self) -> None:
        # Only who opens the daybook wants it proven; it reads the whole book.
        if self.isVisible():
            self.proof.prove_once()

    # --- the reader -----------------------------------------------------------------------------

    def _on_tools_changed(self) -> None:
        self._query = replace(
            self._query,
            act=self.tools.wanted_act,
            struck_too=bool(self.tools.struck.value),
            newest_first=bool(self.tools.order.value),
        )
        self._ask_for_numbers()

    def _on_rows_wanted(self, numbers: list[int]) -> None:
        if self.book is not None:
            self._ask_rows.ask(
                partial(
                    self._questions.daybook_rows,
                    self.book,
                    tuple(numbers),
                    self._style.numbers,
                ),
                self.model.take_rows,
            )

    def _on_row_chosen(self, row: int) -> None:
        if row >= 0 and self.model.number_at(row) != self._wanted:
            self._wanted, self._is_held = self.model.number_at(row), False
            self._choice_pause.start()

    @override
    def leave(self) -> None:
        self._choice_pause.stop()
        self.proof.leave()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.findings.leave_room(self.height())

    @override
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._prove_if_seen()


@dataclass(frozen=True, slots=True)
class FirstPage:
    """The numbers of all entries, and the rows that are seen first."""

    numbers: tuple[int, ...]
    rows: Sequence[DaybookRow]


def first_page(
    questions: DaybookQuestions, book: object, query: DaybookQuery, numbers: Numbers
) -> FirstPage:
    """Ask which entries there are and for the first page of them."""
    found = questions.entry_numbers(book, query)
    return FirstPage(found, questions.daybook_rows(book, found[:PAGE], numbers))


def _no_entry_words(query: DaybookQuery) -> str:
    if query.text:
        return (
            f"Nothing matches “{query.text}” among what is chosen above. Press Escape in the scan "
            "field to empty it."
        )
    return "Choose every act, and struck ones too, to see all entries."
