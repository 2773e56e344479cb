"""Residues: what is still locked up, in which container, how sure that is, and why."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.residues import Container, Residues
from vault.application.queries.answers.send_out import SendOut
from vault.core.words import searched_for
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, ROW_HEIGHT
from vault.screens.models.sorted_rows import SortedRows
from vault.screens.residues.chart_card import LEARNT, ChartCard
from vault.screens.residues.columns import container_columns
from vault.screens.residues.container_card import ContainerCard
from vault.screens.residues.learning_page import LearningPage
from vault.screens.residues.locked_card import LockedCard
from vault.screens.residues.questions import ResiduesQuestions
from vault.screens.residues.verdict_card import VerdictCard
from vault.screens.screen import Chosen, Screen
from vault.screens.send_out.why_dialog import WhyDialog
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.table import Table
from vault.screens.widgets.table_card import TableCard

_FULL, _NOTHING, _NOT_YET, _LEARNT = 0, 1, 2, 3
_LEAST_ROWS_SEEN = 4
_FRAME = 4
# Below this width the cards stand one below the other.
_NARROW = 720

_NOTHING_HERE = "No residues on hand"
_NOTHING_HERE_WORDS = (
    "Slag, spent cupels, dust and worn crucibles that a work leaves behind appear here with what "
    "is still locked up in them. Read a daybook in, or record works with what they leave."
)
_NOT_WORKED_OUT = "What is locked up is not worked out yet"
_NOT_WORKED_OUT_WORDS = (
    "What residues still hold follows from the balance of the works around them. It appears here "
    "as soon as the figures are worked out."
)


class ResiduesScreen(Screen):
    """Asks for the residues at once, and for the chart of the metal of choice.

    Signals:
        record_wanted: the yearly record of residues is to be printed.
    """

    record_wanted = Signal()

    def __init__(
        self,
        questions: ResiduesQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._style = style
        self._commands = commands
        self._residues: Residues | None = None
        self._filter = ""
        self._wanted = ""
        self._asker = background.asker(self)
        self._record_asker = background.asker(self)
        self._assay_asker = background.asker(self)
        self._choice_asker = background.asker(self)
        self._choice: SendOut | None = None
        self.locked = LockedCard(style)
        self.chart = ChartCard(questions.residue_series, background, style)
        self.model: SortedRows[Container] = SortedRows(style, _name_of, self)
        self.table = Table(self.model, style, "Containers")
        self.table_card = TableCard(self.table)
        self.container = ContainerCard(style)
        self.verdict = VerdictCard(commands)
        self.learning = LearningPage(questions.learning, background, style)
        self.learnt = QAction(LEARNT, self)
        self.learnt.setToolTip("What was learnt of what slag, cupels and dust keep, over time")
        self._lay_out(commands)
        self._connect()

    def _lay_out(self, commands: Commands) -> None:
        self._top, self._low = QBoxLayout(_ACROSS), QBoxLayout(_ACROSS)
        for row, cards in (
            (self._top, (self.locked, self.chart)),
            (self._low, (self.container, self.verdict)),
        ):
            row.setSpacing(GAP)
            for card in cards:
                row.addWidget(card, 1)
        self._low.setStretch(0, 2)
        self.table_card.setMinimumHeight((_LEAST_ROWS_SEEN + 1) * ROW_HEIGHT + _FRAME)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        column.setSpacing(GAP)
        column.addLayout(self._top)
        column.addWidget(self.table_card, 1)
        column.addLayout(self._low, 1)
        # A window too low for all of it is scrolled.
        page = QScrollArea()
        page.setWidgetResizable(True)
        page.setFrameShape(QFrame.Shape.NoFrame)
        page.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        page.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        page.setWidget(inside)
        inside.setAutoFillBackground(False)
        self._pages = QStackedWidget()
        self._pages.addWidget(page)
        self._pages.addWidget(
            EmptyState(
                _NOTHING_HERE,
                _NOTHING_HERE_WORDS,
                [commands["import"], commands["shipments"], self.learnt],
            )
        )
        self._pages.addWidget(
            EmptyState(_NOT_WORKED_OUT, _NOT_WORKED_OUT_WORDS, [commands["work_out"]])
        )
        self._pages.addWidget(self.learning)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages)
        self.setFocusProxy(self.table)

    def _connect(self) -> None:
        self.table.row_chosen.connect(self._on_row_chosen)
        self.table.row_entered.connect(self._on_row_entered)
        self.table.title_clicked.connect(self._on_title_clicked)
        self.verdict.items_wanted.connect(self._on_verdict_items_wanted)
        self.verdict.lines_wanted.connect(self._on_verdict_lines_wanted)
        self.chart.metal_chosen.connect(self._show_metal)
        self.chart.learnt.clicked.connect(self.learnt.trigger)
        self.learnt.triggered.connect(self._on_learnt_triggered)
        self.learning.left.connect(self._on_learning_left)
        self.locked.record.paper_wanted.connect(self.record_wanted)
        self.locked.record.file_wanted.connect(partial(self.write_out_wanted.emit, "turnover"))
        self._style.changed.connect(self._show)

    # --- what the window calls ------------------------------------------------------------------

    def refresh(self) -> None:
        """Ask for the residues anew."""
        if self.book is None:
            self._residues = None
            self._asker.forget()
            self._record_asker.forget()
            self._ask_next_assay("")
            self.chart.forget()
            self.model.show_rows((), ())
            self._show_container(None)
            self.learning.show_book(None, None, "")
            return
        self._asker.ask(partial(self._questions.residues, self.book), self._on_residues_answered)
        self._record_asker.ask(
            partial(self._questions.yearly_record, self.book), self.locked.record.show_record
        )

    def set_filter(self, text: str) -> None:
        """Show only the containers that hold every word of what is typed."""
        if text != self._filter:
            self._filter = text
            self._show_containers()

    def choose(self, name: str) -> None:
        """Choose the container in a place."""
        self._wanted = name
        self._choose_again()

    @override
    def chosen_things(self) -> Chosen:
        container = self.container.container
        return Chosen(container="" if container is None else container.place)

    # --- answers --------------------------------------------------------------------------------

    def _on_residues_answered(self, residues: Residues) -> None:
        self._residues = residues
        self._show()
        self.chart.show_book(self.book, tuple(residues.totals))

    def _show(self) -> None:
        residues = self._residues
        if residues is None:
            return
        if residues.figures_of is None:
            self._pages.setCurrentIndex(_NOT_YET)
            return
        if self._pages.currentIndex() == _LEARNT:
            self.learning.show_book(self.book, residues, self._metal())
        else:
            self._pages.setCurrentIndex(_FULL if residues.containers else _NOTHING)
        self._show_metal()
        self._show_containers()

    def _metal(self) -> str:
        """Give the metal of choice, or the first that is locked up."""
        totals = {} if self._residues is None else self._residues.totals
        chosen = str(self.chart.metal.value)
        return chosen if chosen in totals else next(iter(totals), "")

    def _show_metal(self) -> None:
        """Show all metals, and what would make the one of choice surer."""
        if self._residues is not None:
            self.locked.show_residues(self._residues)
            self._ask_next_assay(self._metal())

    def _ask_next_assay(self, metal: str) -> None:
        if self.book is None or not metal:
            self._assay_asker.forget()
            self.locked.show_next_assay(None)
            return
        self._assay_asker.ask(
            partial(self._questions.next_assay, self.book, metal), self.locked.show_next_assay
        )

    def _show_containers(self) -> None:
        if self._residues is None:
            return
        words = searched_for(self._filter.casefold())
        rows = [
            one
            for one in self._residues.containers
            if all(word in _searched(one) for word in words)
        ]
        self.model.show_rows(rows, container_columns(self._residues.containers))
        # No higher than its rows: the room is better used below.
        least = max(_LEAST_ROWS_SEEN, len(self._residues.containers))
        self.table_card.setMaximumHeight((least + 1) * ROW_HEIGHT + _FRAME)
        # Before the table is seen again: Qt takes the first row where none is chosen yet.
        self._choose_again()
        if rows:
            self.table_card.show_table()
        else:
            self.table_card.say(
                f"No container matches “{self._filter}”",
                "Press Escape in the field above to empty it.",
            )

    def _choose_again(self) -> None:
        rows = (self.model.row_at(at) for at in range(self.model.rowCount()))
        wanted = [at for at, row in enumerate(rows) if row is not None and _is(row, self._wanted)]
        if self.model.rowCount():
            self.table.choose_row(wanted[0] if wanted else 0)
        else:
            self._show_container(None)

    def _show_container(self, container: Container | None) -> None:
        """Show a container, and ask what could be done with it."""
        self._choice = None
        self.container.show_container(container)
        self.verdict.show_container(container)
        if container is None:
            self._choice_asker.forget()
            return
        keys = [(container.place, container.form)]
        question = partial(self._questions.choice, self.book, keys, self._style.numbers)
        self._choice_asker.ask(question, self._on_choice_answered)

    def _on_choice_answered(self, choice: SendOut) -> None:
        self._choice = choice
        self.container.choice.show_choice(choice)
        self.verdict.show_choice(choice)

    # --- the reader -----------------------------------------------------------------------------

    def _on_row_chosen(self, row: int) -> None:
        container = self.model.row_at(row)
        if container is not None:
            self._wanted = _key_of(container)
            self._show_container(container)

    def _on_learnt_triggered(self) -> None:
        self._pages.setCurrentIndex(_LEARNT)
        self.learning.show_book(self.book, self._residues, self._metal())
        self.learning.setFocus()

    def _on_learning_left(self) -> None:
        has_residues = self._residues is not None and bool(self._residues.containers)
        self._pages.setCurrentIndex(_FULL if has_residues else _NOTHING)
        self.table.setFocus()

    def _on_row_entered(self, row: int) -> None:
        self._on_items_wanted(self.model.row_at(row))

    def _on_verdict_items_wanted(self) -> None:
        self._on_items_wanted(self.container.container)

    def _on_verdict_lines_wanted(self) -> None:
        container = self.container.container
        if container is not None and self._choice is not None:
            subject = container.place or container.form
            WhyDialog(subject, self._choice, self._style, self._commands, self).open()

    def _on_items_wanted(self, container: Container | None) -> None:
        if container is not None:
            self.items_wanted.emit(quoted(container.place, container.form))

    def _on_title_clicked(self, place: int) -> None:
        column = self.model.columns[place]
        if column.key is not None:
            self.model.sort_by(column.title)
            self._choose_again()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        way = _DOWN if self.width() < _NARROW else _ACROSS
        for row in (self._top, self._low):
            row.setDirection(way)


_ACROSS, _DOWN = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom


def quoted(*names: str) -> str:
    """Give names as the scan field takes them, each to be found as a whole: `"drum C" slag`."""
    return " ".join(f'"{name}"' if " " in name else name for name in names if name)


def _name_of(container: Container) -> tuple[str, str]:
    return (container.place, container.form)


def _key_of(container: Container) -> str:
    return f"{container.place}\n{container.form}"


def _is(container: Container, wanted: str) -> bool:
    return bool(wanted) and wanted in {_key_of(container), container.place}


def _searched(container: Container) -> str:
    return "\n".join((container.place, container.form, *container.owners)).casefold()
