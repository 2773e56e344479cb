"""What of a class of residues was kept, came and went in a year, and the rule it is held to.

How the figures of a year hang together, and what counts as moved on, stands in
`reckoning/turnover.py`, which makes them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Amount:
    """Things together.

    Attributes:
        items: how many.
        gross_ug: weight of those that were weighed.
        not_weighed: how many were not.
    """

    items: int = 0
    gross_ug: int = 0
    not_weighed: int = 0

    def __add__(self, other: Amount) -> Amount:
        """Put other things to these."""
        return Amount(
            self.items + other.items,
            self.gross_ug + other.gross_ug,
            self.not_weighed + other.not_weighed,
        )

    def __sub__(self, other: Amount) -> Amount:
        """Take things from these; what is taken may be more."""
        return self + Amount(-other.items, -other.gross_ug, -other.not_weighed)

    @property
    def is_nothing(self) -> bool:
        """Whether there is nothing to tell."""
        return self == NOTHING


NOTHING = Amount()


@dataclass(frozen=True, slots=True)
class ClassYear:
    """One class of residues in one calendar year; see the module.

    Attributes:
        form, year: the class and the year.
        last_day: up to which it is told: 31 December, or sooner while the year runs.
        opening, gained, moved_on, closing: S0, G, R and S1.
        sent, sold, worked: the parts of R.
        returned, missing: went otherwise.
        reshaped: what cold work took from the class less what it gave back to it; below zero
            where it gave more.
    """

    form: str
    year: int
    last_day: date
    opening: Amount
    gained: Amount
    moved_on: Amount
    closing: Amount
    sent: Amount = NOTHING
    sold: Amount = NOTHING
    worked: Amount = NOTHING
    returned: Amount = NOTHING
    missing: Amount = NOTHING
    reshaped: Amount = NOTHING

    @property
    def share(self) -> Fraction | None:
        """R as a share of S0, by weight; None where nothing of S0 was weighed."""
        if self.opening.gross_ug <= 0:
            return None
        return Fraction(self.moved_on.gross_ug, self.opening.gross_ug)

    @property
    def not_weighed(self) -> int:
        """How many things are in no weight of this year."""
        return self.opening.not_weighed + self.gained.not_weighed


class Judgement(Enum):
    """How a class stands against a share that is to be moved on within the year."""

    MET = "met"
    OPEN = "open"
    NOT_MET = "not met"
    NOT_SAID = "not said"


@dataclass(frozen=True, slots=True)
class TurnoverRule:
    """A rule against keeping residues for ever, as the owner set it.

    Attributes:
        share: of the stock on 1 January, to be moved on by 31 December, each class by itself.
        place: where the rule holds, in words.
        source: the law or licence that asks for it, in words.
    """

    share: Fraction
    place: str
    source: str
