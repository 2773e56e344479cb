"""The prices that the owner set, as a form shows them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.core.money import Money


@dataclass(frozen=True, slots=True)
class PriceFacts:
    """The last price of a metal.

    Attributes:
        metal: its symbol.
        per_gram: for one gram of fine metal; None where none was set in the currency in use.
        day: for which it was set, None as above.
        source: where it is from, in words.
    """

    metal: str
    per_gram: Money | None = None
    day: date | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class PricesSet:
    """What prices are set.

    Attributes:
        currency: in which the newest is; empty before the first.
        metals: those of the book, and those that always have a price, in the usual order.
    """

    currency: str
    metals: tuple[PriceFacts, ...]


@dataclass(frozen=True, slots=True)
class PriceDoubt:
    """A new price that lies far from the one before, and what was perhaps meant.

    Attributes:
        metal: its symbol.
        words: the doubt, as a sentence.
    """

    metal: str
    words: str
