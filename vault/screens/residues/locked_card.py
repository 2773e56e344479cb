"""The card of what is still locked up: the figures, their worth, what to assay, the record."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.residues import NextAssay, Residues
from vault.application.queries.answers.safe import Worth
from vault.application.wording import listed
from vault.core.knowledge import Figure
from vault.screens.house_style import HouseStyle
from vault.screens.look import CARD_PADDING, Size, face
from vault.screens.numbers import Numbers, day
from vault.screens.residues.columns import not_known_words
from vault.screens.residues.next_assay import next_assay_words, sample_words
from vault.screens.residues.record_part import RecordPart
from vault.screens.widgets.cards import Card, Note
from vault.screens.widgets.labels import label
from vault.screens.words import sentence_of

# The smaller words stand on the same line as the large figure, whose letters end higher up.
_TO_BASELINE = {Size.LARGE: 6, Size.HEADING: 2, Size.TITLE: 1}
_TO_DOUBT = 8
_BETWEEN = 24
# Letters are a hair wider on screen than measured; none of them is to be cut.
_SPARE = 8
_CHIEF = 2
_MOST_NAMES = 20
_LEAST_WIDTH = 300

# Metals in lines, each with the size in which it is set.
Lines = list[tuple[Size, list[str]]]


class LockedCard(Card):
    """What is locked up in all residues together."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        # Figures give way in size, and would hold the card as wide as they were set first.
        self.setMinimumWidth(_LEAST_WIDTH)
        self._residues: Residues | None = None
        self._lines: Lines = []
        self._inside: QWidget | None = None
        self.next_assay = Note()
        self.next_assay.hide()
        self.record = RecordPart(style)
        self.column.addWidget(self.next_assay)
        self.column.addWidget(self.record)

    def show_residues(self, residues: Residues) -> None:
        """Show the figures of all metals."""
        self._residues = residues
        self._fill()

    def show_next_assay(self, found: NextAssay | None) -> None:
        """Show what to sample next, or nothing."""
        words = "" if found is None else next_assay_words(found, self._style.numbers)
        self.next_assay.words.setText(words)
        self.next_assay.setToolTip(
            "" if found is None else sample_words(found, self._style.numbers)
        )
        self.next_assay.setVisible(bool(words))

    def _fill(self) -> None:
        residues = self._residues
        if residues is None:
            return
        if self._inside is not None:
            self.column.removeWidget(self._inside)
            self._inside.deleteLater()
            self._inside.hide()
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(label("Still locked up in residues", kind="soft"))
        self._lines = self._set_in_lines(residues)
        for size, metals in self._lines:
            column.addLayout(self._line(residues, size, metals))
        for words in self._sentences(residues):
            column.addWidget(words)
        column.addStretch(1)
        self.column.insertWidget(0, inside, 1)
        inside.show()

    def _sentences(self, residues: Residues) -> list[QWidget]:
        numbers = self._style.numbers
        told: list[QWidget] = [label(worth_words(residues, numbers), wrap=True)]
        not_known = not_known_words(residues, numbers)
        if not_known:
            words = label(not_known, wrap=True)
            if residues.not_known:
                names = listed(residues.not_known, most=_MOST_NAMES)
                words.setToolTip(f"Nothing at all is known of {names}")
            told.append(words)
        return told

    def _set_in_lines(self, residues: Residues) -> Lines:
        """Set the chief metals large where they fit, and the rest in smaller lines below."""
        metals = list(residues.totals)
        room = self.width() - 2 * CARD_PADDING - _SPARE
        lines: Lines = []
        for size in (Size.LARGE, Size.HEADING):
            lines = self._flowed(residues, metals[:_CHIEF], size, room)
            if len(lines) <= 1:
                break
        return [*lines, *self._flowed(residues, metals[_CHIEF:], Size.TITLE, room)]

    def _flowed(self, residues: Residues, metals: list[str], size: Size, room: int) -> Lines:
        large, small = QFontMetrics(face(size, bold=True)), QFontMetrics(face())
        lines: list[list[str]] = []
        taken = 0
        for metal in metals:
            value, doubt = self._told(residues.totals[metal])
            wide = large.horizontalAdvance(f"{metal} {value}") + small.horizontalAdvance(doubt)
            wide += _TO_DOUBT
            if not lines or taken + _BETWEEN + wide > room:
                lines.append([])
                taken = -_BETWEEN
            lines[-1].append(metal)
            taken += _BETWEEN + wide
        return [(size, one) for one in lines]

    def _line(self, residues: Residues, size: Size, metals: list[str]) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(_TO_DOUBT)
        for place, metal in enumerate(metals):
            value, rest = self._told(residues.totals[metal])
            if place:
                row.addSpacing(_BETWEEN - _TO_DOUBT)
            row.addWidget(label(f"{metal} {value}", size=size, bold=True))
            doubt = label(rest, kind="soft")
            doubt.setContentsMargins(0, 0, 0, _TO_BASELINE[size])
            row.addWidget(doubt, 0, Qt.AlignmentFlag.AlignBottom)
        row.addStretch(1)
        return row

    def _told(self, figure: Figure) -> tuple[str, str]:
        """Give a total, and what stands smaller beside it."""
        numbers = self._style.numbers
        value, doubt = numbers.fine_and_doubt(figure.fine_ug, figure.u_ug)
        if figure.fine_ug is None:
            return value, ""
        return value, f"± {doubt} {numbers.unit}" if doubt else numbers.unit

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._residues is not None and self._lines != self._set_in_lines(self._residues):
            self._fill()


def worth_words(residues: Residues, numbers: Numbers) -> str:
    """Say what is locked up is worth, and which metal has no price."""
    worth: Worth = residues.worth
    if worth.locked is None:
        return "No price is set, so nothing is said of its worth."
    amount = numbers.money(worth.locked, worth.locked_u)
    prices = f"the prices of {day(worth.prices_of)}" if worth.prices_of else "set prices"
    unpriced = [metal for metal in worth.unpriced if metal in residues.totals]
    told = f"Worth {amount} {worth.currency} at {prices}."
    if unpriced:
        told += f" {sentence_of(unpriced)} without: no price is set."
    return told
