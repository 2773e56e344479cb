"""A parcel that somebody thinks of, and what the sheet makes of it, step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from vault.application.queries.answers.terms_sheets import ExampleParcel
from vault.core.errors import VaultError
from vault.core.fineness import Fineness
from vault.core.money import Money
from vault.core.terms_sheets import Basis, TermsSheet
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import metal_name
from vault.screens.scale.parts import PlateField
from vault.screens.terms_sheets.example_words import Line
from vault.screens.widgets.amount_fields import MoneyField, PartField, money_text
from vault.screens.widgets.cards import Card
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.labels import label, line

_WORDS = "Put in the example on the refinery's paper, and see whether the sheet comes to the same."
_AT_FIRST = {"Ag": "10 g/kg"}


class ExampleCard(Card):
    """Asks for weight, grades and prices; shows the lines.

    Signals:
        edited: something was typed.
    """

    edited = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._style = style
        self._prices: Mapping[str, Money] = {}
        self.received = PlateField("weight of the parcel", "such as 20 kg", style, None)
        self.dry = PlateField("dry weight of the parcel", "as received", style, None)
        self.grades: dict[str, PartField] = {}
        self.prices: dict[str, MoneyField] = {}
        self.shares: dict[str, PartField] = {}
        self._fields = QGridLayout()
        self._lines = QGridLayout()
        self.words = label(kind="soft", size=Size.SECOND, wrap=True)
        self.left_out = label(kind="soft", size=Size.SECOND, wrap=True)
        self._captions: list[QWidget] = []
        self._lay_out()
        self.begin()
        for one in (self.received, self.dry):
            one.edited.connect(self.edited)
            one.taken.connect(self.edited)

    def parcel(self) -> ExampleParcel | None:
        """Give the parcel; None while it has no weight, or a field cannot be read."""
        try:
            received = self.received.read()
            if received is None:
                return None
            return ExampleParcel(
                received=received,
                dry=self.dry.read() if self.dry.isVisibleTo(self) else None,
                grades=_parts(self.grades),
                prices={
                    metal: price
                    for metal, field in self.prices.items()
                    if (price := field.read()) is not None
                },
                shares=_parts(self.shares),
            )
        except VaultError:
            return None

    def begin(self) -> None:
        """Forget what was typed, since another book lies open."""
        self._prices = {}
        self._build((), ())
        self.received.write("20 kg")
        self.dry.write("")
        self.show_lines((), ())

    def know_prices(self, prices: Mapping[str, Money]) -> None:
        """Take the prices of the book where none is typed."""
        self._prices = prices

    def ask_for(self, sheet: TermsSheet) -> None:
        """Ask for what this sheet goes by; what is typed stays."""
        self._dry.setVisible(sheet.treatment.basis is Basis.DRY)
        metals = [one.metal for one in sheet.metals]
        elements = list(dict.fromkeys(one.element for one in sheet.penalties if one.element))
        if list(self.grades) != metals or list(self.shares) != elements:
            self._build(metals, elements)
        for metal, field in self.prices.items():
            if field.currency != sheet.currency:
                field.currency = sheet.currency
                self._write_price(metal, field)

    def show_lines(self, lines: Sequence[Line], left_out: Sequence[str]) -> None:
        """Show what the sheet makes of it."""
        _empty(self._lines)
        row = 0
        for one in lines:
            if one.is_sum:
                above = line()
                self._lines.addWidget(above, row, 0, 1, 2)
                above.show()
                row += 1
            words = label(one.words, size=Size.SECOND, bold=one.is_sum, wrap=True)
            words.setProperty("kind", "" if one.amount else "soft")
            self._lines.addWidget(words, row, 0)
            amount = label(one.amount, size=Size.SECOND, bold=one.is_sum)
            flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom
            self._lines.addWidget(amount, row, 1, flags)
            # A layout shows what it is given only later.
            words.show()
            amount.show()
            row += 1
        self.left_out.setText("\n".join(left_out))
        self.left_out.setVisible(bool(left_out))

    def say(self, sentence: str) -> None:
        """Say why nothing is shown."""
        self.show_lines((), (sentence,))

    def shown(self) -> list[tuple[str, str]]:
        """Give the lines as they are shown: words and amount."""
        told = []
        for row in range(self._lines.rowCount()):
            parts = [self._lines.itemAtPosition(row, at) for at in (0, 1)]
            widgets = [None if one is None else one.widget() for one in parts]
            if all(isinstance(one, QLabel) for one in widgets):
                told.append((widgets[0].text(), widgets[1].text()))  # type: ignore[union-attr]  # labels, as asked
        return told

    def _lay_out(self) -> None:
        self._dry = Captioned("Dry weight", self.dry)
        self._dry.hide()
        for grid in (self._fields, self._lines):
            grid.setContentsMargins(0, 0, 0, 0)
            grid.setHorizontalSpacing(8)
            grid.setVerticalSpacing(6)
        self._lines.setColumnStretch(0, 1)
        self.column.addWidget(label("A parcel under this sheet", size=Size.TITLE, bold=True))
        self.words.setText(_WORDS)
        self.column.addWidget(self.words)
        self.column.addSpacing(6)
        self.column.addWidget(Captioned("Weight", self.received))
        self.column.addWidget(self._dry)
        self.column.addLayout(self._fields)
        self.column.addWidget(line())
        self.column.addLayout(self._lines)
        self.column.addWidget(self.left_out)
        self.column.addStretch(1)

    def _write_price(self, metal: str, field: MoneyField) -> None:
        """Write the price that is set in the book, where it is in the currency of the sheet."""
        price = self._prices.get(metal)
        if price is not None and price.currency == field.currency:
            field.write(money_text(price, self._style.numbers.decimal_mark))
        else:
            field.write("")

    def _build(self, metals: Sequence[str], elements: Sequence[str]) -> None:
        """Make a row for each metal and element, keeping what was typed of each."""
        grades = {metal: field.text for metal, field in self.grades.items()}
        before = self.prices
        shares = {element: field.text for element, field in self.shares.items()}
        _empty(self._fields)
        self.grades, self.prices, self.shares = {}, {}, {}
        for row, metal in enumerate(metals):
            grade = PartField(f"grade of {metal_name(metal)}", self._style, hint="grade")
            grade.write(grades.get(metal, _AT_FIRST.get(metal, "")))
            price = MoneyField(
                f"price of {metal_name(metal)} for one gram", self._style, per="g", hint="price"
            )
            if metal in before:
                price.currency = before[metal].currency
                price.write(before[metal].text)
            self.grades[metal], self.prices[metal] = grade, price
            self._fields.addWidget(Captioned(f"{metal}, grade", grade), row, 0)
            self._fields.addWidget(Captioned("Price of 1 g", price), row, 1)
        for at, element in enumerate(elements):
            share = PartField(f"share of {element}", self._style, hint="not known")
            share.write(shares.get(element, ""))
            self.shares[element] = share
            place = (len(metals) + at // 2, at % 2)
            self._fields.addWidget(Captioned(element, share), *place)
        for field in (*self.grades.values(), *self.prices.values(), *self.shares.values()):
            field.edited.connect(self.edited)


def _parts(fields: Mapping[str, PartField]) -> dict[str, Fineness]:
    return {name: part for name, field in fields.items() if (part := field.read()) is not None}


def _empty(grid: QGridLayout) -> None:
    while (part := grid.takeAt(0)) is not None:
        widget = part.widget()
        if widget is not None:
            widget.hide()
            widget.setParent(None)
            widget.deleteLater()
