"""A page of paper: its measures, its type, and blocks that flow over as many pages as they need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from vault.screens.look import FACE

# What the painter counts in: tenths of a millimetre.
UNITS_OF_A_MM = 10
MM_OF_AN_INCH = 25.4
INK = QColor("#26241F")
SOFT_INK = QColor("#6F6A60")
RULE = QColor("#B9B2A4")
MARGIN_MM = 18
# Type sizes, in tenths of a millimetre: 34 is about 9.6 points.
BODY, SMALL, HEADING, TITLE = 34, 27, 40, 60

PAGE_SIZES_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


class Paper(Protocol):
    """Something that can be printed: so many pages of one size."""

    @property
    def title(self) -> str:
        """What the file and the print job are called."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of every page."""

    @property
    def pages(self) -> int:
        """How many pages there are; at least one."""

    def draw(self, painter: QPainter, page: int) -> None:
        """Draw one page, counted from 0, in tenths of a millimetre from its upper left corner."""


class Block(Protocol):
    """A part of a report that is not broken between pages."""

    def height(self, width: float) -> float:
        """Give how high it is at a width."""

    def draw(self, painter: QPainter, place: QRectF) -> None:
        """Draw it at a place of that width and height."""


@cache
def type_face(size: int, *, bold: bool = False) -> QFont:
    """Give the program's face in tenths of a millimetre, with digits of equal width."""
    font = QFont(FACE)
    font.setPixelSize(size)
    font.setBold(bold)
    font.setFeature(QFont.Tag("tnum"), 1)
    # A PDF's “tt” and “fi” drawn as one sign cannot be searched or copied as letters.
    font.setFeature(QFont.Tag("liga"), 0)
    # Hints of a screen would make paper wider or narrower than it was measured.
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


