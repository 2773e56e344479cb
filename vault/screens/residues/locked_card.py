"""The card of what is still locked up: the figures, their worth, and where their doubt is from."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from vault.application.queries.answers import Residues, Worth
from vault.application.wording import listed
from vault.core.knowledge import Figure
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import Numbers, day
from vault.screens.residues.columns import left_out_words
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label
from vault.screens.widgets.shares import BudgetPart
from vault.screens.words import sentence_of

# The smaller words stand on the same line as the large figure, whose letters end higher up.
_TO_BASELINE = {Size.LARGE: 6, Size.HEADING: 2}
_LARGE = 2
_IN_A_LINE = 3
_MOST_SOURCES = 4


class LockedCard(Card):
    """What is locked up in all residues together."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._inside: QWidget | None = None

    def show_residues(self, residues: Residues, metal: str) -> None:
        """Show the figures of all metals, and what the doubt about one comes from."""
        if self._inside is not None:
            self.column.removeWidget(self._inside)
            self._inside.deleteLater()
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(label("Still locked up in residues", kind="soft"))
        column.addLayout(self._figures(residues))
        numbers = self._style.numbers
        column.addWidget(label(worth_words(residues, numbers), wrap=True))
        not_known = left_out_words(dict(residues.left_out), numbers)
        if not_known:
            told = label(not_known, wrap=True)
            told.setToolTip(f"Nothing at all is known of {listed(residues.not_known, most=20)}")
            column.addWidget(told)
        budget = residues.budget.get(metal, ())
        if budget:
            column.addSpacing(6)
            column.addWidget(label(f"What the ± of {metal} comes from", kind="soft"))
            column.addWidget(BudgetPart(budget[:_MOST_SOURCES], self._style))
        column.addStretch(1)
        self.column.addWidget(inside)

    def _figures(self, residues: Residues) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(22)
        grid.setVerticalSpacing(0)
        are_few = len(residues.totals) <= _LARGE
        size = Size.LARGE if are_few else Size.HEADING
        for place, (metal, figure) in enumerate(residues.totals.items()):
            row, at = divmod(place, _IN_A_LINE)
            grid.addLayout(self._figure(metal, figure, size), row, at)
        grid.setColumnStretch(_IN_A_LINE, 1)
        return grid

    def _figure(self, metal: str, figure: Figure, size: Size) -> QHBoxLayout:
        numbers = self._style.numbers
        value, doubt = numbers.uncut_and_doubt(figure.fine_ug, figure.u_ug)
        row = QHBoxLayout()
        row.setSpacing(7)
        row.addWidget(label(f"{metal} {value}", size=size, bold=True))
        rest = f"± {doubt} {numbers.unit}" if doubt else numbers.unit
        if figure.fine_ug is not None:
            told = label(rest, kind="soft")
            told.setContentsMargins(0, 0, 0, _TO_BASELINE[size])
            row.addWidget(told, 0, Qt.AlignmentFlag.AlignBottom)
        return row


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
