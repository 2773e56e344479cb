"""Rates: money for a weight, typed for any unit of the trade and kept for one gram or kilogram.

Refineries write charges by the kilogram, the pound, the tonne or the troy ounce of fine metal, in
their own currency; what is typed without a unit is for the unit in which the charge is kept.
"""

from __future__ import annotations

import re
from decimal import Decimal

from vault.core.errors import TextNotUnderstood
from vault.core.money import GREATEST_MILLIONTHS, Money, is_currency
from vault.core.numerals import number_from_text, shortened

# Exact by definition: NIST Handbook 44, Appendix C (avoirdupois pound 453.59237 g, troy ounce
# 31.1034768 g, pennyweight 1.55517384 g).
_GRAMS_PER_UNIT: dict[str, Decimal] = {
    "g": Decimal(1),
    "kg": Decimal(1_000),
    "t": Decimal(1_000_000),
    "lb": Decimal("453.59237"),
    "ozt": Decimal("31.1034768"),
    "dwt": Decimal("1.55517384"),
}
_UNIT_WORDS = {
    "gram": "g",
    "kilogram": "kg",
    "kilo": "kg",
    "tonne": "t",
    "pound": "lb",
    "troy ounce": "ozt",
    "oz t": "ozt",
    "pennyweight": "dwt",
}
# A sign that several currencies share is taken for the one in use.
_SIGNS = {"€": ("EUR",), "£": ("GBP",), "$": ("USD", "CAD", "AUD", "NZD", "SGD", "HKD")}
_PER = re.compile(r"\s*(?:/|\bper\b)\s*")
_WORD_AND_NUMBER = re.compile(r"([A-Za-z]*|[€£$])\s*([^A-Za-z€£$]*?)\s*([A-Za-z]*|[€£$])\Z")


def typed_money(text: str, currency: str, *, decimal_mark: str = ".") -> Money:
    """Read an amount that a person types, with or without its currency: `30`, `€ 1.50`, `30 EUR`.

    Raises:
        TextNotUnderstood: when it is no amount, or one in another currency.
    """
    return Money(_millionths(_amount(text, currency, decimal_mark), text), currency)


def typed_rate(text: str, currency: str, *, per: str, decimal_mark: str = ".") -> Money:
    """Read a charge for a weight: `1.50`, `1.50 / kg`, `$5.00/lb`, `0.35 per ozt`.

    Args:
        text: what was typed.
        currency: the three letters of the currency in use.
        per: the unit for which it is kept, g or kg; meant where none is typed.
        decimal_mark: the shop's setting.

    Returns:
        The money for one of `per`, to the nearest millionth.

    Raises:
        TextNotUnderstood: when it is no charge, or could mean two things.

    Example:
        >>> typed_rate("5.00 / lb", "USD", per="kg").to_text()
        '11.023113'
    """
    amount, *units = _PER.split(text.strip())
    if len(units) > 1:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no charge; type an amount and for what, such as 1.50 / {per}."
        )
    exact = _amount(amount, currency, decimal_mark)
    if units and (unit := _unit(units[0])) != per:
        exact = exact * _GRAMS_PER_UNIT[per] / _GRAMS_PER_UNIT[unit]
        exact = exact.quantize(Decimal("0.000001"))
    return Money(_millionths(exact, text), currency)


def _unit(word: str) -> str:
    plain = _UNIT_WORDS.get(word.lower(), word)
    if plain not in _GRAMS_PER_UNIT:
        known = ", ".join(list(_GRAMS_PER_UNIT)[:-1])
        raise TextNotUnderstood(
            f"“{shortened(word)}” is no weight that a charge is known for here; use {known} or dwt."
        )
    return plain


def _amount(text: str, currency: str, decimal_mark: str) -> Decimal:
    found = _WORD_AND_NUMBER.match(text.strip())
    if not found or not found[2] or (found[1] and found[3]):
        raise _no_amount(text)
    word = found[1] or found[3]
    if word and word.upper() != currency and currency not in _SIGNS.get(word, ()):
        if is_currency(word.upper()) or word in _SIGNS:
            raise TextNotUnderstood(
                f"“{shortened(text)}” is not in {currency}; every amount here is in {currency}."
            )
        raise _no_amount(text)
    return number_from_text(found[2], decimal_mark=decimal_mark)


def _millionths(amount: Decimal, text: str) -> int:
    millionths = amount * 1_000_000
    if millionths != int(millionths):
        raise TextNotUnderstood(
            f"“{shortened(text)}” is finer than a millionth; type at most six decimals."
        )
    if abs(millionths) > GREATEST_MILLIONTHS:
        raise TextNotUnderstood(f"An amount of {shortened(text)} is more than this book can hold.")
    return int(millionths)


def _no_amount(text: str) -> TextNotUnderstood:
    return TextNotUnderstood(
        f"“{shortened(text)}” is no amount; type a number, such as 30 or 1.50."
    )
