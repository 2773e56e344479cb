"""A total over time with its doubt as a band: what is locked up in residues."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QColor, QPainter, QPen
from typing_extensions import override

from vault.screens.charts.chart import Figures, SeriesChart
from vault.screens.charts.columns import points_drawn
from vault.screens.charts.drawing import Painting, Scale, area, line
from vault.screens.charts.legend import Key, Mark
from vault.screens.charts.stacked_area import paint_as_known, said_of_total
from vault.screens.look import Look

_BAND_ALPHA = 70


class BandPainting:
    """Paints a line in the metal's hue within its band."""

    def __init__(self, figures: Figures, look: Look) -> None:
        self._figures = figures
        self._look = look

    def paint(self, painter: QPainter, scale: Scale) -> None:
        """Draw the figures."""
        figures, look = self._figures, self._look
        kept = points_drawn(
            figures.days, figures.total, scale.left, scale.right, int(scale.room.width())
        )
        x = scale.x(figures.days[kept])
        if len(x) == 1:
            # A single day has no width of its own; it is drawn as a narrow column.
            x, kept = np.array([x[0] - 6, x[0] + 6]), np.repeat(kept, 2)
        total, doubt = figures.total[kept], figures.doubt[kept]
        hue = look.metal(figures.series.metal)
        lower = np.maximum(total - doubt, 0.0)
        painter.fillPath(area(x, scale.y(lower), scale.y(total + doubt)), band_of(hue))
        painter.strokePath(line(x, scale.y(total)), QPen(hue, 2.2))
        if len(figures.as_known):
            paint_as_known(painter, scale, x, figures.as_known[kept], look)

    def height_at(self, place: int) -> float:
        """Give the total at a point of the series."""
        return float(self._figures.total[place])


class BandChart(SeriesChart):
    """The chart of a total with its band."""

    @override
    def painting(self) -> Painting:
        return BandPainting(self.figures, self.look)

    @override
    def keys(self) -> list[Key]:
        hue = self.look.metal(self.figures.series.metal)
        keys = [
            Key("as now believed", hue, Mark.LINE),
            Key("± one standard uncertainty", band_of(hue), Mark.FILLED),
        ]
        if np.any(np.isfinite(self.figures.as_known)):
            keys.append(Key("as known then", self.look.accent, Mark.DOTTED))
        return keys

    @override
    def said_at(self, place: int) -> str:
        return said_of_total(self, place)


def band_of(hue: QColor) -> QColor:
    """Give the pale colour of a band."""
    band = QColor(hue)
    band.setAlpha(_BAND_ALPHA)
    return band
