"""The list of terms sheets: two lines for each version, what it is and how it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.terms_sheets import SheetRow
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face
from vault.screens.terms_sheets.edits import NEW, Edits, Key

_NOT_SAVED = "not saved yet"
_HEIGHT = 52
_PADDING = 12
_LISTED = Qt.ItemDataRole.UserRole
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Listed:
    """One row: a version that is kept, or a sheet that is only begun.

    Attributes:
        key: refinery, name and version; `NEW` for one that is begun.
        name, party: as they are shown.
        words: how it stands.
        is_newest: whether it is the last version of its sheet.
        is_typed: whether something was typed in it that is not saved.
    """

    key: Key
    name: str
    party: str
    words: str
    is_newest: bool
    is_typed: bool

    @property
    def version(self) -> str:
        """Its version in words; empty for one that is begun."""
        return "" if self.key == NEW else f"v. {self.key[2]}"

    @property
    def told(self) -> str:
        """All of it, a line for each thing."""
        version = "" if self.key == NEW else f", version {self.key[2]}"
        return "\n".join(one for one in (f"{self.name}{version}", self.party, self.words) if one)


def listed(rows: Sequence[SheetRow], edits: Edits) -> tuple[Listed, ...]:
    """Give the rows: what is begun first, then every version."""
    begun = edits.of(NEW)
    new = () if begun is None else (_begun(begun["head"]),)
    return (*new, *(_kept(row, is_typed=row.key in edits) for row in rows))


def searched(row: Listed) -> str:
    """Give the words by which a row is found."""
    return f"{row.name}\n{row.party}\n{row.words}".casefold()


class SheetRows(QListWidget):
    """Shows the rows; one is chosen.

    Signals:
        row_chosen: the key of another row that the reader chose.
        row_entered: Enter on a row, or a double click.
    """

    row_chosen = Signal(object)
    row_entered = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Listed, ...] = ()
        self.setItemDelegate(_TwoLines(style, self))
        self.setAccessibleName("Terms sheets")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setUniformItemSizes(True)
        self.currentRowChanged.connect(self._on_current_row_changed)
        self.itemActivated.connect(self.row_entered)

    @property
    def rows(self) -> tuple[Listed, ...]:
        """The rows that are shown."""
        return self._rows

    def show_rows(self, rows: Sequence[Listed], wanted: Key) -> None:
        """Show these rows and choose the wanted one, or the first, without telling."""
        self.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
        if tuple(rows) != self._rows:
            self._rows = tuple(rows)
            self.clear()
            for row in rows:
                item = QListWidgetItem(row.told.replace("\n", ", "))
                item.setData(_LISTED, row)
                item.setToolTip(row.told)
                self.addItem(item)
        keys = [row.key for row in self._rows]
        at = keys.index(wanted) if wanted in keys else 0
        if at != self.currentRow():
            self.setCurrentRow(at)
            self.scrollToItem(self.currentItem())
        self.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here

    def _on_current_row_changed(self, at: int) -> None:
        if 0 <= at < len(self._rows):
            self.row_chosen.emit(self._rows[at].key)


class _TwoLines(QStyledItemDelegate):
    """Name and version above, refinery and how it stands below."""

    def __init__(self, style: HouseStyle, parent: QWidget) -> None:
        super().__init__(parent)
        self._style = style

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(0, _HEIGHT)

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Listed = index.data(_LISTED)
        cell: QRect = option.rect
        state: QStyle.StateFlag = option.state
        look = self._style.look
        painter.save()
        painter.setClipRect(cell)
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(cell, look.chosen)
        painter.fillRect(QRect(cell.left(), cell.bottom(), cell.width(), 1), look.line)
        inside = cell.adjusted(_PADDING, 6, -_PADDING, -6)
        above, below = QRect(inside), QRect(inside)
        above.setHeight(inside.height() // 2)
        below.setTop(above.bottom() + 1)
        ink = look.ink if row.is_newest else look.soft_ink
        painter.setFont(face(Size.SECOND))
        painter.setPen(look.soft_ink)
        room = self._beside(painter, above, row.version)
        painter.setPen(look.attention if row.is_typed else look.soft_ink)
        room_below = self._beside(painter, below, row.words)
        painter.setPen(look.soft_ink)
        self._cut(painter, below, room_below, row.party)
        painter.setFont(face(Size.BODY, bold=True))
        painter.setPen(ink)
        self._cut(painter, above, room, row.name)
        painter.restore()

    @staticmethod
    def _beside(painter: QPainter, line: QRect, words: str) -> int:
        """Write words at the right; give the room that they leave."""
        painter.drawText(line, _RIGHT, words)
        return line.width() - painter.fontMetrics().horizontalAdvance(words) - _PADDING

    @staticmethod
    def _cut(painter: QPainter, line: QRect, room: int, words: str) -> None:
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, room)
        painter.drawText(line, _LEFT, shown)


def _begun(head: dict[str, str]) -> Listed:
    name = head["name"] or "A new sheet"
    return Listed(NEW, name, head["party"], _NOT_SAVED, is_newest=True, is_typed=True)


def _kept(row: SheetRow, *, is_typed: bool) -> Listed:
    return Listed(
        key=row.key,
        name=row.sheet.name,
        party=row.sheet.party,
        words=_NOT_SAVED if is_typed else row.words,
        is_newest=row.is_newest,
        is_typed=is_typed,
    )
