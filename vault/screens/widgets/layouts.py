"""A layout that goes on in the next line where needed, and how any layout is emptied."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget
from typing_extensions import override


class FlowLayout(QLayout):
    """Like words in a paragraph, ragged on the right."""

    def __init__(self, parent: QWidget | None = None, *, spacing: int = 6) -> None:
        super().__init__(parent)
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(spacing)
        self._items: list[QLayoutItem] = []

    def _lay(self, room: QRect, *, move: bool) -> int:
        """Lay everything out in a width; give the height that it takes."""
        x, y, line_height = room.x(), room.y(), 0
        for item in self._items:
            widget = item.widget()
            if widget is not None and widget.isHidden():
                continue
            size = item.sizeHint()
            if x > room.x() and x + size.width() > room.right() + 1:
                x, y, line_height = room.x(), y + line_height + self.spacing(), 0
            if move:
                width = min(size.width(), room.width())
                item.setGeometry(QRect(QPoint(x, y), QSize(width, size.height())))
            x += size.width() + self.spacing()
            line_height = max(line_height, size.height())
        return y + line_height - room.y()

    @override
    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    @override
    def count(self) -> int:
        return len(self._items)

    @override
    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    @override
    def takeAt(self, index: int) -> QLayoutItem | None:
        if not 0 <= index < len(self._items):
            return None
        item = self._items.pop(index)
        self.invalidate()
        return item

    @override
    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    @override
    def hasHeightForWidth(self) -> bool:
        return True

    @override
    def heightForWidth(self, width: int) -> int:
        return self._lay(QRect(0, 0, width, 0), move=False)

    @override
    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._lay(rect, move=True)

    @override
    def sizeHint(self) -> QSize:
        return self.minimumSize()

    @override
    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size


def empty(layout: QLayout) -> None:
    """Take every widget out of a layout, and let each go."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
