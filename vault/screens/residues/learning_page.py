"""What the house has learnt: a factor over time, all of them at once, and where doubt is from."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.learning import Learning
from vault.application.queries.answers.residues import Residues
from vault.screens.background import Background
from vault.screens.charts.loading import loading_of_charts
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.residues.factor_card import FactorCard
from vault.screens.residues.keeps_card import KeepsCard
from vault.screens.widgets.labels import label

# Below this width the cards stand one below the other.
_NARROW = 900


class LearningPage(QWidget):
    """Asks what was learnt when it is opened.

    Signals:
        left: the reader goes back to the residues.
    """

    left = Signal()

    def __init__(
        self,
        learning_of: Callable[[object], Learning],
        background: Background,
        style: HouseStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._learning_of = learning_of
        self._asker = background.asker(self)
        self._loading = loading_of_charts(background, self)
        self._book: object | None = None
        self._residues: Residues | None = None
        self._metal = ""
        self.back = QPushButton("Back to the residues")
        self.back.setToolTip("Back to the residues (Escape)")
        self.back.clicked.connect(self.left)
        leave = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        leave.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        leave.activated.connect(self.left)
        self.factor = FactorCard(style)
        self.factor.metal_chosen.connect(self._on_metal_chosen)
        self.keeps = KeepsCard(style)
        self._lay_out()
        self.setFocusProxy(self.back)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.addWidget(
            label("What the house has learnt of its residues", size=Size.HEADING, bold=True)
        )
        head.addStretch(1)
        head.addWidget(self.back)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        column.setSpacing(GAP)
        column.addLayout(head)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._row.setSpacing(GAP)
        self._row.addWidget(self.factor, 3)
        self._row.addWidget(self.keeps, 2)
        column.addLayout(self._row, 1)
        page = QScrollArea()
        page.setWidgetResizable(True)
        page.setFrameShape(QFrame.Shape.NoFrame)
        page.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        page.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        page.setWidget(inside)
        inside.setAutoFillBackground(False)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(page)

    def show_book(self, book: object | None, residues: Residues | None, metal: str) -> None:
        """Ask what was learnt in a book; of this metal first."""
        self._book, self._residues, self._metal = book, residues, metal
        if book is None or residues is None:
            self._asker.forget()
            self.factor.show_learning(Learning(()), "")
            return
        self.keeps.show_metal(residues, metal)
        self._loading.then(self._on_loaded)

    def _on_loaded(self) -> None:
        if self._book is not None and self._residues is not None:
            self._asker.ask(partial(self._learning_of, self._book), self._on_learning_answered)

    def _on_learning_answered(self, learning: Learning) -> None:
        self.factor.show_learning(learning, self._metal)

    def _on_metal_chosen(self, metal: str) -> None:
        self._metal = metal
        if self._residues is not None:
            self.keeps.show_metal(self._residues, metal)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        across = self.width() >= _NARROW
        way = QBoxLayout.Direction.LeftToRight if across else QBoxLayout.Direction.TopToBottom
        self._row.setDirection(way)
