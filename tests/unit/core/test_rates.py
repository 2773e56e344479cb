from __future__ import annotations

from decimal import Decimal

import pytest

from vault.core.errors import TextNotUnderstood
from vault.core.money import Money
from vault.core.rates import typed_money, typed_rate


def euros(text: str) -> Money:
    return Money(int(Decimal(text) * 1_000_000), "EUR")


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("30", "30"),
        ("1.50", "1.5"),
        ("EUR 30", "30"),
        ("30 EUR", "30"),
        ("30 eur", "30"),
        ("€30", "30"),
        ("1 250.75 €", "1250.75"),
        ("0.000001", "0.000001"),
        ("-3", "-3"),
    ],
)
def test_an_amount_is_read_with_or_without_its_currency(text: str, amount: str) -> None:
    assert typed_money(text, "EUR") == euros(amount)


def test_a_comma_is_read_where_the_shop_writes_commas() -> None:
    assert typed_money("1.250,75", "EUR", decimal_mark=",") == euros("1250.75")


@pytest.mark.parametrize("sign", ["USD", "CAD", "AUD"])
def test_a_sign_that_several_currencies_share_is_the_one_in_use(sign: str) -> None:
    assert typed_money("$250", sign) == Money(250_000_000, sign)


@pytest.mark.parametrize(
    ("text", "amount"),
    [("1.50", "1.5"), ("1.50/kg", "1.5"), ("1.50 per kg", "1.5"), ("EUR 1.50 / kg", "1.5")],
)
def test_a_charge_without_a_unit_is_for_the_unit_in_which_it_is_kept(
    text: str, amount: str
) -> None:
    assert typed_rate(text, "EUR", per="kg") == euros(amount)


@pytest.mark.parametrize(
    ("text", "per", "amount"),
    [
        # NIST Handbook 44, Appendix C: 1 lb = 453.59237 g, 1 ozt = 31.1034768 g, exact. The rest
        # is arithmetic: 5 / 0.45359237, 0.5 / 31.1034768, 400 / 1000, 1.5 / 1.55517384.
        ("$5.00/lb", "kg", "11.023113"),
        ("0.50 per troy ounce", "g", "0.016075"),
        ("0.50/ozt", "g", "0.016075"),
        ("400 per tonne", "kg", "0.4"),
        ("1.5 / dwt", "g", "0.964522"),
        ("900 / kg", "g", "0.9"),
    ],
)
def test_a_charge_for_another_weight_is_turned_into_the_one_that_is_kept(
    text: str, per: str, amount: str
) -> None:
    assert typed_rate(text, "USD", per=per).to_text() == amount


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("thirty", "“thirty” is no amount"),
        ("", "is no amount"),
        ("EUR", "is no amount"),
        ("EUR 30 EUR", "is no amount"),
        ("30 XX", "is no amount"),
        ("30 USD", "is not in EUR; every amount here is in EUR"),
        ("$30", "is not in EUR"),
        ("1,234", "could mean two numbers"),
        ("0.0000001", "at most six decimals"),
        ("99999999999999", "more than this book can hold"),
        ("1.5/kg/lb", "is no charge; type an amount and for what, such as 1.50 / kg"),
        ("1.5/stone", "“stone” is no weight that a charge is known for here"),
        ("1.5/", "is no weight that a charge is known for here"),
    ],
)
def test_what_is_no_charge_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words.replace("$", r"\$")):
        typed_rate(text, "EUR", per="kg")
