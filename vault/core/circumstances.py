"""The owner's circumstances: the values that a choice about residues goes by, and what they can be.

Whether residues are sent, kept or worked here hangs on how far prices spread, on what money, space,
work and samples cost, and on what working here gets out. A rule of law has its place and source
beside it, and none holds until the owner says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum

from vault.core.errors import VaultError
from vault.core.makeup import Makeup
from vault.core.metals import BY_SYMBOL, SYMBOLS
from vault.core.turnover import TurnoverRule
from vault.core.words import tidied, trouble_with


class CircumstancesNotClear(VaultError):
    """Circumstances that cannot be kept as they were given.

    Attributes:
        path: which value is wrong: one of `ASKED`, or `turnover.share`, `.place`, `.source`.
    """

    def __init__(self, path: str, sentence: str) -> None:
        self.path = path
        super().__init__(sentence)


class Unit(Enum):
    """What a value is told in."""

    PERCENT = "%"
    MONEY = "money"
    HOURS = "h"
    DAYS = "days"
    KILOGRAMS = "kg"
    GRAMS = "g"
    TIMES = "times"


@dataclass(frozen=True, slots=True)
class Value:
    """A value, with its ± where it has one; percent are kept as shares."""

    amount: float
    u: float | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """One value that the owner may set.

    Attributes:
        path: its name.
        group: what it is about, in words; the same for values that belong together.
        words: what it is.
        unit: what it is told in.
        most: the most that makes sense; the least is nothing.
        has_doubt: whether a ± belongs to it.
        is_above_nothing: whether nothing is too little.
    """

    path: str
    group: str
    words: str
    unit: Unit
    most: float
    has_doubt: bool = False
    is_above_nothing: bool = False


MONEY, WORKING, SAMPLING, SETTLING = (
    "Prices, money, space, work",
    "Working residues here",
    "Sampling before it is sent",
    "Settlements",
)
_MOST_MONEY = 1_000_000.0
ASKED: tuple[Asked, ...] = (
    *(
        Asked(
            f"price_spread.{metal}",
            MONEY,
            f"Spread of the {BY_SYMBOL[metal].name} price over a year",
            Unit.PERCENT,
            3.0,
        )
        for metal in SYMBOLS
    ),
    Asked("interest", MONEY, "Cost of money, a year", Unit.PERCENT, 1.0),
    Asked("space", MONEY, "Space for 1 kg, a week", Unit.MONEY, _MOST_MONEY),
    Asked("wage", MONEY, "An hour of work", Unit.MONEY, _MOST_MONEY),
    *(
        Asked(
            f"recovery.{metal}",
            WORKING,
            f"{BY_SYMBOL[metal].name.capitalize()} got out",
            Unit.PERCENT,
            1.0,
            has_doubt=True,
        )
        for metal in SYMBOLS
    ),
    Asked("flux_per_kg", WORKING, "Flux for 1 kg", Unit.KILOGRAMS, 100.0),
    Asked("flux_price_per_kg", WORKING, "Flux, 1 kg of it", Unit.MONEY, _MOST_MONEY),
    Asked("energy_per_kg", WORKING, "Energy for 1 kg", Unit.MONEY, _MOST_MONEY),
    Asked("hours_per_lot", WORKING, "Work for a lot", Unit.HOURS, 10_000.0),
    Asked("hours_per_kg", WORKING, "Work for 1 kg", Unit.HOURS, 1_000.0),
    Asked("sells_at", WORKING, "Metal sells at, of its price", Unit.PERCENT, 1.0),
    Asked("days", WORKING, "Until it is sold", Unit.DAYS, 3_650.0),
    Asked("sampling.hours_per_lot", SAMPLING, "Work for a lot", Unit.HOURS, 10_000.0),
    Asked("sampling.hours_per_kg", SAMPLING, "Work for 1 kg", Unit.HOURS, 1_000.0),
    Asked("sampling.assay", SAMPLING, "Assayer's fee, each metal", Unit.MONEY, _MOST_MONEY),
    Asked("sampling.assay_share", SAMPLING, "± of the assay itself", Unit.PERCENT, 1.0),
    Asked(
        "sampling.sample_g",
        SAMPLING,
        "Weight of the sample",
        Unit.GRAMS,
        1_000_000.0,
        is_above_nothing=True,
    ),
    Asked(
        "settlement_limit",
        SETTLING,
        "So many times the ± of both may an estimate and what is agreed differ",
        Unit.TIMES,
        100.0,
        is_above_nothing=True,
    ),
)
BY_PATH = {one.path: one for one in ASKED}


@dataclass(frozen=True, slots=True)
class OwnCircumstances:
    """What the owner set.

    Attributes:
        values: those that differ from the handbook's, by path.
        works, samples: whether residues are worked here, and sampled before they are sent.
        turnover: the rule that residues are held to; None for none.
        makeup: by form of residues, what they are made of beside precious metal.
    """

    values: Mapping[str, Value] = field(default_factory=dict)
    works: bool = True
    samples: bool = True
    turnover: TurnoverRule | None = None
    makeup: Mapping[str, Makeup] = field(default_factory=dict)


def insist(own: OwnCircumstances) -> None:
    """Insist on circumstances that can be.

    Raises:
        CircumstancesNotClear: at the first that cannot.
    """
    for path, value in own.values.items():
        for sentence in faults_of_value(BY_PATH[path], value):
            raise CircumstancesNotClear(path, sentence)
    if own.turnover is not None:
        _insist_on_rule(own.turnover)


def faults_of_value(asked: Asked, value: Value) -> Iterator[str]:
    """Tell what is wrong with a value, a sentence each."""
    what = f"{asked.group}, {asked.words[:1].lower()}{asked.words[1:]}"
    for number in (value.amount, value.u):
        if number is not None and not math.isfinite(number):
            yield f"{what}: this is no number."
            return
    if value.amount < 0 or (asked.is_above_nothing and value.amount == 0):
        least = "more than nothing" if asked.is_above_nothing else "at least nothing"
        yield f"{what}: it is {least}."
    if value.amount > asked.most:
        yield f"{what}: it is at most {_most(asked)}."
    if value.u is not None and not 0 <= value.u <= asked.most:
        yield f"{what}: its ± lies between nothing and {_most(asked)}."


def _most(asked: Asked) -> str:
    if asked.unit is Unit.PERCENT:
        return f"{asked.most * 100:g} %"
    return f"{asked.most:,.0f}".replace(",", "\u202f")


def _insist_on_rule(rule: TurnoverRule) -> None:
    if not 0 < rule.share <= 1:
        raise CircumstancesNotClear(
            "turnover.share",
            "The share to be moved on in a year lies above nothing and up to 100 %.",
        )
    for name, words in (("place", rule.place), ("source", rule.source)):
        if not tidied(words):
            raise CircumstancesNotClear(
                f"turnover.{name}",
                f"The yearly turnover names no {name}; write where the rule holds and which law or "
                "licence asks for it, so that it can be looked up later.",
            )
        if trouble := trouble_with(words):
            raise CircumstancesNotClear(f"turnover.{name}", trouble)
