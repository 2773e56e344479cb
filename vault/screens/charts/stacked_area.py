"""Stock of one metal over time, form upon form, with the doubt of its total."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPen
from typing_extensions import override

from vault.application.queries.answers.series import Series
from vault.screens.charts.chart import Figures, SeriesChart
from vault.screens.charts.columns import Floats, points_drawn
from vault.screens.charts.drawing import Painting, Scale, area, line
from vault.screens.charts.legend import Key, Mark, hatch_lines
from vault.screens.look import Look, mixed
from vault.screens.words import forms

_BAND_ALPHA = 70
_HATCH_EVERY = 7
_UG_PER_G = 1_000_000


class StackPainting:
    """Paints the forms one upon the other, residues hatched; then band, total and as known."""

    def __init__(self, figures: Figures, look: Look) -> None:
        self._figures = figures
        self._look = look
        self.colours = colours_of(figures.series, look)

    def paint(self, painter: QPainter, scale: Scale) -> None:
        """Draw the figures."""
        figures = self._figures
        kept = points_drawn(
            figures.days, figures.total, scale.left, scale.right, int(scale.room.width())
        )
        x = scale.x(figures.days[kept])
        if len(x) == 1:
            # A single day has no width of its own; it is drawn as a narrow column.
            x, kept = np.array([x[0] - 6, x[0] + 6]), np.repeat(kept, 2)
        below = np.full(len(x), scale.y(np.zeros(1))[0])
        for step, residue in enumerate(figures.series.residues):
            above = scale.y(figures.stack[step][kept])
            self._paint_layer(painter, (x, below, above), step, residue=residue)
            below = above
        total, doubt = figures.total[kept], figures.doubt[kept]
        paint_total(painter, scale, x, total, doubt, self._look)
        if len(figures.as_known):
            paint_as_known(painter, scale, x, figures.as_known[kept], self._look)

    def height_at(self, place: int) -> float:
        """Give the total at a point of the series."""
        return float(self._figures.total[place])

    def _paint_layer(
        self, painter: QPainter, layer: tuple[Floats, Floats, Floats], step: int, *, residue: bool
    ) -> None:
        x, below, above = layer
        colour = self.colours[step]
        path = area(x, below, above)
        if not residue:
            painter.fillPath(path, colour)
        else:
            painter.fillPath(path, mixed(colour, self._look.card, 0.6))
            painter.save()
            painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
            painter.setPen(QPen(colour, 1.5))
            rising = rises(self._figures.series.residues, step)
            painter.drawLines(hatch_lines(path.boundingRect(), rising=rising, every=_HATCH_EVERY))
            painter.restore()
        painter.strokePath(line(x, above), QPen(self._look.card, 1))


def colours_of(series: Series, look: Look) -> list[QColor]:
    """Give each form its hue: aims of work darkest first, residues in the paler ones."""
    found = []
    aims = residues = 0
    for residue in series.residues:
        if residue:
            residues += 1
            found.append(look.shade(series.metal, residues))
        else:
            found.append(look.shade(series.metal, aims))
            aims += 1
    return found


def rises(residues: Sequence[bool], step: int) -> bool:
    """Tell to which side a residue's hatching slants; neighbours among them differ."""
    return sum(residues[:step]) % 2 == 0


def paint_total(
    painter: QPainter, scale: Scale, x: Floats, total: Floats, doubt: Floats, look: Look
) -> None:
    """Draw a total with one standard uncertainty on either side."""
    band = QColor(look.ink)
    band.setAlpha(_BAND_ALPHA)
    painter.fillPath(area(x, scale.y(total - doubt), scale.y(total + doubt)), band)
    painter.strokePath(line(x, scale.y(total)), QPen(look.ink, 1.6))


def paint_as_known(
    painter: QPainter, scale: Scale, x: Floats, as_known: Floats, look: Look
) -> None:
    """Draw the total as it was known on the day, beside what is now believed."""
    pen = QPen(look.accent, 2.0, Qt.PenStyle.DotLine)
    painter.strokePath(line(x, scale.y(as_known)), pen)


class StackedArea(SeriesChart):
    """The chart of stock by form."""

    @override
    def painting(self) -> Painting:
        return StackPainting(self.figures, self.look)

    @override
    def keys(self) -> list[Key]:
        series, look = self.figures.series, self.look
        keys = [
            Key(
                forms(form),
                look.shade(series.metal, step),
                Mark.HATCHED if residue else Mark.FILLED,
            )
            for step, (form, residue) in enumerate(zip(series.forms, series.residues, strict=True))
        ]
        return keys + keys_of_total(self.figures, look)

    @override
    def said_at(self, place: int) -> str:
        series = self.figures.series
        parts = [
            f"{forms(form)} {self._short(row[place], series.u_g[place])}"
            for form, row in zip(series.forms, series.fine_g, strict=True)
            if round(row[place] * _UG_PER_G)
        ]
        return " · ".join([said_of_total(self, place), *parts])

    def _short(self, grams: float, u_g: float) -> str:
        """Write a part of the total with no more digits than the total deserves."""
        ug, u_ug = round(grams * _UG_PER_G), round(u_g * _UG_PER_G)
        return self.numbers.fine_and_doubt(ug, u_ug if ug >= 0 else None)[0]


def keys_of_total(figures: Figures, look: Look) -> list[Key]:
    """Give the keys of the total's lines, only of those that are drawn."""
    keys = []
    if np.any(figures.doubt > 0):
        band = QColor(look.ink)
        band.setAlpha(_BAND_ALPHA)
        keys.append(Key("total ± u", band, Mark.BAND))
    if np.any(np.isfinite(figures.as_known)):
        keys.append(Key("as known then", look.accent, Mark.DOTTED))
    return keys


def said_of_total(chart: SeriesChart, place: int) -> str:
    """Give the total with its ± at a point, and what was known then where that differs."""
    series, numbers = chart.figures.series, chart.numbers
    total_ug, u_ug = (round(one[place] * _UG_PER_G) for one in (series.total_g, series.u_g))
    words = f"{series.metal} {numbers.uncut(total_ug, u_ug)} {numbers.unit}"
    known = series.as_known_g[place] if series.as_known_g else None
    if known is None or round(known * _UG_PER_G) == total_ug:
        return words
    then, _ = numbers.uncut_and_doubt(round(known * _UG_PER_G), u_ug)
    return f"{words} (as known then {then})"
