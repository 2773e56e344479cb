"""One tag drawn on its label, and labels laid out on sheets and rolls."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from vault.application.queries.answers.labels import TagLabel
from vault.bench.tags import QUIET_MODULES, USUAL_MODULES, Symbol
from vault.screens.numbers import day
from vault.screens.printing.page import INK, UNITS_OF_A_MM, cut, type_face
from vault.screens.printing.stocks import Stock

# The symbol takes no more than this of a label's width, and grows no larger than needed at arm's
# length; all lengths in tenths of a millimetre.
_SYMBOL_SHARE = 0.47
_LARGEST_SYMBOL = 246
# A module is a whole number of the dots of a label printer, eight to the millimetre (203 an inch).
_DOT = 1.25
_EDGE = 8
# On sheets without margins a printer leaves some millimetres of the outermost labels white.
_EDGE_OF_A_LARGE_LABEL, _LARGE_LABEL = 20, 300
_LEAST_TYPE, _LARGEST_TYPE = 17, 34
_LEAST_TAG, _LARGEST_TAG = 28, 90
# The check digits beside the tag, and a line's height, as parts of the type's size.
_CHECK_SHARE = 0.62
_LINE = 1.25
# No caution takes more of a label than this, so that what it warns of keeps its name.
_MOST_CAUTION = 0.5
_WRAPPED = int(Qt.TextFlag.TextWordWrap.value | Qt.AlignmentFlag.AlignLeft.value)


class LabelPaper:
    """Tags on a stock of labels, beginning at any label of the first page."""

    def __init__(self, labels: Sequence[TagLabel], stock: Stock, start_at: int = 0) -> None:
        """Lay tags out; `start_at` labels of the first page are used up already."""
        self.labels = labels
        self.stock = stock
        self.start_at = min(start_at, stock.on_a_page - 1)
        self.title = f"Tags {labels[0].tag}" if labels else "Tags"

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of every page."""
        return self.stock.page_width, self.stock.page_height

    @property
    def pages(self) -> int:
        """How many pages there are; at least one."""
        return max(1, math.ceil((self.start_at + len(self.labels)) / self.stock.on_a_page))

    def places(self, page: int) -> list[tuple[QRectF, TagLabel | None]]:
        """Give the labels of a page with what is printed on each; None where nothing is."""
        first = page * self.stock.on_a_page - self.start_at
        found: list[tuple[QRectF, TagLabel | None]] = []
        for position in range(self.stock.on_a_page):
            left, top = self.stock.place_of(position)
            sides = (left, top, self.stock.width, self.stock.height)
            place = QRectF(*(UNITS_OF_A_MM * side for side in sides))
            at = first + position
            found.append((place, self.labels[at] if 0 <= at < len(self.labels) else None))
        return found

    def draw(self, painter: QPainter, page: int) -> None:
        """Draw one page."""
        for place, label in self.places(page):
            if label is not None:
                draw_label(painter, label, place)


def draw_label(painter: QPainter, label: TagLabel, place: QRectF) -> None:
    """Draw a tag on its label, all in tenths of a millimetre."""
    symbol = symbol_place(place)
    draw_symbol(painter, label.symbol, symbol)
    # The symbol's own light margin keeps the words away from it.
    words = QRectF(symbol.right(), place.top(), place.right() - symbol.right(), place.height())
    edge = symbol.left() - place.left() + _EDGE
    words.adjust(0, edge, -edge, -edge)
    size = round(max(_LEAST_TYPE, min(_LARGEST_TYPE, place.height() / 13)))
    words.setBottom(_draw_cautions(painter, " ".join(label.cautions), words, size))
    top = _draw_tag(painter, label, words)
    for text, bold in _lines(label):
        if top + size * _LINE > words.bottom():
            break
        font = type_face(size, bold=bold)
        painter.setFont(font)
        painter.setPen(INK)
        painter.drawText(
            QRectF(words.left(), top, words.width(), size * _LINE),
            Qt.AlignmentFlag.AlignLeft.value,
            cut(text, font, words.width()),
        )
        top += size * _LINE


def symbol_place(place: QRectF) -> QRectF:
    """Give the square of a label in which its symbol stands with its light margin."""
    edge = _EDGE_OF_A_LARGE_LABEL if place.height() >= _LARGE_LABEL else _EDGE / 2
    room = min(place.height() - 2 * edge, place.width() * _SYMBOL_SHARE, _LARGEST_SYMBOL)
    side = max(2, math.floor(room / USUAL_MODULES / _DOT)) * _DOT * USUAL_MODULES
    return QRectF(place.left() + edge, place.top() + (place.height() - side) / 2, side, side)