def cut(text: str, font: QFont, width: float) -> str:
    """Cut a text with … where it is longer than its place."""
    return QFontMetricsF(font).elidedText(text, Qt.TextElideMode.ElideRight, width)


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph, broken into lines as its width asks for; a heading wants room below it."""

    text: str
    size: int = BODY
    bold: bool = False
    soft: bool = False
    above: float = 0
    room_below: float = 0

    def height(self, width: float) -> float:
        """Give how high it is at a width."""
        bounds = QFontMetricsF(type_face(self.size, bold=self.bold)).boundingRect(
            QRectF(0, 0, width, 100_000), _WRAPPED, self.text
        )
        return self.above + bounds.height()

    def draw(self, painter: QPainter, place: QRectF) -> None:
        """Draw it."""
        painter.setFont(type_face(self.size, bold=self.bold))
        painter.setPen(SOFT_INK if self.soft else INK)
        painter.drawText(place.adjusted(0, self.above, 0, 0), _WRAPPED, self.text)


_BETWEEN_SIGNERS = 80
_WRAPPED = int(Qt.TextFlag.TextWordWrap.value | Qt.AlignmentFlag.AlignLeft.value)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Names on the left and what they stand for on the right, one below the other."""

    pairs: Sequence[tuple[str, str]]
    name_width: float = 320
    above: float = 20

    def height(self, width: float) -> float:
        """Give how high it is at a width."""
        return self.above + sum(self._heights(width))

    def draw(self, painter: QPainter, place: QRectF) -> None:
        """Draw it."""
        top = place.top() + self.above
        heights = self._heights(place.width())
        for (name, value), height in zip(self.pairs, heights, strict=True):
            left = QRectF(place.left(), top, self.name_width, height)
            Words(name, soft=True).draw(painter, left)
            Words(value).draw(painter, QRectF(left.right(), top, self._rest(place.width()), height))
            top += height

    def _rest(self, width: float) -> float:
        return width - self.name_width

    def _heights(self, width: float) -> list[float]:
        return [Words(value or " ").height(self._rest(width)) + 8 for _, value in self.pairs]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines on which people sign, beside each other, with the whole name of each below."""

    names: Sequence[str]
    above: float = 260

    def height(self, width: float) -> float:
        """Give how high it is at a width."""
        each = self._each(width)
        names = [Words(one, size=SMALL).height(each) for one in self.names]
        return self.above + max([44, *names]) + 6

    def draw(self, painter: QPainter, place: QRectF) -> None:
        """Draw it."""
        width = self._each(place.width())
        top = place.top() + self.above
        for at, name in enumerate(self.names):
            left = place.left() + at * (width + _BETWEEN_SIGNERS)
            painter.setPen(QPen(INK, 2))
            painter.drawLine(QPointF(left, top), QPointF(left + width, top))
            words = Words(name, size=SMALL, soft=True)
            words.draw(painter, QRectF(left, top + 6, width, words.height(width)))

    def _each(self, width: float) -> float:
        """Give how wide the line of one is."""
        return (width - _BETWEEN_SIGNERS * (len(self.names) - 1)) / len(self.names)


@dataclass(frozen=True, slots=True)
class Placed:
    """A block at its height on a page."""

    block: Block
    top: float
    height: float


def head_of(
    shop: str, title: str, *, struck_by: int | None = None, called: str = "paper"
) -> list[Block]:
    """Give what stands above every paper: whose it is, what, and whether it holds no more.

    Args:
        shop: the name of the shop.
        title: what the paper is.
        struck_by: the entry that struck the one it tells of.
        called: what it is called where it holds no more.
    """
    head: list[Block] = [
        Words(shop, size=HEADING, bold=True),
        Words(title, size=TITLE, bold=True, above=20),
    ]
    if struck_by is not None:
        struck = f"Struck by entry {struck_by}: this {called} does not hold any more."
        head.append(Words(struck, bold=True, above=20))
    return head


class Report:
    """Blocks on pages, with a line of small type and the page's number at the foot of each."""

    def __init__(self, title: str, blocks: Sequence[Block], foot: str, page_size: str) -> None:
        self.title = title
        self.size_mm = PAGE_SIZES_MM[page_size]
        self._foot = foot
        width, height = (side * UNITS_OF_A_MM for side in self.size_mm)
        margin = MARGIN_MM * UNITS_OF_A_MM
        self._body = QRectF(margin, margin, width - 2 * margin, height - 2.4 * margin)
        self._pages = _flow(blocks, self._body.size())

    @property
    def pages(self) -> int:
        """How many pages there are."""
        return len(self._pages)

    def draw(self, painter: QPainter, page: int) -> None:
        """Draw one page."""
        body = self._body
        for one in self._pages[page]:
            place = QRectF(body.left(), body.top() + one.top, body.width(), one.height)
            one.block.draw(painter, place)
        number = f"page {page + 1} of {self.pages}"
        width = QFontMetricsF(type_face(SMALL)).horizontalAdvance(number)
        line = QRectF(body.left(), body.bottom() + 60, body.width() - width - 60, 90)
        Words(self._foot, size=SMALL, soft=True).draw(painter, line)
        place = QRectF(body.right() - width - 2, line.top(), width + 4, 40)
        Words(number, size=SMALL, soft=True).draw(painter, place)


def _flow(blocks: Sequence[Block], room: QSizeF) -> list[list[Placed]]:
    """Put blocks on pages, each below the last; a table's heading comes again on each page."""
    pages: list[list[Placed]] = [[]]
    top = 0.0
    for block in blocks:
        height = block.height(room.width())
        # A heading alone at the foot of a page says nothing.
        following = getattr(block, "room_below", 0.0)
        if pages[-1] and top + height + following > room.height():
            pages.append([])
            top = 0.0
            again: Block | None = getattr(block, "heading", None)
            if again is not None:
                pages[-1].append(Placed(again, top, again.height(room.width())))
                top += pages[-1][-1].height
        pages[-1].append(Placed(block, top, height))
        top += height
    return pages
