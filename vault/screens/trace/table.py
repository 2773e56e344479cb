"""The card below the picture: its table, and the sentence on how well the steps balance."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from vault.application.queries.answers.trace import Trace
from vault.screens.look import ROW_HEIGHT, Look, Size
from vault.screens.numbers import Numbers, metal_name
from vault.screens.trace.rows import RowsModel
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label

WIDEST_TABLE = 640
HINT = (
    "In the picture: arrows walk along the ribbons, Enter traces the box you stand on, "
    "+ and − zoom, 0 shows all, Backspace goes back."
)
LEAST_HEIGHT = 150


class TraceTable(Card):
    """Lots of an item, or where a lot's metal is; a line walks to its box.

    Signals:
        row_chosen: a `TraceRow` was clicked.
        row_entered: a `TraceRow` was double-clicked, or Enter pressed on it.
    """

    row_chosen = Signal(object)
    row_entered = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumHeight(LEAST_HEIGHT)
        self.heading = label(size=Size.TITLE, bold=True)
        self.footing = label(size=Size.SECOND, kind="soft", wrap=True)
        self.footing.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._model = RowsModel(self)
        self.table = QTableView()
        self._dress()
        words = QVBoxLayout()
        words.addWidget(self.heading)
        words.addWidget(self.footing)
        words.addStretch(1)
        words.addWidget(label(HINT, size=Size.SMALL, kind="soft", wrap=True))
        row = QHBoxLayout()
        row.setSpacing(28)
        row.addWidget(self.table, 3)
        row.addLayout(words, 2)
        self.column.addLayout(row, 1)
        self.table.clicked.connect(self._on_table_clicked)
        self.table.activated.connect(self._on_table_activated)

    def show_trace(self, trace: Trace, numbers: Numbers, look: Look) -> None:
        """Show the table of another trace."""
        self.heading.setText(heading_of(trace))
        self._model.show_trace(trace, numbers, look)
        self.footing.setText(trace.footing)

    def _dress(self) -> None:
        table = self.table
        table.setModel(self._model)
        table.setShowGrid(False)
        table.setMaximumWidth(WIDEST_TABLE)
        table.setAccessibleName("Table of the trace")
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setTextElideMode(Qt.TextElideMode.ElideRight)
        table.setWordWrap(False)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(ROW_HEIGHT)
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header = table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setHighlightSections(False)
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def _on_table_clicked(self, index: QModelIndex) -> None:
        row = self._model.row_at(index)
        if row is not None:
            self.row_chosen.emit(row)

    def _on_table_activated(self, index: QModelIndex) -> None:
        row = self._model.row_at(index)
        if row is not None:
            self.row_entered.emit(row)


def heading_of(trace: Trace) -> str:
    """Say what the table lists."""
    metal = metal_name(trace.question.metal) if trace.question.metal else "weight"
    if trace.question.backward and not trace.question.lot:
        return f"Its {metal}, by what it came from"
    return f"Where its {metal} is now"
