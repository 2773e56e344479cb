"""Why the verdict on residues is as it is: every reason, and each figure line by line."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QScrollArea, QVBoxLayout, QWidget

from vault.application.queries.answers.send_out import ChoiceRow, SendOut
from vault.screens.commands import Commands
from vault.screens.dialogs import ShortDialog
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.send_out.parts import VerdictPart
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import label, line

_EXPECTED = (
    "The lines are reckoned at what is believed now and at today's prices. What is expected "
    "differs from their sum: thresholds and least charges weigh more where contents and prices may "
    "turn out lower, and waiting counts what it delays."
)
_NO_LINES = "Nothing is charged and nothing comes back."


class WhyDialog(ShortDialog):
    """Shows the lines of one option; another is chosen above."""

    def __init__(
        self,
        subject: str,
        choice: SendOut,
        style: HouseStyle,
        commands: Commands,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(f"{subject}: why, line by line", parent)
        self._choice = choice
        self._style = style
        options = [(at, one.words) for at, one in enumerate(choice.rows)]
        self.option = Choice("What would be done", options)
        best = next((at for at, one in enumerate(choice.rows) if one.is_best), 0)
        self.option.choose(best)
        self.option.chosen.connect(self._fill)
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.verdict = VerdictPart(commands, in_full=True)
        self.verdict.show_choice(choice)
        self.column.addWidget(self.verdict)
        self.column.addWidget(line())
        self.column.addWidget(self.option)
        self.column.addWidget(self._area, 1)
        self._fill()
        self.resize(620, 720)

    def _fill(self) -> None:
        row = self._choice.rows[int(str(self.option.value))]
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 12, 0)
        column.setSpacing(8)
        column.addLayout(self._grid(row))
        column.addWidget(label(row.more, size=Size.SECOND, wrap=True))
        column.addWidget(label(_EXPECTED, size=Size.SMALL, kind="soft", wrap=True))
        column.addStretch(1)
        self._area.setWidget(inside)

    def _grid(self, row: ChoiceRow) -> QGridLayout:
        numbers, currency = self._style.numbers, self._choice.currency
        grid = QGridLayout()
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(0, 1)
        lines = [(one.words, one.amount, one.is_sum) for one in row.lines]
        for at, (words, amount, is_sum) in enumerate(lines or [(_NO_LINES, None, False)]):
            if is_sum:
                grid.addWidget(line(), 2 * at, 0, 1, 2)
            grid.addWidget(label(words, bold=is_sum, wrap=True), 2 * at + 1, 0)
            told = "" if amount is None else f"{numbers.cents(amount)} {currency}"
            grid.addWidget(label(told, bold=is_sum), 2 * at + 1, 1, Qt.AlignmentFlag.AlignRight)
        at = 2 * len(lines) + 2
        grid.addWidget(line(), at, 0, 1, 2)
        grid.addWidget(label("expected, with its ±", bold=True), at + 1, 0)
        told = f"{numbers.money(row.net, row.u)} {currency}"
        grid.addWidget(label(told, bold=True), at + 1, 1, Qt.AlignmentFlag.AlignRight)
        return grid
