"""The line above a chart that says what its colours and lines mean, in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QLineF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from vault.screens.look import Look, Size, face, mixed

_SWATCH = 12
_WORD_GAP = 6
_KEY_GAP = 16
_LINE_HEIGHT = 20
_HATCH_EVERY = 4


class Mark(Enum):
    """How a key is drawn."""

    FILLED = "filled"
    HATCHED = "hatched"
    BAND = "band"
    LINE = "line"
    DOTTED = "dotted"


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the legend; `rises` tells to which side a hatching slants."""

    words: str
    colour: QColor
    mark: Mark
    rises: bool = True


class Legend(QWidget):
    """Keys in a row, as many rows as they need."""

    def __init__(
        self, title: str, keys: list[Key], look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._title = title
        self._keys = keys
        self._look = look
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(", ".join([title, *(key.words for key in keys)]))

    def _places(self, width: int) -> list[tuple[int, int]]:
        """Give where each key begins, broken into rows."""
        words = QFontMetrics(face(Size.SMALL))
        x = QFontMetrics(face(Size.BODY, bold=True)).horizontalAdvance(self._title) + _KEY_GAP
        row = 0
        places = []
        for key in self._keys:
            wide = _SWATCH + _WORD_GAP + words.horizontalAdvance(key.words)
            if x + wide > width and x > 0:
                x, row = 0, row + 1
            places.append((x, row))
            x += wide + _KEY_GAP
        return places

    @override
    def hasHeightForWidth(self) -> bool:
        return True

    @override
    def heightForWidth(self, width: int) -> int:
        return _LINE_HEIGHT * (1 + max((row for _, row in self._places(width)), default=0))

    @override
    def sizeHint(self) -> QSize:
        width = max(self.width(), 200)
        return QSize(width, self.heightForWidth(width))

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(face(Size.BODY, bold=True))
        painter.setPen(self._look.ink)
        painter.drawText(QRectF(0, 0, 400, _LINE_HEIGHT), _MIDDLE_LEFT, self._title)
        painter.setFont(face(Size.SMALL))
        for key, (x, row) in zip(self._keys, self._places(self.width()), strict=True):
            top = row * _LINE_HEIGHT
            draw_mark(painter, QRectF(x, top + 4, _SWATCH, _SWATCH), key, self._look)
            painter.setPen(self._look.soft_ink)
            where = QRectF(x + _SWATCH + _WORD_GAP, top, 400, _LINE_HEIGHT)
            painter.drawText(where, _MIDDLE_LEFT, key.words)


_MIDDLE_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def draw_mark(painter: QPainter, where: QRectF, key: Key, look: Look) -> None:
    """Draw the swatch of a key."""
    middle = where.center().y()
    across = QLineF(where.left(), middle, where.right(), middle)
    match key.mark:
        case Mark.FILLED:
            painter.fillRect(where, key.colour)
        case Mark.HATCHED:
            painter.fillRect(where, mixed(key.colour, look.card, 0.6))
            hatch(painter, where, key)
        case Mark.BAND:
            painter.fillRect(where, key.colour)
            painter.setPen(QPen(look.ink, 1.4))
            painter.drawLine(across)
        case Mark.LINE:
            painter.setPen(QPen(key.colour, 2))
            painter.drawLine(across)
        case Mark.DOTTED:
            painter.setPen(QPen(key.colour, 2, Qt.PenStyle.DotLine))
            painter.drawLine(across)


def hatch(painter: QPainter, where: QRectF, key: Key) -> None:
    """Draw slanting lines over a swatch, to the side to which the layer's own slant."""
    painter.save()
    painter.setClipRect(where, Qt.ClipOperation.IntersectClip)
    painter.setPen(QPen(key.colour, 1.4))
    painter.drawLines(hatch_lines(where, rising=key.rises, every=_HATCH_EVERY))
    painter.restore()


def hatch_lines(room: QRectF, *, rising: bool, every: int) -> list[QLineF]:
    """Give slanting lines over a room."""
    tall = room.height()
    first = int(room.left() - tall) // every * every
    low, high = (room.bottom(), room.top()) if rising else (room.top(), room.bottom())
    return [
        QLineF(at, low, at + tall, high) for at in range(first, int(room.right()) + every, every)
    ]
