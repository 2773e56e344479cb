"""A table on paper: columns of set shares of the width, rows as high as their longest cell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from vault.screens.printing.page import BODY, INK, RULE, SMALL, SOFT_INK, type_face

_PADDING, _PADDING_OF_A_FIGURE = 14, 40
_FOOT = 10


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its title, its share of the width, and whether it holds figures."""

    title: str
    share: float
    is_figure: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; where it begins a page, the heading comes before it once more."""

    columns: Sequence[Column]
    cells: Sequence[str]
    bold: bool = False
    size: int = BODY
    soft: bool = False
    heading: Row | None = None
    room_below: float = 0

    def height(self, width: float) -> float:
        """Give how high it is at a width."""
        font = type_face(self.size, bold=self.bold)
        metrics = QFontMetricsF(font)
        heights = [
            metrics.boundingRect(QRectF(0, 0, place.width(), 100_000), flags, cell).height()
            for cell, place, flags in self._places(QRectF(0, 0, width, 0))
        ]
        return max(heights) + 2 * _FOOT

    def draw(self, painter: QPainter, place: QRectF) -> None:
        """Draw it, with a thin line below."""
        painter.setFont(type_face(self.size, bold=self.bold))
        painter.setPen(SOFT_INK if self.soft else INK)
        for cell, rectangle, flags in self._places(place):
            painter.drawText(rectangle, flags, cell)
        painter.setPen(QPen(RULE, 1.5))
        painter.drawLine(place.bottomLeft(), QPointF(place.right(), place.bottom()))

    def _places(self, place: QRectF) -> Iterator[tuple[str, QRectF, int]]:
        whole = sum(column.share for column in self.columns)
        left = place.left()
        for column, cell in zip(self.columns, self.cells, strict=True):
            width = place.width() * column.share / whole
            side = Qt.AlignmentFlag.AlignRight if column.is_figure else Qt.AlignmentFlag.AlignLeft
            flags = Qt.TextFlag.TextWordWrap.value | side.value
            padding = _PADDING_OF_A_FIGURE if column.is_figure else _PADDING
            height = max(0.0, place.height() - 2 * _FOOT)
            yield (
                cell,
                QRectF(left, place.top() + _FOOT, width - padding, height),
                int(flags),
            )
            left += width


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[Row]:
    """Give a table as blocks: its heading, and a row for each row of cells."""
    titles = [column.title for column in columns]
    heading = Row(columns, titles, bold=True, size=SMALL, soft=True, room_below=100)
    return [heading, *(Row(columns, cells, heading=heading) for cells in rows)]
