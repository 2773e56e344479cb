"""Bars cut into parts: solid where measured, hatched where worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from vault.screens.look import mixed

_RADIUS = 3.0
_HATCH_EVERY = 6.0
_HATCH_WIDTH = 2.4
_LEAST_WIDTH = 2.0


@dataclass(frozen=True, slots=True)
class Segment:
    """One part of a bar: how much of it, in which colour, hatched or solid."""

    amount: float
    colour: QColor
    is_hatched: bool = False


def paint_bar(
    painter: QPainter, box: QRectF, segments: Sequence[Segment], ground: QColor
) -> list[QRectF]:
    """Paint the parts from the left, filling the box; give the place of each.

    A part too small to see still gets a sliver, so that nothing is hidden.
    """
    total = sum(one.amount for one in segments if one.amount > 0)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    frame = QPainterPath()
    frame.addRoundedRect(box, _RADIUS, _RADIUS)
    painter.setClipPath(frame)
    painter.fillRect(box, ground)
    places: list[QRectF] = []
    x = box.left()
    for one in segments:
        width = max(_LEAST_WIDTH, box.width() * one.amount / total) if one.amount > 0 else 0.0
        place = QRectF(x, box.top(), min(width, box.right() - x), box.height())
        _paint_segment(painter, place, one, ground)
        places.append(place)
        x += place.width()
    painter.restore()
    return places


def _paint_segment(painter: QPainter, place: QRectF, segment: Segment, ground: QColor) -> None:
    if place.width() <= 0:
        return
    if not segment.is_hatched:
        painter.fillRect(place, segment.colour)
        return
    paint_hatching(painter, place, segment.colour, ground)


def paint_hatching(painter: QPainter, place: QRectF, colour: QColor, ground: QColor) -> None:
    """Fill a place with slanted lines of a colour over its pale shade."""
    painter.save()
    painter.setClipRect(place, Qt.ClipOperation.IntersectClip)
    painter.fillRect(place, mixed(colour, ground, 0.62))
    painter.setPen(QPen(colour, _HATCH_WIDTH))
    # Started at multiples of the step, so that neighbouring parts show one even pattern.
    x = (place.left() // _HATCH_EVERY) * _HATCH_EVERY - place.height()
    while x < place.right():
        painter.drawLine(
            QRectF(x, place.top(), place.height(), place.height()).topLeft(),
            QRectF(x, place.top(), place.height(), place.height()).bottomRight(),
        )
        x += _HATCH_EVERY
    painter.restore()
