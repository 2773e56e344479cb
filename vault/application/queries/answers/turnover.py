"""What was kept of each class of residues, made and moved on, year by year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from vault.core.turnover import ClassYear, Judgement, TurnoverRule


@dataclass(frozen=True, slots=True)
class YearOfRecord:
    """One class in one year, and how it stands against the rule.

    Attributes:
        told: what was kept, came and went.
        judgement: against the rule; None where none is set.
        still_ug: what is still to be moved on to keep it, of weighed things.
        days_left: days of the year that are left after the last one told; 0 once it is over.
    """

    told: ClassYear
    judgement: Judgement | None
    still_ug: int
    days_left: int


@dataclass(frozen=True, slots=True)
class YearlyRecord:
    """The record of all classes.

    Attributes:
        classes: the years of every class that was ever kept, by form, the first year first.
        oldest: since when the oldest on hand of each class has been kept; only where some is.
        rule: what the owner set; None where nothing is set.
        day: up to which it is told.
    """

    classes: Mapping[str, tuple[YearOfRecord, ...]]
    oldest: Mapping[str, date]
    rule: TurnoverRule | None
    day: date
