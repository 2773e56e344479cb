"""A table as every screen has it: rows of one height, marks beside the figures, no grid.

The model tells what a cell is through `vault.screens.models.roles`; its `columns` tell how wide
they want to be.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import Protocol, cast

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QFont,
    QFontMetrics,
    QGuiApplication,
    QHelpEvent,
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
    QToolTip,
    QWidget,
)
from typing_extensions import override

from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.look import ROW_HEIGHT, Size, face
from vault.screens.models.roles import CELL_ROLE, Cell
from vault.screens.widgets.marks import MARK_SIZE, paint_mark

PADDING = 8
_MARK_GAP = 5
_ANY_WIDTH = 1_000_000
MIDDLE = Qt.AlignmentFlag.AlignVCenter
_RIGHT = int(MIDDLE | Qt.AlignmentFlag.AlignRight)
_LEFT = int(MIDDLE | Qt.AlignmentFlag.AlignLeft)

Index = QModelIndex | QPersistentModelIndex
# Left, top, width and height: of a rectangle of Qt each would be a call by itself (see `_cut_to`).
Place = tuple[int, int, int, int]


class Sized(Protocol):
    """A column, as far as its width goes.

    Attributes:
        title: what stands above it.
        sample: a long but likely text, by which its least width is set.
        share: how much of the width to spare it takes.
    """

    @property
    def title(self) -> str: ...  # noqa: D102  told above
    @property
    def sample(self) -> str: ...  # noqa: D102  told above
    @property
    def share(self) -> int: ...  # noqa: D102  told above


class CellDelegate(QStyledItemDelegate):
    """Paints a cell with its mark; what is cut short is told in full when pointed at."""

    def __init__(self, style: HouseStyle, parent: QWidget) -> None:
        super().__init__(parent)
        self._style = style

    def paint_words(self, painter: QPainter, room: Place, cell: Cell) -> None:
        """Paint what a cell says and the mark of how it is known."""
        look = self._style.look
        painter.setFont(_font_of(is_bold=cell.is_bold, is_struck=cell.is_struck))
        x, y, width, height = room
        x, width = x + PADDING, width - 2 * PADDING
        left = width
        if cell.after:
            left -= self._paint_after(painter, QRect(x, y, width, height), cell)
        shown, wide = _cut_to(left, cell.words, cell.is_bold, cell.is_struck)
        if cell.wants_attention:
            painter.setPen(look.attention)
        else:
            is_soft = cell.how is How.NOT_KNOWN or cell.is_struck
            painter.setPen(look.soft_ink if is_soft else look.ink)
        painter.drawText(x, y, width, height, _RIGHT if cell.is_right else _LEFT, shown)
        if cell.how is not None:
            centre = x + width - 1 - wide - _MARK_GAP - MARK_SIZE / 2
            # Half a pixel lower than the middle: digits have no descenders.
            paint_mark(painter, cell.how, QPointF(centre, y + height / 2), look.ink)

    def _paint_after(self, painter: QPainter, inside: QRect, cell: Cell) -> int:
        """Paint what follows a cell's words, at most in half of it; give the room it takes."""
        _, wide = _cut_to(_ANY_WIDTH, cell.words, cell.is_bold, cell.is_struck)
        painter.setFont(_font_of())
        painter.setPen(self._style.look.soft_ink)
        most = max(inside.width() - wide - PADDING, inside.width() // 2)
        shown, took = _cut_to(most, cell.after)
        took += PADDING
        left = inside.left() + min(wide + PADDING, inside.width() - took + PADDING)
        painter.drawText(inside.adjusted(left - inside.left(), 0, 0, 0), MIDDLE, shown)
        painter.setFont(_font_of(is_bold=cell.is_bold, is_struck=cell.is_struck))
        return took

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        rect: QRect = option.rect
        room = cast("Place", rect.getRect())
        look, cell = self._style.look, index.data(CELL_ROLE)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, look.chosen)
        # Words stay within their place by themselves, marks in a narrow column do not.
        is_tame = cell.how is None and not cell.after and not cell.heading
        if not is_tame:
            painter.save()
            painter.setClipRect(rect)
        self.paint_words(painter, room, cell)
        if not is_tame:
            painter.restore()
        # Filled and not drawn: at 125 or 150 % a drawn line leaves gaps between the columns.
        painter.fillRect(room[0], room[1] + room[3] - 1, room[2], 1, look.line)

    @override
    def helpEvent(
        self,
        event: QHelpEvent,
        view: QAbstractItemView,
        option: QStyleOptionViewItem,
        index: Index,
    ) -> bool:
        if event.type() is not QEvent.Type.ToolTip or not index.isValid():
            return super().helpEvent(event, view, option, index)
        QToolTip.showText(event.globalPos(), told_when_pointed_at(index, option.rect), view)
        return True


