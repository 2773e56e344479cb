"""A layout that goes on in the next line where needed, and how any layout is emptied."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget
from typing_extensions import override


class FlowLayout(QLayout):
    """Like words in a paragraph, ragged on the right."""

    def __init__(self, parent: QWidget | None = None, *, spacing: int = 6) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        # Qt asks for the height of one width hundreds of times while a form is laid out.
        self._sizes: list[tuple[QLayoutItem, int, int]] | None = None
        self._heights: dict[int, int] = {}
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(spacing)

    def _seen_sizes(self) -> list[tuple[QLayoutItem, int, int]]:
        if self._sizes is None:
            hints = ((item, item.sizeHint()) for item in self._items if not item.isEmpty())
            self._sizes = [(item, hint.width(), hint.height()) for item, hint in hints]
        return self._sizes

    def _lay(self, room: QRect, *, move: bool) -> int:
        """Lay everything out in a width; give the height that it takes."""
        left, right, spacing = room.x(), room.right() + 1, self.spacing()
        x, y, line_height = left, room.y(), 0
        for item, width, height in self._seen_sizes():
            if x > left and x + width > right:
                x, y, line_height = left, y + line_height + spacing, 0
            if move:
                item.setGeometry(QRect(x, y, min(width, room.width()), height))
            x += width + spacing
            line_height = max(line_height, height)
        return y + line_height - room.y()

    @override
    def invalidate(self) -> None:
        self._sizes = None
        self._heights.clear()
        super().invalidate()

    @override
    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)
        self.invalidate()

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
        height = self._heights.get(width)
        if height is None:
            height = self._heights[width] = self._lay(QRect(0, 0, width, 0), move=False)
        return height

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
