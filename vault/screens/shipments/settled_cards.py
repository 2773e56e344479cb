"""Beside a settlement: the own estimate against it, the sheet against it, and a dispute."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.settlements import Dispute, MetalAgainst, SettlementPreview
from vault.core.knowledge import Figure
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import NOTHING
from vault.screens.terms_sheets.example_words import lines_of
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label

_TITLES = ("", "Your estimate", "Agreed", "Difference", "Limit")
_NOTHING_YET = "What was found stands here against your own estimate once a grade is typed."
_SHEET_WAITS = "What the sheet makes of it stands here once the weight and a grade are typed."


class AgainstCard(Card):
    """Shows what is agreed beside what was believed, metal by metal."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._style = style
        self._grid = Grid()
        self.words = label(size=Size.SECOND, wrap=True)
        self.limit = label(size=Size.SMALL, kind="soft", wrap=True)
        caption = "Your own estimate against what is agreed"
        self.column.addWidget(label(caption, size=Size.SECOND, kind="soft"))
        for one in (self._grid, self.words, self.limit):
            self.column.addWidget(one)
        self.show_preview(None)

    def show_preview(self, preview: SettlementPreview | None) -> None:
        """Show the metals, or that nothing is typed yet."""
        metals = () if preview is None else preview.metals
        self._grid.empty()
        if metals:
            self._grid.put([label(one, size=Size.SMALL, kind="soft") for one in _TITLES])
        for one in metals:
            self._grid.put(self._row(one))
        weights = "" if preview is None else preview.weight_words
        told = [f"{one.metal}: {one.sentence}" for one in metals] or [_NOTHING_YET]
        self.words.setText("\n".join(one for one in (*told, weights) if one))
        below = () if preview is None or not metals else (preview.limit_words, *preview.cautions)
        self.limit.setText("\n".join(below))
        self.limit.setVisible(bool(self.limit.text()))

    def _row(self, one: MetalAgainst) -> list[QLabel]:
        numbers = self._style.numbers
        kind = "attention" if one.is_beyond else ""
        limit = NOTHING if one.limit_ug is None else numbers.roughly(one.limit_ug)
        return [
            label(one.metal, bold=True),
            label(self._told(one.own)),
            label(self._told(one.agreed)),
            label(self._told(one.gap), kind=kind, bold=one.is_beyond),
            label(limit),
        ]

    def _told(self, figure: Figure | None) -> str:
        return "not known" if figure is None else self._style.numbers.uncut_with_unit(figure)


class SheetCard(Card):
    """Shows what the terms sheet makes of it, step by step, and what was settled."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._style = style
        self._grid = Grid(stretch=0)
        self.words = label(size=Size.SECOND, wrap=True)
        self.prices = label(size=Size.SMALL, kind="soft", wrap=True)
        self.left_out = label(size=Size.SMALL, kind="soft", wrap=True)
        self.caption = label(size=Size.SECOND, kind="soft")
        self.column.addWidget(self.caption)
        for one in (self._grid, self.words, self.prices, self.left_out):
            self.column.addWidget(one)
        self.show_preview(None)

    def show_preview(self, preview: SettlementPreview | None) -> None:
        """Show the steps, or why there are none."""
        found = None if preview is None else preview.by_sheet
        self._grid.empty()
        told = "" if found is None else f", in {found.sheet.currency}"
        self.caption.setText(f"What the terms sheet makes of it{told}")
        if found is None:
            told = "" if preview is None else preview.no_sheet
            self.words.setText(told or _SHEET_WAITS)
            self.prices.hide()
            self.left_out.hide()
            return
        for one in lines_of(found.steps, found.sheet, 0.0, self._style.numbers):
            words = label(one.words, size=Size.SECOND, bold=one.is_sum, wrap=True)
            amount = label(one.amount, size=Size.SECOND, bold=one.is_sum)
            amount.setAlignment(Qt.AlignmentFlag.AlignRight)
            self._grid.put([words, amount])
        self.words.setText(found.sentence)
        self.prices.setText(found.price_words)
        self.prices.show()
        self.left_out.setText("\n".join(found.steps.left_out))
        self.left_out.setVisible(bool(found.steps.left_out))


class DisputeCard(Card):
    """Shows what to do about a difference beyond its limit; hidden where there is none.

    Signals:
        print_wanted: the text to the refinery is to be printed.
    """

    print_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self.sentence = label(kind="attention", bold=True, wrap=True)
        self.checks = label(size=Size.SECOND, wrap=True)
        self.umpire = label(size=Size.SECOND, bold=True, wrap=True)
        self.letter = label(size=Size.SECOND, kind="soft", wrap=True)
        self.letter.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.copy_button = QPushButton("Copy the text to the refinery")
        self.copy_button.setAutoDefault(False)
        self.copy_button.setToolTip("Copy it, to be put into a letter or mail")
        self.print_button = QPushButton("Print it as a letter …")
        self.print_button.setAutoDefault(False)
        self.print_button.setToolTip("On paper, or as a PDF")
        for one in (self.sentence, self.checks, self.umpire, self.letter):
            self.column.addWidget(one)
        ways = QHBoxLayout()
        ways.setSpacing(10)
        ways.addWidget(self.copy_button)
        ways.addWidget(self.print_button)
        ways.addStretch(1)
        self.column.addLayout(ways)
        self.copy_button.clicked.connect(self._on_copy_clicked)
        self.print_button.clicked.connect(self._on_print_clicked)
        self.show_dispute(None)

    def show_dispute(self, dispute: Dispute | None) -> None:
        """Show a dispute, or hide."""
        self.setVisible(dispute is not None)
        if dispute is None:
            return
        self.sentence.setText(dispute.sentence)
        checks = [f"{at}. {one}" for at, one in enumerate(dispute.checks, start=1)]
        self.checks.setText("\n".join(("Look at first:", *checks)))
        self.umpire.setText(dispute.umpire)
        self.umpire.setVisible(bool(dispute.umpire))
        self.letter.setText(dispute.letter)
        for one in (self.letter, self.copy_button, self.print_button):
            one.setVisible(bool(dispute.letter))

    def _on_copy_clicked(self) -> None:
        QGuiApplication.clipboard().setText(self.letter.text())

    def _on_print_clicked(self) -> None:
        self.print_wanted.emit(self.letter.text())


class Grid(QWidget):
    """Rows of labels in columns, emptied and filled anew."""

    def __init__(self, *, stretch: int | None = None, parent: QWidget | None = None) -> None:
        """Build it; the column `stretch` takes the width to spare, all alike where None."""
        super().__init__(parent)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(3)
        outer.addLayout(self._grid)
        for column in range(len(_TITLES) if stretch is None else 1):
            self._grid.setColumnStretch(column if stretch is None else stretch, 1)
        self._rows = 0

    def empty(self) -> None:
        """Take all rows out."""
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._rows = 0

    def put(self, row: list[QLabel]) -> None:
        """Add a row."""
        for column, one in enumerate(row):
            self._grid.addWidget(one, self._rows, column)
            # A layout shows what it is given only later.
            one.show()
        self._rows += 1