def told_when_pointed_at(index: Index, cell: QRect) -> str:
    """Give the words of a cell that is too narrow for them, or what its model has to add."""
    added = index.data(Qt.ItemDataRole.ToolTipRole)
    if added:
        return str(added)
    shown: Cell = index.data(CELL_ROLE)
    words = "\n".join(one for one in (shown.words, shown.after) if one)
    font = _font_of(is_bold=shown.is_bold, is_struck=shown.is_struck)
    width = QFontMetrics(font).horizontalAdvance(words)
    return words if width > cell.width() - 2 * PADDING else ""


# Qt lets other threads go first at every call, so that what is painted costs by the call: cells are
# measured once.
@lru_cache(maxsize=8192)
def _cut_to(
    width: int,
    words: str,
    is_bold: bool = False,  # noqa: FBT001, FBT002  as in `_font_of`; by place it is found sooner
    is_struck: bool = False,  # noqa: FBT001, FBT002
) -> tuple[str, int]:
    """Give words as they fit into a width, and how wide they are then."""
    metrics = QFontMetrics(_font_of(is_bold=is_bold, is_struck=is_struck))
    wide = metrics.horizontalAdvance(words)
    if wide <= width:
        return words, wide
    shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, width)
    return shown, metrics.horizontalAdvance(shown)


@cache
def _font_of(*, is_bold: bool = False, is_struck: bool = False) -> QFont:
    font = face(Size.SECOND, bold=is_bold)
    font.setStrikeOut(is_struck)
    return font


class Table(QTableView):
    """The table itself; what it shows and how it is sorted is the model's.

    Signals:
        row_chosen: another row is the current one, -1 for none.
        row_entered: Enter on a row, or a double click.
        title_clicked: the place of the column whose title was clicked.
    """

    row_chosen = Signal(int)
    row_entered = Signal(int)
    title_clicked = Signal(int)

    def __init__(
        self,
        model: QAbstractItemModel,
        style: HouseStyle,
        name: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.setItemDelegate(CellDelegate(style, self))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAccessibleName(name)
        self._set_headers()
        self.selectionModel().currentRowChanged.connect(self._on_current_row_changed)
        self.doubleClicked.connect(self._on_double_clicked)
        model.modelReset.connect(self.fit_columns)

    def choose_row(self, row: int) -> None:
        """Choose a row and bring it into sight."""
        index = self.model().index(row, 0)
        self.setCurrentIndex(index)
        self.scrollTo(index, QAbstractItemView.ScrollHint.EnsureVisible)

    def columns(self) -> Sequence[Sized]:
        """Give the columns of the model."""
        return getattr(self.model(), "columns", ())

    def words_of_row(self, row: int) -> str:
        """Give a row as text for the clipboard, its cells parted by tabs."""
        model = self.model()
        places = range(model.columnCount())
        return "\t".join(str(model.index(row, place).data() or "") for place in places)

    def may_be_entered(self, row: int) -> bool:
        """Tell whether Enter does something on a row."""
        return row >= 0

    def fit_columns(self) -> None:
        """Give every column its least width, and what is left to those that take a share."""
        columns = self.columns()
        metrics = QFontMetrics(face(Size.SECOND, bold=True))
        least = [_least_width(column, metrics) for column in columns]
        spare = max(0, self.viewport().width() - sum(least))
        shares = sum(column.share for column in columns) or 1
        for place, column in enumerate(columns):
            self.setColumnWidth(place, least[place] + spare * column.share // shares)

    def _set_headers(self) -> None:
        rows = self.verticalHeader()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_HEIGHT)
        rows.hide()
        header = self.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(40)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | MIDDLE)
        header.setFixedHeight(ROW_HEIGHT)
        header.sectionClicked.connect(self.title_clicked)

    def _on_current_row_changed(self, current: QModelIndex, before: QModelIndex) -> None:
        del before
        self.row_chosen.emit(current.row())

    def _on_double_clicked(self, index: QModelIndex) -> None:
        if self.may_be_entered(index.row()):
            self.row_entered.emit(index.row())

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        chosen = self.visualRect(self.currentIndex())
        was_seen = chosen.isValid() and 0 <= chosen.top() < event.oldSize().height()
        super().resizeEvent(event)
        self.fit_columns()
        if was_seen:
            # The chosen row does not slip out of sight when what stands above unfolds.
            self.scrollTo(self.currentIndex(), QAbstractItemView.ScrollHint.EnsureVisible)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        row = self.currentIndex().row()
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.words_of_row(row) if row >= 0 else "")
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and self.may_be_entered(row):
            self.row_entered.emit(row)
        else:
            super().keyPressEvent(event)


def _least_width(column: Sized, metrics: QFontMetrics) -> int:
    text = max(metrics.horizontalAdvance(column.sample), metrics.horizontalAdvance(column.title))
    return text + 2 * PADDING + 2
