"""What residues of each kind keep of a metal, guessed and believed, and where doubt is from."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from vault.application.queries.answers.residues import HouseFactor, Residues
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import metal_name
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.shares import BudgetPart

_TITLES = ("Residue, and where the guess is from", "First guess", "Now believed")

_BELOW_A_SOURCE = 4


class KeepsCard(Card):
    """Shows the house factors of one metal."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.heading = ElidedLabel(size=Size.TITLE, bold=True)
        self.column.addWidget(self.heading)
        self.column.addWidget(
            label(
                "The first guess is the trade's; assays and settlements of this shop move it.",
                size=Size.SECOND,
                kind="soft",
                wrap=True,
            )
        )
        self._inside = QWidget()
        self.column.addWidget(self._inside)
        self.column.addStretch(1)

    def show_metal(self, residues: Residues, metal: str) -> None:
        """Show what is kept of a metal, and what the doubt about all that is kept comes from."""
        self.heading.setText(f"What residues here keep of the {metal_name(metal)}")
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 6, 0, 0)
        column.addLayout(self._factors(residues.factors, metal))
        budget = residues.budget.get(metal, ())
        if budget:
            column.addSpacing(6)
            column.addWidget(label(f"What the ± of {metal} comes from", kind="soft"))
            column.addWidget(BudgetPart(budget, self._style))
        self.column.replaceWidget(self._inside, inside)
        self._inside.deleteLater()
        self._inside.hide()
        self._inside = inside
        inside.show()

    def _factors(self, factors: Sequence[HouseFactor], metal: str) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 1)
        for place, title in enumerate(_TITLES):
            grid.addWidget(
                label(title, size=Size.SMALL, bold=True, kind="soft"), 0, place, _side_of(place)
            )
        shown = [one for one in factors if one.metal == metal]
        for place, factor in enumerate(shown):
            self._add_rows(grid, 1 + 2 * place, factor)
        if not shown:
            told = "Nothing is kept yet: no work with residues is recorded."
            grid.addWidget(label(told, size=Size.SECOND, kind="soft"), 1, 0, 1, len(_TITLES))
        return grid

    def _add_rows(self, grid: QGridLayout, row: int, factor: HouseFactor) -> None:
        numbers = self._style.numbers
        guess = numbers.share_and_doubt(factor.guess, factor.guess_u)
        now = numbers.share_and_doubt(factor.now, factor.now_u)
        is_moved = now != guess
        grid.addWidget(label(factor.kind, size=Size.SECOND), row, 0)
        grid.addWidget(label(guess, size=Size.SECOND, kind="soft"), row, 1, _side_of(1))
        told = label(now if is_moved else "as guessed", size=Size.SECOND, bold=is_moved)
        grid.addWidget(told, row, 2, _side_of(2))
        source = label(factor.source, size=Size.SMALL, kind="soft", wrap=True)
        source.setContentsMargins(0, 0, 0, _BELOW_A_SOURCE)
        grid.addWidget(source, row + 1, 0, 1, len(_TITLES))


def _side_of(place: int) -> Qt.AlignmentFlag:
    is_figure = place in {1, 2}
    return Qt.AlignmentFlag.AlignRight if is_figure else Qt.AlignmentFlag.AlignLeft
