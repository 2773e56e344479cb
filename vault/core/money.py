"""Money: whole millionths of the shop's currency, so that a price per gram is exact as well."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from vault.core.errors import TextNotUnderstood
from vault.core.numerals import millionths_from_text, millionths_to_text, shortened

_CURRENCY = re.compile(r"[A-Z]{3}\Z")
GREATEST_MILLIONTHS = 9_000_000_000_000_000_000


@dataclass(frozen=True, slots=True)
class Money:
    """An amount, or a price for one gram.

    Attributes:
        millionths: whole millionths of the currency's unit; a settled amount is a whole number
            of the currency's smallest coin, a price may be finer.
        currency: three capital letters (ISO 4217).
    """

    millionths: int
    currency: str

    @property
    def amount(self) -> Decimal:
        """The amount in the currency's unit, exact."""
        return Decimal(self.millionths) / 1_000_000

    def to_text(self) -> str:
        """Give the amount as plain decimal text, exact."""
        return millionths_to_text(self.millionths)


def is_currency(text: str) -> bool:
    """Tell whether a text is three capital letters, as those of a currency are."""
    return _CURRENCY.match(text) is not None


def money_from_text(text: str, currency: str) -> Money:
    """Read an amount with a decimal point and its currency.

    Raises:
        TextNotUnderstood: when either is not what it should be.
    """
    if not is_currency(currency):
        raise TextNotUnderstood(
            f"“{shortened(currency)}” is no currency; write its three letters, such as EUR."
        )
    whole = millionths_from_text(text)
    if whole is None:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no amount; write it with a decimal point, such as -30.00."
        )
    if abs(whole) > GREATEST_MILLIONTHS:
        raise TextNotUnderstood(f"An amount of {shortened(text)} is more than this book can hold.")
    return Money(whole, currency)
