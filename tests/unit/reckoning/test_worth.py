from __future__ import annotations

from datetime import date

import pytest

from builders import day, priced, shop_of, struck
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.reckoning.worth import currency_of, prices_of, worth_of


def grams(fine: float, u: float | None = 0.0) -> Figure:
    return Figure(round(fine * 1e6), None if u is None else round(u * 1e6), How.ASSAYED)


def test_the_latest_price_of_each_metal_holds() -> None:
    shop = shop_of(priced(1, "Ag", "0.95 EUR"), priced(2, "Au", "60 EUR"), priced(3, "Ag", "1 EUR"))
    found = prices_of(shop)
    assert {metal: one.per_gram.to_text() for metal, one in found.items()} == {
        "Ag": "1",
        "Au": "60",
    }
    assert prices_of(shop, on=day(2).day)["Ag"].per_gram.to_text() == "0.95"


def test_a_struck_price_does_not_hold() -> None:
    shop = shop_of(priced(1, "Ag", "0.95 EUR"), priced(2, "Ag", "95 EUR"), struck(3, 2))
    assert prices_of(shop)["Ag"].per_gram.to_text() == "0.95"


def test_worth_is_fine_metal_times_price_with_the_doubt_of_the_metal() -> None:
    """100 ± 3 g at 1 and 2 ± 0.1 g at 40: 180, ± sqrt(3² + 4²) = 5 (own)."""
    shop = shop_of(priced(1, "Ag", "1 EUR"), priced(5, "Au", "40 EUR"))
    found = worth_of({"Ag": grams(100, 3), "Au": grams(2, 0.1)}, prices_of(shop), "EUR")
    assert found.amount == pytest.approx(180)
    assert found.u == pytest.approx(5)
    assert found.prices_of == date(2031, 1, 1)
    assert found.unpriced == ()


def test_a_metal_without_a_price_is_left_out_and_named() -> None:
    shop = shop_of(priced(1, "Ag", "1 EUR"), priced(2, "Pt", "30 USD"))
    metals = {"Ag": grams(10), "Au": grams(2), "Pt": grams(1), "Pd": NOTHING_KNOWN}
    found = worth_of(metals, prices_of(shop), "EUR")
    assert found.amount == pytest.approx(10)
    assert found.unpriced == ("Au", "Pt")


def test_without_any_price_there_is_no_worth() -> None:
    found = worth_of({"Ag": grams(10)}, {}, "EUR")
    assert (found.amount, found.u, found.prices_of) == (None, None, None)


def test_no_metal_is_worth_nothing() -> None:
    assert worth_of({}, {}, "EUR").amount == 0.0


def test_an_amount_whose_doubt_nobody_worked_out_has_none() -> None:
    shop = shop_of(priced(1, "Ag", "1 EUR"))
    assert worth_of({"Ag": grams(10, None)}, prices_of(shop), "EUR").u is None


def test_the_currency_is_that_of_the_newest_price() -> None:
    shop = shop_of(priced(1, "Ag", "1 USD"), priced(2, "Au", "40 EUR"))
    assert currency_of(prices_of(shop)) == "EUR"
    assert currency_of({}) == ""
