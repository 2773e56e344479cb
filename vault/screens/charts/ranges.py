"""Choices side by side: for each a dot for what is expected, and a line for its range.

Everything is told by the asker; the widget only sets it on a scale with round steps. Nothing is
known by colour alone: the best one is bold as well as in the accent.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget
from typing_extensions import override

from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face

_ROW = 28
_SCALE = 24
_DOT = 7.0
_LINE = 3.0
_BETWEEN = 16
_MOST_NAME_SHARE = 0.42
_LEAST_TICK_PX = 70
_EDGE_PX = 12
_LEAST_SCALE_PX = 80


@dataclass(frozen=True, slots=True)
class Range:
    """One row.

    Attributes:
        words: what would be done.
        value, low, high: expected, and the ends of its range, in the unit of the scale.
        told: the figure as written at the right.
        more: what is said when it is pointed at.
        is_best: drawn in the accent, its words bold.
    """

    words: str
    value: float
    low: float
    high: float
    told: str
    more: str = ""
    is_best: bool = False


def round_steps(low: float, high: float, most: int) -> list[float]:
    """Give at most so many round values between two ends, nothing among them if it lies between.

    >>> round_steps(-40.0, 420.0, 4)
    [0.0, 200.0, 400.0]
    """
    span = max(high - low, 1e-9)
    size = 10.0 ** math.floor(math.log10(span / max(1, most)))
    step = next(one * size for one in (1.0, 2.0, 5.0, 10.0, 20.0) if span / (one * size) <= most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


class RangesChart(QWidget):
    """Draws ranges one below the other, with a line at nothing."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._rows: tuple[Range, ...] = ()
        self._write: Callable[[float], str] = str
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def rows(self) -> tuple[Range, ...]:
        """What is drawn."""
        return self._rows

    def show_rows(self, rows: Sequence[Range], write: Callable[[float], str]) -> None:
        """Draw these rows; `write` gives a value of the scale in words."""
        self._rows, self._write = tuple(rows), write
        self.setAccessibleDescription("; ".join(f"{one.words}: {one.told}" for one in rows))
        self.setFixedHeight(self.sizeHint().height())
        self.update()

    def _ends(self) -> tuple[float, float]:
        low = min([0.0, *(min(one.low, one.value) for one in self._rows)])
        high = max([0.0, *(max(one.high, one.value) for one in self._rows)])
        return (low, high) if high > low else (low - 1.0, high + 1.0)

    def _columns(self) -> tuple[float, float, float]:
        """Give where the names end, and where the scale begins and ends, in pixels."""
        bold = QFontMetrics(face(Size.SECOND, bold=True))
        names = max((bold.horizontalAdvance(one.words) for one in self._rows), default=0)
        told = max((bold.horizontalAdvance(one.told) for one in self._rows), default=0)
        left = min(names + 2.0, self.width() * _MOST_NAME_SHARE)
        begin = left + _BETWEEN + _EDGE_PX
        end = self.width() - told - _BETWEEN - _EDGE_PX
        return left, begin, max(end, begin + _LEAST_SCALE_PX)

    @override
    def sizeHint(self) -> QSize:
        return QSize(420, len(self._rows) * _ROW + _SCALE)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(320, len(self._rows) * _ROW + _SCALE)

    @override
    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() is QEvent.Type.ToolTip:
            row = event.pos().y() // _ROW
            told = self._rows[row].more if row < len(self._rows) else ""
            QToolTip.showText(event.globalPos(), told, self)
            return True
        return super().event(event)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        if not self._rows:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        left, begin, end = self._columns()
        low, high = self._ends()

        def place(value: float) -> float:
            return begin + (value - low) / (high - low) * (end - begin)

        self._paint_scale(painter, place, (low, high), end - begin)
        for number, row in enumerate(self._rows):
            self._paint_row(painter, number, row, place, (left, end))

    def _paint_scale(
        self,
        painter: QPainter,
        place: Callable[[float], float],
        ends: tuple[float, float],
        width: float,
    ) -> None:
        look = self._style.look
        bottom = len(self._rows) * _ROW
        painter.setFont(face(Size.SECOND))
        for tick in round_steps(*ends, most=max(1, int(width / _LEAST_TICK_PX))):
            at = place(tick)
            painter.setPen(QPen(look.soft_ink if tick == 0.0 else look.line, 1.5))
            painter.drawLine(QPointF(at, 4), QPointF(at, bottom))
            painter.setPen(look.soft_ink)
            box = QRectF(at - 60, bottom + 3, 120, _SCALE - 4)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self._write(tick))

    def _paint_row(
        self,
        painter: QPainter,
        number: int,
        row: Range,
        place: Callable[[float], float],
        columns: tuple[float, float],
    ) -> None:
        look = self._style.look
        left, end = columns
        top, middle = number * _ROW, number * _ROW + _ROW / 2
        colour = look.accent if row.is_best else look.soft_ink
        font = face(Size.SECOND, bold=row.is_best)
        painter.setFont(font)
        painter.setPen(look.ink)
        side = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        words = QFontMetrics(font).elidedText(row.words, Qt.TextElideMode.ElideRight, int(left))
        painter.drawText(QRectF(0, top, left, _ROW), side, words)
        painter.setPen(QPen(colour, _LINE, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        painter.drawLine(QPointF(place(row.low), middle), QPointF(place(row.high), middle))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawEllipse(QPointF(place(row.value), middle), _DOT, _DOT)
        painter.setFont(face(Size.SECOND, bold=True))
        painter.setPen(look.ink)
        box = QRectF(end + _EDGE_PX, top, self.width() - end - _EDGE_PX, _ROW)
        painter.drawText(box, side, row.told)
