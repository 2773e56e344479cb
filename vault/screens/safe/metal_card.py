"""The card of one metal: all of it on hand, by form, owed against ours."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from vault.application.queries.answers.safe import MetalCard, Part
from vault.screens.house_style import HouseStyle
from vault.screens.look import CARD_PADDING, CARD_RADIUS, Look, Size, face
from vault.screens.numbers import NOT_KNOWN, Numbers, metal_name
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.words import forms
from vault.screens.words import items as items_words

HEIGHT = 178
_BAR_HEIGHT = 16.0
_LEGEND_LINES = 2
_LINE = 18.0
_BETWEEN = "   "


def is_sure(card: MetalCard) -> bool:
    """Tell whether there is more of a metal than the doubt about it; else no card stands for it."""
    total = card.total
    return total.fine_ug is not None and total.fine_ug > (total.u_ug or 0)


def line_words(card: MetalCard, numbers: Numbers) -> str:
    """Say in a few words what there may be of a metal that has no card."""
    total = card.total
    if total.fine_ug is None:
        return f"{card.metal}: {not_known_words(card, numbers) or NOT_KNOWN}"
    most = numbers.at_most(total.fine_ug, total.u_ug or 0)
    told = [] if any(is_known(part) for part in card.parts) else ["none known"]
    if most:
        told.append(f"at most {most} {numbers.unit}")
    return f"{card.metal}: {', '.join(told) or 'not clear'}"


def is_known(part: Part) -> bool:
    """Tell whether there is more of a part than the doubt about it."""
    return part.figure.fine_ug is not None and part.figure.fine_ug > (part.figure.u_ug or 0)


def told_in_full(card: MetalCard, numbers: Numbers) -> str:
    """Say all that is known of a metal, a line for each form; what is not known is one line."""
    total = numbers.uncut_with_unit(card.total)
    lines = [
        f"{card.metal} {metal_name(card.metal)}: {total} fine",
        *(
            f"{words_of_part(part, numbers)} in "
            f"{items_words(part.items, numbers.count(part.items))}"
            for part in told_parts(card)
        ),
        owed_words(card, numbers),
        not_known_words(card, numbers),
        "± is one standard uncertainty",
    ]
    return "\n".join(line for line in lines if line)


def told_parts(card: MetalCard) -> list[Part]:
    """Give the forms of which something is known; the others are counted as not known."""
    return [part for part in card.parts if part.figure.fine_ug is not None]


def segments_of(card: MetalCard, look: Look) -> list[Segment]:
    """Give the parts of a card's bar: forms in the metal's hues, residues hatched."""
    solid, hatched = count(), count()
    return [
        Segment(
            float(part.figure.fine_ug or 0),
            look.shade(card.metal, next(hatched) if part.is_residue else next(solid)),
            part.is_residue,
        )
        for part in card.parts
    ]


def words_of_part(part: Part, numbers: Numbers) -> str:
    """Name a part with its figure: `slag 489 ± 26`."""
    return f"{forms(part.form)} {numbers.figure(part.figure)}"


def owed_words(card: MetalCard, numbers: Numbers) -> str:
    """Say what is owed and what is the shop's own."""
    owed, ours = numbers.figure_with_unit(card.owed), numbers.figure_with_unit(card.ours)
    return f"owed to customers {owed}  ·  ours {ours}"


def not_known_words(card: MetalCard, numbers: Numbers) -> str:
    """Say how many items are left out because nothing says what they hold; empty if none."""
    if not card.not_known:
        return ""
    told = items_words(card.not_known, numbers.count(card.not_known))
    return f"{told} not known, left out"


