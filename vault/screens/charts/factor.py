"""What residues of one kind keep, over time: as believed, with its doubt and the first guess."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.queries.answers.learning import LearntFactor
from vault.screens.charts.axes import ShareAxis
from vault.screens.charts.band import band_of
from vault.screens.charts.chart import Chart, Curve
from vault.screens.charts.columns import Floats
from vault.screens.charts.drawing import Painting, Scale, area, line
from vault.screens.charts.legend import Key, Mark
from vault.screens.look import Look
from vault.screens.numbers import Numbers, metal_name

_TICK_PX = 9


class FactorCurve(Curve):
    """A factor in percent, and what was first guessed.

    Attributes:
        guess, guess_u: in percent.
        measured: days on which an assay measured such residues, as ordinals.
    """

    def __init__(self, factor: LearntFactor) -> None:
        super().__init__(
            factor.metal,
            [one.day for one in factor.points],
            100.0 * np.array([one.share for one in factor.points]),
            100.0 * np.array([one.u for one in factor.points]),
            [(one.day, one.words) for one in factor.marks if one.is_settlement],
        )
        self.guess, self.guess_u = 100.0 * factor.guess, 100.0 * factor.guess_u
        self.measured: Floats = np.array(
            [float(one.day.toordinal()) for one in factor.marks if not one.is_settlement]
        )
        self.highest = np.maximum(self.highest, self.guess)


class FactorPainting:
    """Paints the guess across, the line within its band, and a tick at every assay."""

    def __init__(self, curve: FactorCurve, look: Look) -> None:
        self._curve = curve
        self._look = look

    def paint(self, painter: QPainter, scale: Scale) -> None:
        """Draw the figures."""
        curve, hue = self._curve, self._look.metal(self._curve.metal)
        edges = np.array([scale.room.left(), scale.room.right()])
        low, level, high = scale.y(
            np.array(
                [max(curve.guess - curve.guess_u, 0.0), curve.guess, curve.guess + curve.guess_u]
            )
        )
        ground = guess_ground(self._look)
        painter.fillPath(area(edges, np.full(2, low), np.full(2, high)), ground)
        painter.setPen(QPen(self._look.soft_ink, 1.4, Qt.PenStyle.DotLine))
        painter.drawLine(QPointF(edges[0], level), QPointF(edges[1], level))
        x = scale.x(curve.days)
        total, doubt = curve.total, curve.doubt
        if len(x) == 1:
            # A single day has no width of its own; it is drawn as a narrow column.
            x, total, doubt = np.array([x[0] - 6, x[0] + 6]), total.repeat(2), doubt.repeat(2)
        lower = scale.y(np.maximum(total - doubt, 0.0))
        painter.fillPath(area(x, lower, scale.y(total + doubt)), band_of(hue))
        painter.strokePath(line(x, scale.y(total)), QPen(hue, 2.2))
        painter.setPen(QPen(self._look.ink, 1.4))
        for at in scale.x(curve.measured).tolist():
            if edges[0] <= at <= edges[1]:
                foot = scale.room.bottom()
                painter.drawLine(QPointF(at, foot - _TICK_PX), QPointF(at, foot))

    def height_at(self, place: int) -> float:
        """Give the factor at a point."""
        return float(self._curve.total[place])


class FactorChart(Chart):
    """The chart of one house factor."""

    def __init__(
        self,
        factor: LearntFactor,
        look: Look,
        numbers: Numbers | None = None,
        parent: QWidget | None = None,
    ) -> None:
        # Wanted already while the chart is built.
        self.factor, self.factor_curve = factor, FactorCurve(factor)
        super().__init__(self.factor_curve, look, numbers, parent)
        self.setAccessibleName(
            f"what the {factor.kind} keeps of the {metal_name(factor.metal)}, over time"
        )

    @override
    def painting(self) -> Painting:
        return FactorPainting(self.factor_curve, self.look)

    @override
    def left_axis(self) -> pg.AxisItem:
        return ShareAxis(self.look, self.numbers)

    @override
    def name(self) -> str:
        return f"{self.curve.metal} in {self.factor.kind}"

    @override
    def keys(self) -> list[Key]:
        hue = self.look.metal(self.curve.metal)
        keys = [
            Key("as believed then", hue, Mark.LINE),
            Key("± one standard uncertainty", band_of(hue), Mark.FILLED),
            Key("first guess", self.look.soft_ink, Mark.DOTTED),
            Key("and its ±", guess_ground(self.look), Mark.FILLED),
        ]
        if any(not one.is_settlement for one in self.factor.marks):
            keys.append(Key("assays: ticks below", self.look.ink, Mark.LINE))
        return keys

    @override
    def said_at(self, place: int) -> str:
        one = self.factor.points[place]
        return f"{self.numbers.share_and_doubt(one.share, one.u)} of the metal fed"


def guess_ground(look: Look) -> QColor:
    """Give the pale ground of what was first guessed."""
    return look.band
