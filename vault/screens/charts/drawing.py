"""The one item that draws a whole chart, in pixels, over the plot's own range."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Protocol

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget
from typing_extensions import override

from vault.screens.charts.columns import Floats
from vault.screens.look import Look, Size, face

# Words of marks stand in up to so many rows; what finds no room is told in the read-out.
_MARK_ROWS = 3
_MARK_ROW_PX = 15
# They keep to the air above the highest figure, so that they never cover one.
_MARK_PART = 0.15
_MARK_GAP_PX = 8
_CURSOR_RADIUS = 4.0


class Scale:
    """From the range that is seen to the pixels of the plot."""

    def __init__(self, room: QRectF, seen: tuple[tuple[float, float], tuple[float, float]]) -> None:
        (self.left, self.right), (self.low, self.high) = seen
        self.room = room

    def x(self, days: Floats) -> Floats:
        """Give pixels from the left."""
        across = max(1e-9, self.right - self.left)
        return self.room.left() + (days - self.left) / across * self.room.width()

    def y(self, masses: Floats) -> Floats:
        """Give pixels from the top."""
        up = max(1e-12, self.high - self.low)
        return self.room.bottom() - (masses - self.low) / up * self.room.height()


class Painting(Protocol):
    """What a kind of chart adds to the drawing."""

    def paint(self, painter: QPainter, scale: Scale) -> None:
        """Draw the figures."""

    def height_at(self, place: int) -> float:
        """Give the mass at which the cursor's dot stands, at a point of the series."""


class Drawing(QGraphicsItem):
    """Draws figures, marks and cursor within the plot's view box."""

    def __init__(
        self,
        box: pg.ViewBox,
        painting: Painting,
        days: Floats,
        marks: Sequence[tuple[date, str]],
        look: Look,
    ) -> None:
        super().__init__(box)
        self._box = box
        self._painting = painting
        self._days = days
        self._marks = marks
        self._look = look
        self._cursor: int | None = None
        self.is_rough = False
        self.setZValue(10)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemClipsToShape)

    @property
    def cursor_place(self) -> int | None:
        """The point of the series on which the cursor stands."""
        return self._cursor

    def stand_on(self, place: int | None) -> None:
        """Put the cursor on a point of the series, or take it away."""
        if place != self._cursor:
            self._cursor = place
            self.update()

    def refit(self) -> None:
        """Draw anew, since the box or what it shows has changed."""
        self.prepareGeometryChange()
        self.update()

    def scale_now(self) -> Scale:
        """Give the scale of what is seen just now."""
        (left, right), (low, high) = self._box.viewRange()
        return Scale(self._box.rect(), ((left, right), (low, high)))

    def _paint_marks(self, painter: QPainter, scale: Scale) -> None:
        font = face(Size.SMALL)
        metrics = QFontMetricsF(font)
        painter.setFont(font)
        seen = self._marks_seen(scale)
        painter.setPen(QPen(self._look.soft_ink, 1, Qt.PenStyle.DashLine))
        for x, _ in seen:
            painter.drawLine(QPointF(x, scale.room.top()), QPointF(x, scale.room.bottom()))
        rows = max(1, min(_MARK_ROWS, int(_MARK_PART * scale.room.height() / _MARK_ROW_PX)))
        begins = [scale.room.right() + _MARK_GAP_PX] * rows
        painter.setPen(self._look.ink)
        # The newest find room first: they are what is wanted most.
        for x, words in reversed(seen):
            wide = metrics.horizontalAdvance(words)
            # At the right edge the words stand on the other side of their line.
            turned = x + 5 + wide > scale.room.right()
            left = x - 5 - wide if turned else x + 5
            right = left + wide + _MARK_GAP_PX
            row = next((at for at, begin in enumerate(begins) if right <= begin), None)
            if row is None or left < scale.room.left():
                continue
            begins[row] = left
            top = scale.room.top() + row * _MARK_ROW_PX
            # On a ground of their own, or the lines of other marks would run through the words.
            painter.fillRect(QRectF(left - 2, top, wide + 4, metrics.height()), self._look.card)
            painter.drawText(QPointF(left, top + metrics.ascent()), words)

    def _marks_seen(self, scale: Scale) -> list[tuple[float, str]]:
        """Give the marks in sight, each with its pixel from the left."""
        found = [
            (float(scale.x(np.array([float(on.toordinal())]))[0]), words)
            for on, words in self._marks
        ]
        return [one for one in found if scale.room.left() <= one[0] <= scale.room.right()]

    def _paint_cursor(self, painter: QPainter, scale: Scale) -> None:
        if self._cursor is None:
            return
        x = float(scale.x(self._days[[self._cursor]])[0])
        y = float(scale.y(np.array([self._painting.height_at(self._cursor)]))[0])
        painter.setPen(QPen(self._look.accent, 1.2))
        painter.drawLine(QPointF(x, scale.room.top()), QPointF(x, scale.room.bottom()))
        painter.setBrush(self._look.card)
        painter.setPen(QPen(self._look.accent, 2))
        painter.drawEllipse(QPointF(x, y), _CURSOR_RADIUS, _CURSOR_RADIUS)

    @override
    def boundingRect(self) -> QRectF:
        room: QRectF = self._box.rect()
        return room

    @override
    def shape(self) -> QPainterPath:
        path = QPainterPath()
        path.addRect(self.boundingRect())
        return path

    @override
    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        widget: QWidget | None = None,
    ) -> None:
        scale = self.scale_now()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, not self.is_rough)
        self._painting.paint(painter, scale)
        self._paint_marks(painter, scale)
        self._paint_cursor(painter, scale)


def area(x: Floats, lower: Floats, upper: Floats) -> QPainterPath:
    """Give the area between two lines over the same points."""
    path: QPainterPath = pg.arrayToQPath(
        np.concatenate((x, x[::-1])), np.concatenate((upper, lower[::-1]))
    )
    return path


def line(x: Floats, y: Floats) -> QPainterPath:
    """Give a line over points; it is broken where a value is missing."""
    path: QPainterPath = pg.arrayToQPath(x, y, connect="finite")
    return path
