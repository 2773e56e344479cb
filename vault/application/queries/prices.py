"""Prices: what is set, and whether a new one is far from the one before."""

from __future__ import annotations

from collections.abc import Sequence

from vault.application.book import Book
from vault.application.queries.answers.prices import PriceDoubt, PriceFacts, PricesSet
from vault.core.metals import ALL_SYMBOLS, BY_SYMBOL
from vault.core.money import Money
from vault.reckoning.worth import currency_of, prices_of
from vault.store.entries import load_prices
from vault.store.figures import stock_totals

# Silver and gold are in every shop, whatever is on hand today.
_ALWAYS = frozenset({"Ag", "Au"})
# A price moves a good deal within a year; a troy ounce for a gram is 31 times as much.
_FAR = 3.0


def prices_set(book: Book) -> PricesSet:
    """Give the last price of each metal of the book, in the currency of the newest."""
    with book.file.reading() as connection:
        found = prices_of(load_prices(connection))
        held = {one.metal for one in stock_totals(connection)}
    currency = currency_of(found)
    metals = []
    for metal in ALL_SYMBOLS:
        price = found.get(metal)
        if price is not None and price.per_gram.currency == currency:
            metals.append(PriceFacts(metal, price.per_gram, price.day, price.words))
        elif metal in held | _ALWAYS or price is not None:
            metals.append(PriceFacts(metal))
    return PricesSet(currency, tuple(metals))


def price_doubts(before: PricesSet, prices: Sequence[tuple[str, Money]]) -> tuple[PriceDoubt, ...]:
    """Tell which new prices lie so far from the last that another unit may be meant."""
    last = {one.metal: one.per_gram for one in before.metals}
    doubts = []
    for metal, money in prices:
        known = last.get(metal)
        if known is None or known.currency != money.currency or not known.millionths:
            continue
        times = money.millionths / known.millionths
        if times > _FAR or times < 1 / _FAR:
            far = f"{times:.0f} times" if times > 1 else f"1/{1 / times:.0f} of"
            words = (
                f"The new price of {BY_SYMBOL[metal].name} is {far} the last one for a gram. "
                "A price for a troy ounce is written with its unit, such as 31.50 / ozt."
            )
            doubts.append(PriceDoubt(metal, words))
    return tuple(doubts)
