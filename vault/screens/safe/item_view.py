"""The table of items: groups with headings across."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QRect, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QTableView, QWidget
from typing_extensions import override

from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face
from vault.screens.models.item_model import ItemModel
from vault.screens.models.roles import Cell
from vault.screens.widgets.table import MIDDLE, PADDING, CellDelegate, Place, Table


class ItemDelegate(CellDelegate):
    """Paints a cell; a heading is painted piece by piece through the cells that it crosses."""

    def __init__(self, style: HouseStyle, view: QTableView) -> None:
        super().__init__(style, view)
        self._view = view
        self._bold = face(Size.SECOND, bold=True)

    @override
    def paint_words(self, painter: QPainter, room: Place, cell: Cell) -> None:
        if cell.heading:
            self._paint_heading(painter, room, cell.heading)
        else:
            super().paint_words(painter, room, cell)

    def _paint_heading(self, painter: QPainter, room: Place, words: str) -> None:
        look = self._style.look
        painter.fillRect(*room, look.band)
        painter.setFont(self._bold)
        painter.setPen(look.ink)
        across = QRect(PADDING, room[1], self._view.viewport().width(), room[3])
        shown = painter.fontMetrics().elidedText(
            words, Qt.TextElideMode.ElideRight, across.width() - 2 * PADDING
        )
        painter.drawText(across, MIDDLE, shown)


class ItemView(Table):
    """The table itself.

    Signals:
        item_chosen: an item was chosen (`ItemRow`), or None.
        sort_wanted: a `Column` by which to sort.
        trace_wanted: Enter on an item, or a double click.
    """

    item_chosen = Signal(object)
    sort_wanted = Signal(object)
    trace_wanted = Signal()

    def __init__(self, model: ItemModel, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(model, style, "Items", parent)
        self._items = model
        self.setItemDelegate(ItemDelegate(style, self))
        self.title_clicked.connect(self._on_title_clicked)
        self.row_entered.connect(self._on_row_entered)

    @property
    def first_row(self) -> int | None:
        """The row of the first item, if there is one; at most a heading stands above it."""
        rows = range(min(2, self._items.rowCount()))
        return next((row for row in rows if not self._items.is_heading(row)), None)

    def choose_first(self) -> None:
        """Choose the first item, if there is one."""
        if self.first_row is not None:
            self.choose_row(self.first_row)

    def _step_over_heading(self, row: int, before: int) -> None:
        step = -1 if before > row else 1
        beyond = row + step
        if not 0 <= beyond < self._items.rowCount():
            beyond = before
        if beyond >= 0 and not self._items.is_heading(beyond):
            self.setCurrentIndex(self._items.index(beyond, 0))

    def _on_title_clicked(self, section: int) -> None:
        column = self._items.columns[section]
        if column.sort_by is not None:
            self.sort_wanted.emit(column)

    def _on_row_entered(self, _row: int) -> None:
        self.trace_wanted.emit()

    @override
    def may_be_entered(self, row: int) -> bool:
        return row >= 0 and not self._items.is_heading(row)

    @override
    def words_of_row(self, row: int) -> str:
        return self._items.words_of_row(row)

    @override
    def _on_current_row_changed(self, current: QModelIndex, before: QModelIndex) -> None:
        row = current.row()
        if current.isValid() and self._items.is_heading(row):
            self._step_over_heading(row, before.row())
            return
        self.item_chosen.emit(self._items.item_at(row) if current.isValid() else None)
