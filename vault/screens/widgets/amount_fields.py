"""Fields for what papers of charges say: money, money for a weight, parts, whole numbers."""

from __future__ import annotations

from decimal import Decimal

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.fineness import Fineness, typed_part
from vault.core.money import Money, is_currency
from vault.core.numerals import shortened
from vault.core.rates import typed_money, typed_rate
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.fields import Field


class MoneyField(Field):
    """Takes an amount, or a charge for a weight; empty is none.

    Attributes:
        currency: the three letters of the currency that is meant.
    """

    def __init__(
        self,
        name: str,
        style: HouseStyle,
        *,
        per: str = "",
        hint: str = "none",
        parent: QWidget | None = None,
    ) -> None:
        """Build the field; `per` is the unit, g or kg, for one of which a charge is kept."""
        super().__init__(name, hint, parent)
        self._style = style
        self._per = per
        self.currency = ""

    def money(self) -> Money | None:
        """Give the amount; None where none is typed, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    @override
    def read(self) -> Money | None:
        if not self.text:
            return None
        mark = self._style.numbers.decimal_mark
        if self._per:
            money = typed_rate(self.text, self.currency, per=self._per, decimal_mark=mark)
        else:
            money = typed_money(self.text, self.currency, decimal_mark=mark)
        if money.millionths < 0:
            raise TextNotUnderstood("A charge is written without a sign; it is at least nothing.")
        return money

    @override
    def remark(self) -> str:
        # What was typed for another weight is told for the one in which it is kept.
        money = self.money()
        if money is None or ("/" not in self.text and " per " not in self.text):
            return ""
        return f"{money_text(money, self._style.numbers.decimal_mark)} for 1 {self._per}"


class CurrencyField(Field):
    """Takes the three letters of a currency, in capitals or not."""

    @property
    def currency(self) -> str:
        """The letters, in capitals."""
        return self.text.upper()

    @override
    def read(self) -> str:
        if self.text and not is_currency(self.currency):
            raise TextNotUnderstood(
                f"“{shortened(self.text)}” is no currency; write its three letters, such as EUR."
            )
        return self.currency


class PartField(Field):
    """Takes a part or a grade in %, ‰ or g/t; it is exact. Empty is none."""

    def __init__(
        self,
        name: str,
        style: HouseStyle,
        *,
        hint: str = "none",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(name, hint, parent)
        self._style = style

    def part(self) -> Fineness | None:
        """Give the part; None where none is typed, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    @override
    def read(self) -> Fineness | None:
        mark = self._style.numbers.decimal_mark
        return typed_part(self.text, decimal_mark=mark) if self.text else None


class CountField(Field):
    """Takes a whole number; empty is none."""

    @override
    def read(self) -> int | None:
        if not self.text:
            return None
        if not (self.text.isascii() and self.text.isdigit()) or len(self.text) > _MOST_DIGITS:
            raise TextNotUnderstood(
                f"“{shortened(self.text)}” is no whole number; type one, such as 75."
            )
        return int(self.text)


_MOST_DIGITS = 6
_MILLIONTHS_OF_A_CENT = 10_000
# Parts per billion in one of each unit, and the least part that is written in it.
_UNITS = (("%", 10_000_000, 10_000_000), ("‰", 1_000_000, 100_000), ("g/t", 1_000, 0))


def part_text(part: Fineness, decimal_mark: str) -> str:
    """Write a part so that it reads back as the same: `85 %`, `2 ‰`, `30 g/t`."""
    unit, size = next((unit, size) for unit, size, least in _UNITS if part.ppb >= least)
    number = f"{(Decimal(part.ppb) / size).normalize():f}"
    return f"{number.replace('.', decimal_mark)} {unit}"


def money_text(money: Money, decimal_mark: str) -> str:
    """Write an amount exactly, with at least two decimals where it has any: `30`, `1.50`."""
    text = money.to_text()
    if money.millionths % 1_000_000 and money.millionths % _MILLIONTHS_OF_A_CENT == 0:
        text = f"{money.amount:.2f}"
    return text.replace(".", decimal_mark)