def draw_symbol(painter: QPainter, symbol: Symbol, place: QRectF) -> None:
    """Draw a QR code with its light margin inside a square place."""
    dots = painter.deviceTransform().m11()
    module = place.width() / symbol.side_with_margin
    margin = QUIET_MODULES * module
    left, top = place.left() + margin, place.top() + margin
    corner = painter.deviceTransform().map(QPointF(left, top))
    left += (round(corner.x()) - corner.x()) / dots
    top += (round(corner.y()) - corner.y()) / dots
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Qt.GlobalColor.black)
    painter.drawRects(
        [
            QRectF(left + run.column * module, top + run.row * module, run.length * module, module)
            for run in symbol.runs
        ]
    )
    painter.restore()


def _draw_tag(painter: QPainter, label: TagLabel, words: QRectF) -> float:
    """Write the tag as large as it fits, its check digits beside it; give where it ends."""
    size = round(min(_LARGEST_TAG, words.height() * 0.36))
    while size > _LEAST_TAG and _tag_width(label, size) > words.width():
        size -= 1
    font = type_face(size, bold=True)
    if _tag_width(label, size) > words.width():
        return _draw_long_name(painter, label.tag, words, size)
    line = QRectF(words.left(), words.top(), words.width(), size * _LINE)
    baseline = line.top() + QFontMetricsF(font).ascent()
    painter.setPen(INK)
    painter.setFont(font)
    painter.drawText(QPointF(line.left(), baseline), label.tag)
    left = line.left() + QFontMetricsF(font).horizontalAdvance(f"{label.tag} ")
    painter.setFont(type_face(round(size * _CHECK_SHARE)))
    painter.drawText(QPointF(left, baseline), label.check)
    return line.bottom()


def _draw_long_name(painter: QPainter, name: str, words: QRectF, size: int) -> float:
    """Write a name that is too long for one line on two, cut if need be; give where it ends."""
    font = type_face(size, bold=True)
    painter.setFont(font)
    painter.setPen(INK)
    place = QRectF(words.left(), words.top(), words.width(), 2 * size * _LINE)
    # A little less than both lines: words are seldom broken where a line is full.
    told = cut(name, font, 1.7 * words.width())
    painter.drawText(place, _WRAPPED, told)
    return place.bottom()


def _tag_width(label: TagLabel, size: int) -> float:
    tag = QFontMetricsF(type_face(size, bold=True)).horizontalAdvance(f"{label.tag} ")
    check = QFontMetricsF(type_face(round(size * _CHECK_SHARE))).horizontalAdvance(label.check)
    return tag + check


def _lines(label: TagLabel) -> list[tuple[str, bool]]:
    """Give the lines below the tag, the most needed first, and which of them are bold."""
    lots = ", ".join(label.lots) + (f" +{label.more_lots}" if label.more_lots else "")
    how = "received" if label.is_received else "made"
    made = "" if label.made_on is None else f"{how} {day(label.made_on)}"
    since = "" if label.kept_since is None else f"kept since {day(label.kept_since)}"
    lines = [
        (label.form, True),
        (since or made, bool(since)),
        (f"lot {lots}" if lots else "", False),
    ]
    return [(text, bold) for text, bold in lines if text]


def _draw_cautions(painter: QPainter, text: str, words: QRectF, size: int) -> float:
    """Write the cautions in a frame at the foot; give where it begins, or the foot without."""
    if not text:
        return words.bottom()
    inside = words.width() - 2 * _EDGE
    smallest = _LEAST_TYPE - 3
    height = 0.0
    for smaller in range(size, smallest - 1, -1):
        font = type_face(smaller, bold=True)
        bounds = QRectF(0, 0, inside, 10_000)
        height = QFontMetricsF(font).boundingRect(bounds, _WRAPPED, text).height()
        painter.setFont(font)
        if height <= words.height() * _MOST_CAUTION:
            break
    frame = QRectF(words.left(), words.bottom() - height - _EDGE, words.width(), height + _EDGE)
    painter.setPen(QPen(INK, 3))
    painter.drawRect(frame)
    painter.drawText(frame.adjusted(_EDGE, _EDGE / 2, -_EDGE, 0), _WRAPPED, text)
    return frame.top() - _EDGE / 2
