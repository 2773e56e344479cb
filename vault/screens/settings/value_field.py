"""A field for one of the owner's circumstances; while it is empty the handbook's value holds."""

from __future__ import annotations

import re
from decimal import Decimal

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.circumstances import Asked, CircumstancesNotClear, Unit, Value, faults_of_value
from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.numerals import number_from_text, shortened
from vault.core.uncertainty import rounded
from vault.screens.widgets.fields import Field

_DOUBT_SIGN = re.compile(r"±|\+\s*/?\s*[-−]")
# What stands behind a number, and what else is understood there.
_WORDS: dict[Unit, tuple[str, ...]] = {
    Unit.PERCENT: ("%", "percent", "per cent"),
    Unit.HOURS: ("h", "hours", "hour"),
    Unit.DAYS: ("days", "day", "d"),
    Unit.KILOGRAMS: ("kg",),
    Unit.GRAMS: ("g",),
    Unit.TIMES: ("", "times", "×"),
}
_PERCENT = Decimal(100)


class ValueField(Field):
    """Takes a value with its unit or without; the unit is that of its caption."""

    def __init__(
        self,
        asked: Asked,
        usual: Value,
        currency: str,
        decimal_mark: str,
        parent: QWidget | None = None,
    ) -> None:
        self.asked = asked
        self._usual = usual
        self._currency = currency
        self._mark = decimal_mark
        super().__init__(asked.words, self._about(usual), parent)

    def value(self) -> Value | None:
        """Give what is set; None where the handbook's holds, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    def write_value(self, value: Value | None) -> None:
        """Write a value, or nothing where the handbook's holds."""
        self.write("" if value is None else self.told(value))

    def told(self, value: Value) -> str:
        """Write a value with its unit so that it reads back as the same: `8 %`, `96 ± 2 %`."""
        numbers = [value.amount] if value.u is None else [value.amount, value.u]
        return self._with_unit([f"{self._in_unit(one).normalize():f}" for one in numbers])

    @override
    def read(self) -> Value | None:
        if not self.text:
            return None
        parts = _DOUBT_SIGN.split(self.text)
        if len(parts) > 1 + self.asked.has_doubt:
            raise TextNotUnderstood(
                f"“{shortened(self.text)}” has a ± where none belongs; leave it out."
                if not self.asked.has_doubt
                else f"“{shortened(self.text)}” is no value with its ±; type it like 96 ± 2 %."
            )
        amounts = [self._amount(part) for part in parts]
        value = Value(*amounts)
        for sentence in faults_of_value(self.asked, value):
            raise CircumstancesNotClear(self.asked.path, sentence)
        return value

    def _amount(self, text: str) -> float:
        plain = self._without_unit(text.strip())
        try:
            number = number_from_text(plain, decimal_mark=self._mark)
        except TextNotUnderstood:
            like = self._about(self._usual)
            raise TextNotUnderstood(
                f"“{shortened(text.strip())}” cannot be read; type it like {like}."
            ) from None
        return float(number / _PERCENT if self.asked.unit is Unit.PERCENT else number)

    def _without_unit(self, text: str) -> str:
        words = (self._currency,) if self.asked.unit is Unit.MONEY else _WORDS[self.asked.unit]
        for word in words:
            if word and text.lower().endswith(word.lower()):
                return text[: -len(word)].strip()
        return text

    def _about(self, value: Value) -> str:
        """Write a value to the digits that say something; the handbook works some of them out."""
        amount = float(self._in_unit(value.amount))
        if value.u:
            return self._with_unit(list(rounded(amount, float(self._in_unit(value.u)))))
        return self._with_unit([f"{Decimal(f'{amount:.4g}').normalize():f}"])

    def _with_unit(self, numbers: list[str]) -> str:
        unit = self._currency if self.asked.unit is Unit.MONEY else _WORDS[self.asked.unit][0]
        told = " ± ".join(one.replace(".", self._mark) for one in numbers)
        return f"{told} {unit}".strip()

    def _in_unit(self, number: float) -> Decimal:
        """Give a number as it is told, with no binary digits of a float."""
        exact = Decimal(repr(number))
        return exact * _PERCENT if self.asked.unit is Unit.PERCENT else exact
