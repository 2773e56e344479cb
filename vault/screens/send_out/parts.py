"""What could be done with residues, drawn and in words: parts of a card or of a dialog."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from vault.application.queries.answers.send_out import Ask, SendOut
from vault.screens.charts.ranges import Range, RangesChart
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import label

# Of the sheets that bring least only the number is told; the rest stands line by line.
_MOST_SHEETS = 3
_ASKED = "Working out what could be done with it …"
_HOW = (
    "Is it worth sending out? What is left after all charges, with its 90 % range, against keeping "
    "it; in {}."
)
_AID = (
    "An aid to your own judgement: prices, charges and contents are what this book was told. Ask "
    "the refinery, and follow the law where you are."
)
# What the first button does where something is needed before anything can be said.
_FIRST = {
    Ask.FIGURES: "work_out",
    Ask.CONTENTS: "assay",
    Ask.PRICES: "prices",
    Ask.SHEETS: "terms",
}


class ChoicePart(QWidget):
    """Everything that could be done, side by side."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.how = label(size=Size.SECOND, kind="soft", wrap=True)
        self.chart = RangesChart(style)
        self.rest = label(size=Size.SMALL, kind="soft", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for part in (self.how, self.chart, self.rest):
            column.addWidget(part)
        self.show_choice(None)

    def wait(self) -> None:
        """Say that it is being worked out."""
        self.show_choice(None)
        self.how.setText(_ASKED)

    def show_choice(self, choice: SendOut | None) -> None:
        """Show what could be done and what it brings; None for nothing at all."""
        rows = () if choice is None else choice.rows
        shown = [] if choice is None else self._shown(choice)
        self.chart.show_rows(shown, self._style.numbers.money)
        self.chart.setVisible(bool(shown))
        self.how.setText(_HOW.format(choice.currency) if choice is not None and rows else "")
        hidden = len(rows) - len(shown)
        told = "sheet brings" if hidden == 1 else "sheets bring"
        self.rest.setText(f"{hidden} more {told} less; see line by line." if hidden else "")
        self.rest.setVisible(bool(hidden))

    def _shown(self, choice: SendOut) -> list[Range]:
        """Give the rows to be drawn: of the sheets those that bring most."""
        sheets = sorted((one for one in choice.rows if one.is_sheet), key=lambda one: -one.net)
        left_out = {one.words for one in sheets[_MOST_SHEETS:] if not one.is_best}
        return [
            Range(
                words=one.words,
                value=one.net,
                low=one.low,
                high=one.high,
                told=self._style.numbers.money(one.net, one.u),
                more=one.more,
                is_best=one.is_best,
            )
            for one in choice.rows
            if one.words not in left_out
        ]


class VerdictPart(QWidget):
    """The verdict, what it hangs on first, and what is not known; in full with every reason."""

    def __init__(
        self, commands: Commands, parent: QWidget | None = None, *, in_full: bool = False
    ) -> None:
        super().__init__(parent)
        self._commands = commands
        self._in_full = in_full
        self.heading = label(size=Size.TITLE, bold=True, wrap=True)
        self._inside = QWidget()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._column.addWidget(self.heading)
        self._column.addWidget(self._inside)
        self.show_choice(None)

    def show_choice(self, choice: SendOut | None) -> None:
        """Show the verdict; None while it is being worked out."""
        self.heading.setText("" if choice is None else choice.heading)
        self.heading.setVisible(choice is not None)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        if choice is not None:
            _add(column, [choice.verdict] if choice.verdict else [])
            if self._in_full:
                _add(column, choice.reasons, size=Size.SECOND)
            hangs_on = choice.hangs_on if self._in_full else choice.hangs_on[:1]
            _add(column, hangs_on, size=Size.SECOND)
            _add(column, choice.not_known, size=Size.SMALL, kind="soft")
            if choice.asks in _FIRST:
                first = button_of(self._commands[_FIRST[choice.asks]], first=True)
                column.addWidget(first, 0, Qt.AlignmentFlag.AlignLeft)
            if choice.rows and self._in_full:
                _add(column, [_AID], size=Size.SMALL, kind="soft")
        self._column.replaceWidget(self._inside, inside)
        self._inside.deleteLater()
        self._inside.hide()
        self._inside = inside
        inside.show()


def _add(
    column: QVBoxLayout, sentences: Sequence[str], *, size: Size = Size.BODY, kind: str = ""
) -> None:
    for words in sentences:
        column.addWidget(label(words, size=size, kind=kind, wrap=True))
