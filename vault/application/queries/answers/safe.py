"""What the cards of the Safe show."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class Part:
    """One form's part of a metal card."""

    form: str
    figure: Figure
    items: int
    not_known: int
    is_residue: bool


@dataclass(frozen=True, slots=True)
class MetalCard:
    """All of one metal on hand.

    Attributes:
        owed: what is customers' own; `ours` is the rest.
        not_known: items that may hold this metal and are left out of every total.
    """

    metal: str
    total: Figure
    parts: tuple[Part, ...]
    owed: Figure
    ours: Figure
    not_known: int


@dataclass(frozen=True, slots=True)
class Worth:
    """What the stock is worth at the set prices, in the shop's currency.

    Attributes:
        amount, ours, locked, locked_u: whole units of the currency, as plain numbers; None where
            no price is set.
        prices_of: the day of the oldest price used.
        unpriced: metals on hand without a price, left out.
    """

    currency: str
    amount: float | None
    u: float | None
    ours: float | None
    locked: float | None
    locked_u: float | None
    prices_of: date | None
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Safe:
    """The top of the Safe: the cards, the worth, and how many findings want attention.

    Attributes:
        figures_of: number of the entry up to which the figures are worked out; None where they
            have not been worked out yet.
        last_entry: number of the last entry in the book.
    """

    cards: tuple[MetalCard, ...]
    worth: Worth
    findings: int
    figures_of: int | None
    last_entry: int