class MetalCardView(QWidget):
    """Paints one `MetalCard`."""

    def __init__(self, card: MetalCard, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._card = card
        self._style = style
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        told = told_in_full(card, style.numbers)
        self.setToolTip(told)
        self.setAccessibleName(told)

    @property
    def card(self) -> MetalCard:
        """What is shown."""
        return self._card

    def _paint_head(self, painter: QPainter, box: QRectF) -> None:
        look, card = self._style.look, self._card
        painter.setFont(face(bold=True))
        painter.setPen(look.metal(card.metal))
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft, card.metal)
        indent = painter.fontMetrics().horizontalAdvance(f"{card.metal}  ")
        painter.setFont(face())
        painter.setPen(look.ink)
        painter.drawText(
            box.adjusted(indent, 0, 0, 0), Qt.AlignmentFlag.AlignLeft, metal_name(card.metal)
        )
        painter.setPen(look.soft_ink)
        painter.drawText(
            box, Qt.AlignmentFlag.AlignRight, self._style.numbers.other_unit(card.total)
        )

    def _paint_total(self, painter: QPainter, box: QRectF) -> None:
        look, numbers = self._style.look, self._style.numbers
        total = self._card.total
        value, doubt = numbers.uncut_and_doubt(total.fine_ug, total.u_ug)
        told = f"{value} {numbers.unit}"
        rest = f"± {doubt} {numbers.unit} fine" if doubt else "fine"
        baseline = box.bottom()
        room = box.width()
        for size in (Size.LARGE, Size.HEADING):
            large = face(size, bold=True)
            width = QFontMetricsF(large).horizontalAdvance(told) + 8
            if width + QFontMetricsF(face()).horizontalAdvance(f"± {doubt}") <= room:
                break
        painter.setFont(large)
        painter.setPen(look.ink)
        painter.drawText(QPointF(box.left(), baseline), told)
        painter.setFont(face())
        painter.setPen(look.soft_ink)
        if width + QFontMetricsF(face()).horizontalAdvance(rest) > room:
            rest = f"± {doubt}"
        painter.drawText(QPointF(box.left() + width, baseline), rest)

    def _paint_legend(self, painter: QPainter, box: QRectF) -> None:
        painter.setFont(face(Size.SMALL))
        painter.setPen(self._style.look.soft_ink)
        told = [words_of_part(part, self._style.numbers) for part in told_parts(self._card)]
        width_of = QFontMetricsF(painter.font()).horizontalAdvance
        for line, words in enumerate(flowed(told, width_of, box.width(), _LEGEND_LINES)):
            painter.drawText(QPointF(box.left(), box.top() + (line + 0.75) * _LINE), words)

    def _paint_foot(self, painter: QPainter, box: QRectF) -> None:
        look, numbers, card = self._style.look, self._style.numbers, self._card
        painter.setFont(face(Size.SMALL))
        baseline = box.bottom() - 4
        unknown = not_known_words(card, numbers)
        if unknown:
            painter.setPen(look.soft_ink)
            painter.drawText(QPointF(box.left(), baseline), _cut(painter, unknown, box))
            baseline -= _LINE - 1
        painter.setPen(look.ink)
        owed, ours = numbers.figure_with_unit(card.owed), numbers.figure_with_unit(card.ours)
        bare_owed, bare_ours = numbers.figure(card.owed), numbers.figure(card.ours)
        for told, between, one, other in (
            ("owed to customers ", "  ·  ours ", owed, ours),
            ("owed ", "  ·  ours ", owed, ours),
            ("owed ", " · ours ", bare_owed, bare_ours),
        ):
            runs = ((told, False), (one, True), (between, False), (other, True))
            if sum(_width(words, bold=bold) for words, bold in runs) <= box.width():
                break
        else:
            told = "".join(words for words, _ in runs)
            painter.drawText(QPointF(box.left(), baseline), _cut(painter, told, box))
            return
        x = box.left()
        for words, bold in runs:
            painter.setFont(face(Size.SMALL, bold=bold))
            painter.drawText(QPointF(x, baseline), words)
            x += _width(words, bold=bold)

    @override
    def sizeHint(self) -> QSize:
        return QSize(280, HEIGHT)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(180, HEIGHT)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        look = self._style.look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(look.line)
        painter.setBrush(look.card)
        frame = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.drawRoundedRect(frame, CARD_RADIUS, CARD_RADIUS)
        inside = frame.adjusted(CARD_PADDING, 12, -CARD_PADDING, -8)
        self._paint_head(painter, inside)
        self._paint_total(painter, QRectF(inside.left(), inside.top(), inside.width(), 52))
        bar = QRectF(inside.left(), inside.top() + 64, inside.width(), _BAR_HEIGHT)
        paint_bar(painter, bar, segments_of(self._card, look), look.band)
        self._paint_legend(
            painter,
            QRectF(inside.left(), bar.bottom() + 4, inside.width(), _LEGEND_LINES * _LINE),
        )
        self._paint_foot(painter, inside)


def flowed(
    words: Sequence[str], width_of: Callable[[str], float], room: float, lines: int
) -> list[str]:
    """Set words in lines no wider than the room; those without a place are told as a number.

    >>> flowed(["bars 1", "slag 2", "dust 3"], len, 16, 1)
    ['bars 1   2 more']
    """
    for shown in range(len(words), 0, -1):
        rest = len(words) - shown
        told = [*words[:shown], f"{rest} more"] if rest else list(words)
        set_in_lines: list[str] = [""]
        for word in told:
            longer = f"{set_in_lines[-1]}{_BETWEEN}{word}" if set_in_lines[-1] else word
            if set_in_lines[-1] and width_of(longer) > room:
                set_in_lines.append(word)
            else:
                set_in_lines[-1] = longer
        if len(set_in_lines) <= lines:
            return set_in_lines
    return [f"{len(words)} forms"] if words else []


def _width(words: str, *, bold: bool) -> float:
    return QFontMetricsF(face(Size.SMALL, bold=bold)).horizontalAdvance(words)


def _cut(painter: QPainter, words: str, box: QRectF) -> str:
    return painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(box.width()))
