"""Worth: what the metal on hand is worth at the prices that the owner set.

A worth is Σ fine grams × price per gram. Its uncertainty is that of the fine metal alone: prices
are taken as they were set. The covariance between the items of one metal is in it; metals are
reckoned each by itself and have none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from vault.core.daybook import Act, Entry
from vault.core.knowledge import Figure
from vault.core.money import Money
from vault.core.shop import Shop
from vault.reckoning.micrograms import PER_GRAM


@dataclass(frozen=True, slots=True)
class Price:
    """A price as somebody set it.

    Attributes:
        per_gram: for one gram of fine metal.
        day: the day for which it was set.
        words: where it is from.
    """

    metal: str
    per_gram: Money
    day: date
    words: str


@dataclass(frozen=True, slots=True)
class Worth:
    """What some metal is worth.

    Attributes:
        currency: of all amounts.
        amount, u: in the currency's unit, None where no price is set for any of it.
        prices_of: the day of the oldest price used, None where none is.
        unpriced: metals of which some is there and that have no price in this currency.
    """

    currency: str
    amount: float | None
    u: float | None
    prices_of: date | None
    unpriced: tuple[str, ...]


def prices_of(shop: Shop, on: date | None = None) -> dict[str, Price]:
    """Give the latest price of every metal, up to a day if one is given."""
    found: dict[str, Price] = {}
    for entry in shop.entries.values():
        if entry.act is Act.PRICE and entry.number not in shop.struck:
            if on is not None and entry.when.day > on:
                continue
            found.update((price.metal, price) for price in _prices(entry))
    return found


def _prices(entry: Entry) -> Iterable[Price]:
    for line in entry.lines:
        if line.money is not None:
            yield Price(line.ref, line.money, entry.when.day, line.note)


def currency_of(prices: Mapping[str, Price]) -> str:
    """Give the currency of the newest price, empty where none is set."""
    newest = max(prices.values(), key=lambda one: one.day, default=None)
    return "" if newest is None else newest.per_gram.currency


def worth_of(figures: Mapping[str, Figure], prices: Mapping[str, Price], currency: str) -> Worth:
    """Give what fine metal is worth; what is not known is worth nothing here and not said to be.

    Args:
        figures: by metal, such as all stock, the residues, or what is ours.
        prices: by metal.
        currency: prices in another one are not used.
    """
    amount = 0.0
    variance = 0.0
    doubtful = False
    used: list[Price] = []
    unpriced: list[str] = []
    for metal, figure in figures.items():
        if not figure.fine_ug:
            continue
        price = prices.get(metal)
        if price is None or price.per_gram.currency != currency:
            unpriced.append(metal)
            continue
        each = float(price.per_gram.amount)
        used.append(price)
        amount += figure.fine_ug / PER_GRAM * each
        doubtful |= figure.u_ug is None
        variance += ((figure.u_ug or 0) / PER_GRAM * each) ** 2
    nothing_priced = bool(unpriced) and not used
    return Worth(
        currency=currency,
        amount=None if nothing_priced else amount,
        u=None if nothing_priced or doubtful else math.sqrt(variance),
        prices_of=min((price.day for price in used), default=None),
        unpriced=tuple(unpriced),
    )
