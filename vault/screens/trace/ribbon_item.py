"""How a ribbon is drawn: one stripe per lot, hatched for residues, fading out for losses.

Everything is plain filled shapes without clipping, so that the picture stays sharp in SVG and PDF
(Qt's SVG writer leaves clips out).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QLinearGradient,
    QPainter,
    QPainterPath,
    QPainterPathStroker,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget
from typing_extensions import override

from vault.application.queries.answers.trace import Ribbon
from vault.screens.hues import LotHues
from vault.screens.look import Look, mixed
from vault.screens.trace.layout import Course

HATCH_EVERY_PX = 11.0
HATCH_WIDE_PX = 5.0
# Thinner than this it is a line: an area would thin out where it swings.
LINE_BELOW_PX = 4.0
# A hand finds nothing thinner than this.
LEAST_TOUCH_PX = 10.0
_STEPS_OF_A_SWING = 20
_SMALL = 0.3

Point = tuple[float, float]


class RibbonItem(QGraphicsItem):
    """One ribbon; it knows what it stands for and tells when the pointer is on it."""

    def __init__(self, ribbon: Ribbon, course: Course, hues: LotHues, look: Look) -> None:
        super().__init__()
        self.ribbon = ribbon
        self._course = course
        self._look = look
        self._is_pointed_at = False
        self._stripes = stripes_of(ribbon, course.thickness)
        self._colours = [hues.of(lot) for lot, _, _ in self._stripes]
        self._line = middle_path(course.points)
        self._outline = band_path(course.points, -course.thickness / 2, course.thickness / 2)
        self._touch = _touch_path(self._line, self._outline, course.thickness)
        self._bounds = self._touch.boundingRect().adjusted(-2, -2, 2, 2)
        self.setAcceptHoverEvents(True)
        # What falls away passes over what goes on; in between it would seem to end.
        self.setZValue(-1 if ribbon.is_loss or ribbon.is_residue else -2)

    def point_at(self, *, is_pointed_at: bool) -> None:
        """Frame the ribbon, or take the frame away."""
        self._is_pointed_at = is_pointed_at
        self.update()

    def _paint_stripes(self, painter: QPainter, *, small: bool) -> None:
        for (_, top, bottom), colour in zip(self._stripes, self._colours, strict=True):
            if self.ribbon.is_loss:
                self._paint_fading(painter, colour, top, bottom)
            elif self.ribbon.is_residue and not small:
                self._paint_hatched(painter, colour, top, bottom)
            else:
                painter.fillPath(band_path(self._course.points, top, bottom), colour)

    def _paint_fading(self, painter: QPainter, colour: QColor, top: float, bottom: float) -> None:
        points = self._course.points
        fade = QLinearGradient(points[0][0], 0, points[-1][0], 0)
        gone = QColor(colour)
        gone.setAlpha(0)
        fade.setColorAt(0, mixed(colour, self._look.card, 0.25))
        fade.setColorAt(1, gone)
        painter.fillPath(band_path(points, top, bottom), QBrush(fade))

    def _paint_hatched(self, painter: QPainter, colour: QColor, top: float, bottom: float) -> None:
        painter.fillPath(
            band_path(self._course.points, top, bottom), mixed(colour, self._look.card, 0.55)
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(mixed(colour, self._look.ink, 0.18))
        for stroke in hatch_strokes(self._course.points, top, bottom):
            painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in stroke]))

    def _paint_line(self, painter: QPainter) -> None:
        """Paint a ribbon that is thin, or of which nobody knows how thick it is."""
        if self.ribbon.amount_g is None:
            pen = QPen(self._look.soft_ink, 1.2, Qt.PenStyle.DashLine)
        else:
            colour = self._colours[0] if self._colours else self._look.line
            shade = mixed(colour, self._look.ink, 0.15)
            pen = QPen(shade, self._course.thickness)
            if self.ribbon.is_residue:
                pen.setDashPattern([2.5, 1.2])
            elif self.ribbon.is_loss:
                pen.setColor(mixed(colour, self._look.card, 0.5))
                pen.setDashPattern([1, 2])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.strokePath(self._line, pen)

    @override
    def boundingRect(self) -> QRectF:
        return self._bounds

    @override
    def shape(self) -> QPainterPath:
        return self._touch

    @override
    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        widget: QWidget | None = None,
    ) -> None:
        small = option.levelOfDetailFromTransform(painter.worldTransform()) < _SMALL
        if self.ribbon.amount_g is None or self._course.thickness < LINE_BELOW_PX:
            self._paint_line(painter)
        else:
            self._paint_stripes(painter, small=small)
        if self._is_pointed_at:
            painter.strokePath(self._outline, QPen(self._look.accent, 1.6))


def stripes_of(ribbon: Ribbon, thickness: float) -> list[tuple[str, float, float]]:
    """Give each lot's stripe: its name, and its upper and lower edge from the ribbon's middle."""
    at = -thickness / 2
    whole = sum(share for _, share in ribbon.lots)
    if whole <= 0:
        return [("", at, thickness / 2)]
    stripes = []
    for lot, share in ribbon.lots:
        wide = thickness * share / whole
        stripes.append((lot, at, at + wide))
        at += wide
    return stripes


def middle_path(points: Sequence[Point]) -> QPainterPath:
    """Give the middle line of a course."""
    path = QPainterPath(QPointF(*points[0]))
    _follow(path, points, 0.0)
    return path


def band_path(points: Sequence[Point], top: float, bottom: float) -> QPainterPath:
    """Give the area between two lines that run above and below the middle line."""
    path = QPainterPath(QPointF(points[0][0], points[0][1] + top))
    _follow(path, points, top)
    path.lineTo(points[-1][0], points[-1][1] + bottom)
    _follow(path, points[::-1], bottom)
    path.closeSubpath()
    return path


def _follow(path: QPainterPath, points: Sequence[Point], shift: float) -> None:
    for place, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
        if place % 2 == 0:
            half = (x0 + x1) / 2
            path.cubicTo(half, y0 + shift, half, y1 + shift, x1, y1 + shift)
        else:
            path.lineTo(x1, y1 + shift)


def hatch_strokes(points: Sequence[Point], top: float, bottom: float) -> Iterator[list[Point]]:
    """Give slanting four-cornered strokes across a band, evenly along its middle line."""
    line = list(_sampled(points))
    ways = [0.0]
    for (x0, y0), (x1, y1) in pairwise(line):
        ways.append(ways[-1] + ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
    slant = min(bottom - top, HATCH_EVERY_PX)
    at = 0.0
    while at < ways[-1]:
        upper = [_at(line, ways, at + slant), _at(line, ways, at + slant + HATCH_WIDE_PX)]
        lower = [_at(line, ways, at + HATCH_WIDE_PX), _at(line, ways, at)]
        yield [(x, y + top) for x, y in upper] + [(x, y + bottom) for x, y in lower]
        at += HATCH_EVERY_PX


def _sampled(points: Sequence[Point]) -> Iterator[Point]:
    yield points[0]
    for place, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
        if place % 2:
            yield x1, y1
            continue
        for step in range(1, _STEPS_OF_A_SWING + 1):
            part = step / _STEPS_OF_A_SWING
            rest = 1 - part
            # The cubic of `_follow`: its two inner corners lie half way, at either height.
            inner = 3 * part * rest * rest + 3 * part * part * rest
            yield (
                x0 * rest**3 + (x0 + x1) / 2 * inner + x1 * part**3,
                y0 * (rest**3 + 3 * part * rest * rest) + y1 * (part**3 + 3 * part * part * rest),
            )


def _at(line: Sequence[Point], ways: Sequence[float], way: float) -> Point:
    """Give the point at a way along a sampled line, its ends where that is outside."""
    place = bisect_left(ways, way)
    if place == 0:
        return line[0]
    if place >= len(ways):
        return line[-1]
    before, after = ways[place - 1], ways[place]
    part = (way - before) / (after - before) if after > before else 0.0
    (x0, y0), (x1, y1) = line[place - 1], line[place]
    return x0 + (x1 - x0) * part, y0 + (y1 - y0) * part


def _touch_path(line: QPainterPath, outline: QPainterPath, thickness: float) -> QPainterPath:
    if thickness >= LEAST_TOUCH_PX:
        return outline
    stroker = QPainterPathStroker()
    stroker.setWidth(LEAST_TOUCH_PX)
    return stroker.createStroke(line)
