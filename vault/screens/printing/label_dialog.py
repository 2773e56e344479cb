"""Tags before they are printed: on which labels, and from which of them on."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QGridLayout,
    QSpinBox,
    QWidget,
)

from vault.application.queries.answers.labels import TagLabel
from vault.core.tags import is_safe
from vault.screens.choosers import Choosers
from vault.screens.printing.dialog import PaperDialog
from vault.screens.printing.label import LabelPaper
from vault.screens.printing.stocks import LARGEST_MM, ROLLS, SHEETS, Stock, roll
from vault.screens.settings.choices import Choices
from vault.screens.widgets.labels import label

_OWN_SHEET, _OWN_ROLL = "a sheet of my own", "a roll of my own"
# Names of the fields of an own stock, with the measure that each sets; a roll has the first two.
_MEASURES = (
    ("width", "Label, width"),
    ("height", "Label, height"),
    ("page_width", "Sheet, width"),
    ("page_height", "Sheet, height"),
    ("left", "Left edge to first label"),
    ("top", "Upper edge to first label"),
    ("gap_x", "Between labels, across"),
    ("gap_y", "Between labels, down"),
)
_COUNTS = (("columns", "Labels across"), ("rows", "Labels down"))
_OF_A_ROLL = frozenset({"width", "height"})
_FIELD_HEIGHT, _SMALL_FIELD_HEIGHT = 44, 32
_MOST_LABELS_ACROSS = 40


class OwnStock(QWidget):
    """Fields for the measures of a sheet or a roll that is none of the usual ones."""

    def __init__(self, stock: Stock, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.measures: dict[str, QDoubleSpinBox] = {}
        self.counts: dict[str, QSpinBox] = {}
        self._names: dict[str, QWidget] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(4)
        for name, _ in _MEASURES:
            self.measures[name] = _millimetres(getattr(stock, name))
        for name, _ in _COUNTS:
            self.counts[name] = _count(getattr(stock, name))
        for row, (name, words) in enumerate((*_MEASURES, *_COUNTS)):
            self._names[name] = label(words)
            field = self.fields[name]
            field.setAccessibleName(words)
            field.setMinimumHeight(_SMALL_FIELD_HEIGHT)
            grid.addWidget(self._names[name], row, 0)
            grid.addWidget(field, row, 1)

    @property
    def fields(self) -> dict[str, QDoubleSpinBox | QSpinBox]:
        """Every field, by the name of what it sets."""
        return {**self.measures, **self.counts}

    def offer(self, *, whole_sheet: bool) -> None:
        """Show the fields of a sheet, or only those of a roll."""
        for name, field in self.fields.items():
            for one in (field, self._names[name]):
                one.setVisible(whole_sheet or name in _OF_A_ROLL)

    def sheet(self) -> Stock:
        """Give the sheet that the fields say."""
        lengths = {name: field.value() for name, field in self.measures.items()}
        columns, rows = self.counts["columns"].value(), self.counts["rows"].value()
        return Stock(**lengths, columns=columns, rows=rows)

    def roll(self) -> Stock:
        """Give the roll that the fields say."""
        return roll(self.measures["width"].value(), self.measures["height"].value())


class LabelDialog(PaperDialog):
    """Shows tags on their labels; what was chosen last is chosen again."""

    def __init__(
        self,
        labels: Sequence[TagLabel],
        choosers: Choosers,
        choices: Choices,
        parent: QWidget | None = None,
    ) -> None:
        self._labels = labels
        self._choices = choices
        stock = choices.label_stock
        super().__init__("Print tags", LabelPaper(labels, stock), choosers, parent)
        self.stock_choice = QComboBox()
        for one in (*SHEETS, *ROLLS):
            self.stock_choice.addItem(one.name, one)
            tip = f"on {one.page_name}"
            self.stock_choice.setItemData(
                self.stock_choice.count() - 1, tip, Qt.ItemDataRole.ToolTipRole
            )
        self.stock_choice.addItem(_OWN_SHEET)
        self.stock_choice.addItem(_OWN_ROLL)
        self.own = OwnStock(stock)
        self.start_at = _count(1)
        self.start_words = label("Begin at label (or click on it)")
        self._lay_options_out()
        self._choose(stock)
        self._connect()
        self._on_chosen()
        self.start_at.setValue(choices.next_label + 1)

    @property
    def stock(self) -> Stock:
        """The labels chosen."""
        chosen = self.stock_choice.currentData()
        if isinstance(chosen, Stock):
            return chosen
        return self.own.sheet() if self._is_own_sheet else self.own.roll()

    @property
    def _is_own_sheet(self) -> bool:
        return self.stock_choice.currentText() == _OWN_SHEET

    def _lay_options_out(self) -> None:
        self.stock_choice.setAccessibleName("Labels")
        self.stock_choice.setMinimumHeight(_FIELD_HEIGHT)
        self.stock_choice.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.start_at.setMinimumHeight(_FIELD_HEIGHT)
        self.start_at.setAccessibleName("Begin at label")
        self.unsafe = label(kind="soft", wrap=True)
        told = _told_of_unsafe(self._labels)
        self.unsafe.setText(told)
        self.unsafe.setVisible(bool(told))
        for one in (label("Labels", bold=True), self.stock_choice, self.own):
            self.options.addWidget(one)
        for below in (self.start_words, self.start_at, self.unsafe):
            self.options.addWidget(below)

    def _choose(self, stock: Stock) -> None:
        found = next(
            (at for at, one in enumerate((*SHEETS, *ROLLS)) if one == stock), len(SHEETS + ROLLS)
        )
        own_roll = found == len(SHEETS + ROLLS) and stock.is_roll
        self.stock_choice.setCurrentIndex(found + 1 if own_roll else found)

    def _connect(self) -> None:
        self.stock_choice.currentIndexChanged.connect(self._on_chosen)
        self.start_at.valueChanged.connect(self._on_chosen)
        for field in self.own.fields.values():
            field.valueChanged.connect(self._on_chosen)
        self.preview.label_pointed_at.connect(self._on_label_pointed_at)
        self.accepted.connect(self._on_accepted)

    def _on_chosen(self) -> None:
        stock = self.stock
        is_own = not isinstance(self.stock_choice.currentData(), Stock)
        self.own.setVisible(is_own)
        self.own.offer(whole_sheet=self._is_own_sheet)
        for one in (self.start_words, self.start_at):
            one.setVisible(not stock.is_roll)
        self.start_at.setRange(1, stock.on_a_page)
        self.hinder(stock.trouble())
        if not stock.trouble():
            self.show_paper(LabelPaper(self._labels, stock, self.start_at.value() - 1))
        self.summary.setText(_summary(len(self._labels), self.paper.pages, stock))

    def _on_label_pointed_at(self, position: int) -> None:
        if self.preview.page == 0 and not self.stock.is_roll:
            self.start_at.setValue(position + 1)

    def _on_accepted(self) -> None:
        stock, start = self.stock, self.start_at.value() - 1
        self._choices.label_stock = stock
        # The first label that is still free on a sheet of which some are used up now.
        self._choices.next_label = (start + len(self._labels)) % stock.on_a_page


def _summary(tags: int, pages: int, stock: Stock) -> str:
    what = "1 tag" if tags == 1 else f"{tags} tags"
    where = "1 sheet" if pages == 1 else f"{pages} sheets"
    if stock.is_roll:
        return f"{what} on a roll."
    return f"{what} on {where} of {stock.page_name}."


def _told_of_unsafe(labels: Sequence[TagLabel]) -> str:
    unsafe = [one.tag for one in labels if not is_safe(one.tag)]
    if not unsafe:
        return ""
    names = ", ".join(unsafe[:3]) + (f" and {len(unsafe) - 3} more" if len(unsafe) > 3 else "")
    return (
        f"No check digits: {names}. Such a name can be scanned where the scanner and the computer "
        "have the same keyboard; a slip in it is not noticed."
    )


def _millimetres(value: float) -> QDoubleSpinBox:
    field = QDoubleSpinBox()
    field.setDecimals(1)
    field.setRange(0, LARGEST_MM)
    field.setSuffix(" mm")
    field.setValue(value)
    return field


def _count(value: int) -> QSpinBox:
    field = QSpinBox()
    field.setRange(1, _MOST_LABELS_ACROSS)
    field.setValue(value)
    return field
