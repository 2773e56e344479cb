from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from vault.application.book import Book
from vault.application.operations import acts
from vault.application.queries.answers.prices import PriceFacts
from vault.application.queries.prices import price_doubts, prices_set
from vault.core.money import Money


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    def clock() -> datetime:
        return datetime(2031, 3, 1, 9, 0, tzinfo=UTC)

    with Book.create(tmp_path / "our.shop", zone="UTC", operator="Imke", clock=clock) as made:
        yield made


def euros(amount: float) -> Money:
    return Money(round(amount * 1_000_000), "EUR")


def test_before_the_first_price_silver_and_gold_are_asked_for(book: Book) -> None:
    found = prices_set(book)
    assert found.currency == ""
    assert found.metals == (PriceFacts("Ag"), PriceFacts("Au"))


def test_several_prices_are_one_entry_and_the_last_of_each_metal_stands(book: Book) -> None:
    acts.set_prices(book, [("Ag", euros(0.9)), ("Au", euros(80))], source="monday", key="a")
    acts.set_prices(book, [("Pd", euros(30)), ("Ag", euros(0.95))], source="tuesday", key="b")
    found = prices_set(book)
    told = [(one.metal, one.per_gram, one.source) for one in found.metals]
    assert found.currency == "EUR"
    assert told == [
        ("Ag", euros(0.95), "tuesday"),
        ("Au", euros(80), "monday"),
        ("Pd", euros(30), "tuesday"),
    ]
    assert {one.day for one in found.metals} == {book.today()}


def test_a_price_in_another_currency_than_the_newest_counts_no_more(book: Book) -> None:
    acts.set_prices(book, [("Ag", Money(900_000, "GBP")), ("Au", Money(1, "GBP"))], key="a")
    acts.set_prices(book, [("Ag", euros(1.0))], key="b")
    assert prices_set(book).metals == (
        PriceFacts("Ag", euros(1.0), book.today()),
        PriceFacts("Au"),
    )


def test_a_price_for_an_ounce_typed_as_one_for_a_gram_is_doubted(book: Book) -> None:
    """1 troy ounce is 31.1 g (NIST Handbook 44, Appendix C)."""
    acts.set_prices(book, [("Ag", euros(0.95)), ("Au", euros(80))], key="a")
    before = prices_set(book)
    [doubt] = price_doubts(before, [("Ag", euros(29.5)), ("Au", euros(90))])
    assert doubt.metal == "Ag"
    assert doubt.words == (
        "The new price of silver is 31 times the last one for a gram. A price for a troy ounce is "
        "written with its unit, such as 31.50 / ozt."
    )
    [doubt] = price_doubts(before, [("Au", euros(2.5))])
    assert "is 1/32 of the last one" in doubt.words


def test_a_price_that_moved_as_prices_do_is_not_doubted(book: Book) -> None:
    acts.set_prices(book, [("Ag", euros(0.95))], key="a")
    before = prices_set(book)
    assert price_doubts(before, [("Ag", euros(1.9)), ("Pt", euros(30))]) == ()
