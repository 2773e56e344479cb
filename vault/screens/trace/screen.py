"""The trace: where an item's metal came from and where it went, to be walked and saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.trace import (
    MAIN_METAL,
    NodeKind,
    Trace,
    TraceNode,
    TraceQuestion,
    TraceRow,
)
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.numbers import day
from vault.screens.screen import Screen
from vault.screens.trace.choices import Choices
from vault.screens.trace.layout import Layout, Measures
from vault.screens.trace.page import PictureNotSaved, TracePage, save_page
from vault.screens.trace.table import TraceTable
from vault.screens.trace.view import TraceScene, TraceView
from vault.screens.trace.wording import Set, Wording, set_of
from vault.screens.widgets.cards import Card
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.labels import ElidedLabel

# Up to this many boxes the layout takes a few hundredths of a second and is done at once.
MOST_BOXES_AT_ONCE = 200
_KINDS = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png)"
_NOTHING_ASKED = (
    "Nothing is being traced",
    "Choose an item in the Safe or a lot under Lots, and press “Trace it”.",
)


@dataclass(frozen=True, slots=True)
class TraceQuestions:
    """What the trace may ask of a book.

    Attributes:
        trace: the answer to a question; raises a `VaultError` where a tag or lot is unknown.
        foot: one line for the foot of a saved page: whose book, and the head of its chain.
    """

    trace: Callable[[object, TraceQuestion], Trace]
    foot: Callable[[object], str]


class TraceScreen(Screen):
    """Picture and table of one trace at a time."""

    has_own_bar = True

    def __init__(
        self,
        questions: TraceQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
        today: Callable[[], date] = date.today,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._style = style
        self._commands = commands
        self._today = today
        # What the reader chose holds from trace to trace; until then, the metal there is most of.
        self._metal = MAIN_METAL
        self._question: TraceQuestion | None = None
        self._came_from: list[TraceQuestion] = []
        self._trace: Trace | None = None
        self._asker = background.asker(self)
        self._layouter = background.asker(self)
        self._build()
        self._connect()
        self._show_empty(*_NOTHING_ASKED)

    # --- what the window calls ------------------------------------------------------------------

    @override
    def show_book(self, book: object | None) -> None:
        self._asker.forget()
        self._layouter.forget()
        self._book = book
        self._question = None
        self._came_from = []
        self._trace = None
        self._show_empty(*_NOTHING_ASKED)

    @override
    def choose(self, name: str) -> None:
        kind, _, what = name.partition(" ")
        if kind == "lot":
            self.trace("", what)
        else:
            self.trace(what)

    def trace(self, tag: str, lot: str = "") -> None:
        """Trace an item back to its lots, or a lot forward; the metal chosen stays if it can."""
        metal = self._metal
        self._came_from = []
        self._ask(TraceQuestion(tag=tag, lot=lot, metal=metal, backward=not lot, forward=bool(lot)))

    @override
    def refresh(self) -> None:
        if self._question is not None:
            self._ask(self._question)

    @override
    def set_filter(self, text: str) -> None:
        # What is scanned is walked to, if it is in the picture.
        wanted = text.strip().casefold()
        if not wanted or self._trace is None:
            return
        for node in self._trace.nodes:
            if wanted in {node.tag.casefold(), node.lot.casefold()}:
                self.view.walk_to(node.key)
                return

    @override
    def leave(self) -> None:
        self._asker.forget()
        self._layouter.forget()
        self.view.clear()

    # --- slots ----------------------------------------------------------------------------------

    def go_back(self) -> None:
        """Go back to the trace before this one, or leave."""
        if self._came_from:
            self._ask(self._came_from.pop())
        else:
            self._commands["back"].trigger()

    def save_to(self, path: Path) -> None:
        """Save picture and table to a file; its ending says the kind."""
        if self._trace is None or self._book is None:
            return
        page = TracePage(
            self._trace,
            self._style.numbers,
            day(self._today()),
            self._questions.foot(self._book),
        )
        try:
            save_page(page, path)
        except PictureNotSaved as error:
            self.told.emit(str(error))
        else:
            self.told.emit(f"Saved as {path}.")

    def _on_save_clicked(self) -> None:
        if self._trace is None:
            return
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        name = self._trace.title.replace(" ", "-").replace("/", "-")
        chosen, kind = QFileDialog.getSaveFileName(
            self, "Save this trace", f"{folder}/{name}.pdf", _KINDS
        )
        if chosen:
            path = Path(chosen)
            self.save_to(path if path.suffix else path.with_suffix(kind[-5:-1]))

    def _on_choices_changed(self) -> None:
        if self._question is not None:
            if self.choices.metal != self._question.metal:
                self._metal = self.choices.metal
            self._ask(
                replace(
                    self._question,
                    metal=self.choices.metal,
                    backward=self.choices.backward,
                    forward=self.choices.forward,
                    unfolded=frozenset(),
                )
            )

    def _on_view_refocused(self, node: TraceNode) -> None:
        if node.kind is NodeKind.WORK and node.entry is not None:
            self.place_wanted.emit("daybook", str(node.entry))
        elif node.kind is NodeKind.LOT and node.lot:
            self._walk_on(TraceQuestion(lot=node.lot, backward=False, forward=True))
        elif node.tag:
            self._walk_on(TraceQuestion(tag=node.tag))

    def _on_row_entered(self, row: TraceRow) -> None:
        if row.lot:
            self._walk_on(TraceQuestion(lot=row.lot, backward=False, forward=True))
        elif row.tag:
            self._walk_on(TraceQuestion(tag=row.tag))

    def _on_row_chosen(self, row: TraceRow) -> None:
        """Stand on the box that a line of the table is about, if it is in the picture."""
        self.set_filter(row.tag or row.lot)

    def _on_view_unfolded(self, key: str) -> None:
        if self._question is not None:
            self._ask(replace(self._question, unfolded=self._question.unfolded | {key}))

    def _on_view_pointed(self, words: str) -> None:
        self.read_out.setText(words)

    def _on_style_changed(self) -> None:
        if self._trace is not None:
            self._show(self._trace)

    # --- asking and showing ---------------------------------------------------------------------

    def _walk_on(self, question: TraceQuestion) -> None:
        """Trace something else, and remember where the reader came from."""
        if self._question is None:
            return
        if (question.tag, question.lot) == (self._question.tag, self._question.lot):
            return
        self._came_from.append(self._question)
        self._ask(replace(question, metal=self._metal))

    def _ask(self, question: TraceQuestion) -> None:
        if self._book is None:
            return
        self._question = question
        self.read_out.setText("Asking the book …")
        self._layouter.forget()
        self._asker.ask(
            partial(self._questions.trace, self._book, question),
            self._on_answered,
            self._on_failed,
        )

    def _on_answered(self, trace: Trace) -> None:
        self._trace = trace
        self._question = trace.question
        self._show(trace)

    def _on_failed(self, error: BaseException) -> None:
        self._trace = None
        if not is_trouble(error):
            self._background.failed.emit(error)
            return
        self._show_empty("This cannot be traced", sentence_of(error))

    def _show(self, trace: Trace) -> None:
        self.title.setText(trace.title)
        self.choices.show_trace(trace)
        self.table.show_trace(trace, self._style.numbers, self._style.look)
        self._pages.setCurrentWidget(self._body)
        self.save.setEnabled(True)
        made = set_of(Wording(trace, self._style.numbers))
        measures = Measures(room=self._room())
        if len(trace.nodes) <= MOST_BOXES_AT_ONCE:
            self._draw(trace, made, made.laid_out(measures))
            return
        self.read_out.setText(f"Laying out {len(trace.nodes)} boxes …")
        self._layouter.ask(partial(made.laid_out, measures), partial(self._draw, trace, made))

    def _draw(self, trace: Trace, made: Set, layout: Layout) -> None:
        wording = Wording(trace, self._style.numbers)
        scene = TraceScene(wording, made, layout, self._style.look, self.view)
        before = self.view.current
        keys = {node.key for node in trace.nodes}
        end = next((node.key for node in trace.nodes if node.is_end), "")
        stays = before is not None and before.key in keys and bool(trace.question.unfolded)
        self.view.show_scene(scene, stand_on=before.key if stays and before else end)

    def _room(self) -> float:
        """Give the height for the ribbons: about two fifths of what is seen."""
        return min(420.0, max(180.0, self.view.viewport().height() * 0.46))

    def _show_empty(self, heading: str, words: str) -> None:
        self._empty.say(heading, words)
        self.title.setText("Trace")
        self.save.setEnabled(False)
        self.view.clear()
        self._pages.setCurrentWidget(self._empty)

    # --- building -------------------------------------------------------------------------------

    def _build(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._built_bar())
        self._pages = QStackedWidget()
        self._body = self._built_body()
        self._empty = EmptyState(*_NOTHING_ASKED)
        self._pages.addWidget(self._body)
        self._pages.addWidget(self._empty)
        column.addWidget(self._pages, 1)

    def _built_bar(self) -> QWidget:
        bar = QWidget()
        bar.setObjectName("top_bar")
        bar.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        row = QHBoxLayout(bar)
        row.setContentsMargins(20, 12, 20, 12)
        row.setSpacing(14)
        self.back = QPushButton("Back")
        self.title = ElidedLabel(size=Size.HEADING, bold=True)
        self.save = QPushButton("Save as picture or PDF")
        self.save.setShortcut(QKeySequence(QKeySequence.StandardKey.Save))
        self.save.setToolTip("Save the trace as PNG, SVG or PDF (Ctrl+S)")
        row.addWidget(self.back)
        row.addWidget(self.title, 1)
        row.addWidget(self.save)
        return bar

    def _built_body(self) -> QWidget:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(20, 16, 20, 16)
        parts = QSplitter(Qt.Orientation.Vertical)
        parts.setChildrenCollapsible(False)
        parts.setHandleWidth(GAP)
        self.table = TraceTable()
        parts.addWidget(self._built_picture())
        parts.addWidget(self.table)
        parts.setStretchFactor(0, 1)
        parts.setSizes([600, 216])
        column.addWidget(parts)
        return body

    def _built_picture(self) -> QWidget:
        card = Card(padding=12)
        self.choices = Choices()
        self.view = TraceView()
        self.read_out = ElidedLabel(size=Size.SECOND)
        self.read_out.setAccessibleName("What the pointer or the keyboard is on")
        card.column.addWidget(self.choices)
        card.column.addWidget(self.view, 1)
        card.column.addWidget(self.read_out)
        return card

    def _connect(self) -> None:
        self.back.clicked.connect(self.go_back)
        self.save.clicked.connect(self._on_save_clicked)
        self.choices.changed.connect(self._on_choices_changed)
        self.table.row_chosen.connect(self._on_row_chosen)
        self.table.row_entered.connect(self._on_row_entered)
        self.view.refocused.connect(self._on_view_refocused)
        self.view.unfolded.connect(self._on_view_unfolded)
        self.view.pointed.connect(self._on_view_pointed)
        self.view.back_wanted.connect(self.go_back)
        self._style.changed.connect(self._on_style_changed)
