"""The four marks that say how a figure is known, painted, and the legend that names them."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face

MARK_SIZE = 11
_PEN = 1.6
_DASHES = (2.1, 1.75)
_QUARTERS = 16 * 90
_LEGEND = (How.ASSAYED, How.WORKED_OUT, How.DECLARED, How.NOT_KNOWN)
_MEANING = (
    "● assayed: measured on the item or on a sample of it, or agreed in a settlement\n"
    "◐ worked out: follows from the balance of the steps around it\n"
    "○ declared: on somebody's word or stamp\n"
    "◌ not known: nothing says; left out of totals\n"
    "± is one standard uncertainty"
)


def paint_mark(
    painter: QPainter, how: How, centre: QPointF, colour: QColor, size: float = MARK_SIZE
) -> None:
    """Paint one mark: filled, half, ring, or dashed ring."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    half = (size - _PEN) / 2
    box = QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half)
    pen = QPen(colour, _PEN)
    if how is How.NOT_KNOWN:
        pen.setDashPattern(_DASHES)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(colour if how is How.ASSAYED else Qt.BrushStyle.NoBrush)
    painter.drawEllipse(box)
    if how is How.WORKED_OUT:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawPie(box, _QUARTERS, 2 * _QUARTERS)
    painter.restore()


class Mark(QWidget):
    """One mark as a widget."""

    def __init__(self, style: HouseStyle, how: How, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._how = how
        self.setFixedSize(MARK_SIZE + 2, MARK_SIZE + 2)
        self.setToolTip(how.value)
        self.setAccessibleName(how.value)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        paint_mark(painter, self._how, QRectF(self.rect()).center(), self._style.look.ink)


class MarkLegend(QWidget):
    """The four marks with their words, in a row."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.setFont(face(Size.SMALL))
        self.setToolTip(_MEANING)
        # Without room for its words it is left out, and not cut.
        self.setMinimumWidth(0)
        self.setAccessibleName("Marks: " + ", ".join(how.value for how in _LEGEND))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    @override
    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        width = sum(metrics.horizontalAdvance(how.value) + MARK_SIZE + 15 for how in _LEGEND)
        return QSize(width, max(metrics.height(), MARK_SIZE) + 4)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        if self.width() < self.sizeHint().width():
            return
        painter = QPainter(self)
        metrics = self.fontMetrics()
        middle = self.height() / 2
        x = 0.0
        for how in _LEGEND:
            centre = QPointF(x + MARK_SIZE / 2 + 1, middle)
            paint_mark(painter, how, centre, self._style.look.ink)
            x += MARK_SIZE + 6
            width = metrics.horizontalAdvance(how.value)
            painter.setPen(self._style.look.soft_ink)
            painter.drawText(
                QRectF(x, 0, width + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, how.value
            )
            x += width + 9
