"""The table of items: rows of one height, headings across, marks beside the figures."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QFontMetrics,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)
from typing_extensions import override

from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.look import ROW_HEIGHT, Size, face
from vault.screens.models.item_columns import Column
from vault.screens.models.item_model import BOLD_ROLE, HEADING_ROLE, HOW_ROLE, ItemModel
from vault.screens.widgets.marks import MARK_SIZE, paint_mark

_PADDING = 8
_MARK_GAP = 5
_ALL = Qt.AlignmentFlag.AlignVCenter


class ItemDelegate(QStyledItemDelegate):
    """Paints a cell; a heading is painted piece by piece through the cells that it crosses."""

    def __init__(self, style: HouseStyle, view: QTableView) -> None:
        super().__init__(view)
        self._style = style
        self._view = view
        self._plain = face(Size.SECOND)
        self._bold = face(Size.SECOND, bold=True)

    def _paint_heading(self, painter: QPainter, cell: QRect, words: str) -> None:
        look = self._style.look
        painter.fillRect(cell, look.band)
        painter.setFont(self._bold)
        painter.setPen(look.ink)
        across = QRect(_PADDING, cell.top(), self._view.viewport().width(), cell.height())
        shown = painter.fontMetrics().elidedText(
            words, Qt.TextElideMode.ElideRight, across.width() - 2 * _PADDING
        )
        painter.drawText(across, _ALL, shown)

    def _paint_cell(
        self, painter: QPainter, cell: QRect, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        look = self._style.look
        words = str(index.data())
        right = bool(index.data(Qt.ItemDataRole.TextAlignmentRole) & Qt.AlignmentFlag.AlignRight)
        painter.setFont(self._bold if index.data(BOLD_ROLE) else self._plain)
        inside = cell.adjusted(_PADDING, 0, -_PADDING, 0)
        metrics = painter.fontMetrics()
        shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, inside.width())
        how = index.data(HOW_ROLE)
        painter.setPen(look.soft_ink if how is How.NOT_KNOWN else look.ink)
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        painter.drawText(inside, _ALL | side, shown)
        if isinstance(how, How):
            x = inside.right() - metrics.horizontalAdvance(shown) - _MARK_GAP - MARK_SIZE / 2
            # Half a pixel lower than the middle: digits have no descenders.
            paint_mark(painter, how, QPointF(x, QRectF(cell).center().y()), look.ink)

    @override
    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        cell: QRect = option.rect
        state: QStyle.StateFlag = option.state
        painter.save()
        painter.setClipRect(cell)
        heading = index.data(HEADING_ROLE)
        if heading is not None:
            self._paint_heading(painter, cell, str(heading))
        else:
            if state & QStyle.StateFlag.State_Selected:
                painter.fillRect(cell, self._style.look.chosen)
            self._paint_cell(painter, cell, index)
        # Filled and not drawn: at 125 or 150 % a drawn line leaves gaps between the columns.
        painter.fillRect(QRect(cell.left(), cell.bottom(), cell.width(), 1), self._style.look.line)
        painter.restore()


class ItemView(QTableView):
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
        super().__init__(parent)
        self._items = model
        self.setModel(model)
        self.setItemDelegate(ItemDelegate(style, self))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAccessibleName("Items")
        self._set_headers()
        self.selectionModel().currentRowChanged.connect(self._on_current_row_changed)
        self.doubleClicked.connect(self._on_double_clicked)
        model.modelReset.connect(self._fit_columns)

    def choose_row(self, row: int) -> None:
        """Choose a row and bring it into sight."""
        self.setCurrentIndex(self._items.index(row, 0))
        self.scrollTo(self._items.index(row, 0), QAbstractItemView.ScrollHint.EnsureVisible)

    def choose_first(self) -> None:
        """Choose the first item, if there is one."""
        for row in range(min(2, self._items.rowCount())):
            if not self._items.is_heading(row):
                self.choose_row(row)
                return

    def _set_headers(self) -> None:
        rows = self.verticalHeader()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_HEIGHT)
        rows.hide()
        header = self.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(40)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setFixedHeight(ROW_HEIGHT)
        header.sectionClicked.connect(self._on_header_clicked)

    def _fit_columns(self) -> None:
        """Give every column its least width, and what is left to those that take a share."""
        columns = self._items.columns
        metrics = QFontMetrics(face(Size.SECOND, bold=True))
        least = [_least_width(column, metrics) for column in columns]
        spare = max(0, self.viewport().width() - sum(least))
        shares = sum(column.share for column in columns) or 1
        for place, column in enumerate(columns):
            width = least[place] + spare * column.share // shares
            self.setColumnWidth(place, width)

    def _on_current_row_changed(self, current: QModelIndex, before: QModelIndex) -> None:
        row = current.row()
        if current.isValid() and self._items.is_heading(row):
            self._step_over_heading(row, before.row())
            return
        self.item_chosen.emit(self._items.item_at(row) if current.isValid() else None)

    def _step_over_heading(self, row: int, before: int) -> None:
        step = -1 if before > row else 1
        beyond = row + step
        if not 0 <= beyond < self._items.rowCount():
            beyond = before
        if beyond >= 0 and not self._items.is_heading(beyond):
            self.setCurrentIndex(self._items.index(beyond, 0))

    def _on_header_clicked(self, section: int) -> None:
        column = self._items.columns[section]
        if column.sort_by is not None:
            self.sort_wanted.emit(column)

    def _on_double_clicked(self, index: QModelIndex) -> None:
        if not self._items.is_heading(index.row()):
            self.trace_wanted.emit()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        row = self.currentIndex().row()
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self._items.words_of_row(row))
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and row >= 0:
            self.trace_wanted.emit()
        else:
            super().keyPressEvent(event)


def _least_width(column: Column, metrics: QFontMetrics) -> int:
    text = max(metrics.horizontalAdvance(column.sample), metrics.horizontalAdvance(column.title))
    return text + 2 * _PADDING + 2
