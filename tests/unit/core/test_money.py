from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood
from vault.core.money import GREATEST_MILLIONTHS, Money, money_from_text


@given(st.integers(-GREATEST_MILLIONTHS, GREATEST_MILLIONTHS))
def test_money_reads_back_as_it_was_written(millionths: int) -> None:
    money = Money(millionths, "EUR")
    assert money_from_text(money.to_text(), "EUR") == money
    assert money.amount == Decimal(millionths) / 1_000_000


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [
        ("1", "eur", "is no currency"),
        ("1", "€", "is no currency"),
        ("1", "EURO", "is no currency"),
        ("1", "EUR\n", "is no currency"),
        ("1 EUR", "EUR", "is no amount"),
        ("9000000000000.000001", "EUR", "more than this book can hold"),
    ],
)
def test_what_is_no_money_is_refused_in_a_sentence(amount: str, currency: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        money_from_text(amount, currency)
