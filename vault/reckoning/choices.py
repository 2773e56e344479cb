"""Choices: what could be done with residues, what each would bring, and what that hangs on.

These are the records that `send_out.py: choose` takes and gives. Amounts are in the currency of the
circumstances, masses in grams, ± one standard uncertainty.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.circumstances import Circumstances
from vault.reckoning.net_return import NetReturn


class Way(Enum):
    """What can be done with residues; the value names it plainly."""

    SEND = "send now"
    WAIT = "wait, then send"
    SAMPLE = "blend and sample first"
    WORK = "crush and smelt here"
    KEEP = "keep"


@dataclass(frozen=True, slots=True)
class Residues:
    """The residues that a choice is about, as far as they are known.

    Things of which no metal is known are not among them, neither their metal nor their weight.

    Attributes:
        metals: those that are known.
        fine_g: estimate of each, uncut, so it may lie below zero.
        covariance_g2: of the estimates, in the order of `metals`, with the covariance between the
            things in it.
        received_g, received_u_g: weight as a refinery would receive it.
        dry_share: dry part of that weight; None where nobody said.
        shares: of the weight, of elements for which sheets charge, where known.
        not_known: metals that may be in them and of which nothing is known.
        left_out: tags of things left out, since no metal of them is known.
        lumps_g: Gy's constant of the material as it lies (`guesses.py: sampling_constant`).
    """

    metals: tuple[str, ...]
    fine_g: tuple[float, ...]
    covariance_g2: tuple[tuple[float, ...], ...]
    received_g: float
    received_u_g: float = 0.0
    dry_share: float | None = None
    shares: Mapping[str, float] = field(default_factory=dict)
    not_known: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    lumps_g: float = 0.2


@dataclass(frozen=True, slots=True)
class Making:
    """How fast the shop makes residues of the same kind.

    Attributes:
        weight_g, weight_u_g: weight a week, and the doubt about its mean.
        fine_g: by metal, fine grams a week and the doubt about their mean.
        tied: correlation of those doubts with the doubts about the present stock; 1 where both
            rest on the same house factors.
    """

    weight_g: float
    weight_u_g: float
    fine_g: Mapping[str, tuple[float, float]]
    tied: float = 1.0


@dataclass(frozen=True, slots=True)
class Setting:
    """All that a choice is asked about.

    Attributes:
        residues: what lies there.
        making: what the shop adds to it; None where it adds nothing more.
        sheets: terms in the currency of the circumstances, valid today or later.
        circumstances: prices and costs.
        day: today.
    """

    residues: Residues
    making: Making | None
    sheets: tuple[TermsSheet, ...]
    circumstances: Circumstances
    day: date


@dataclass(frozen=True, slots=True)
class WorkedHere:
    """What smelting the residues here would take and leave, at the estimates.

    Attributes:
        recovered_g: fine grams got out, by metal.
        left_g: fine grams in the new slag and cupel, by metal; counted as nothing.
        flux, energy, wages: amounts.
    """

    recovered_g: Mapping[str, float]
    left_g: Mapping[str, float]
    flux: float
    energy: float
    wages: float


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that could be done, against keeping the residues, which counts as nothing.

    Attributes:
        way: what it is.
        sheet: the terms under which residues would go; None where none do.
        weeks: how long to wait first.
        net: expected, after every charge. For waiting it is set against sending now: the value of
            waiting and of all that the shop sends after, less what is sent after anyway.
        low, high: 5 % and 95 % of the draws.
        u: their standard deviation.
        worse_than_keeping: share of the draws in which it brings less than keeping.
        lines: the net return at the estimates and today's prices, for what is sent.
        worked: for smelting here.
        pays_from_g: weight from which it pays at today's grade, for sending now; None where it
            never does, or where nothing is sent now.
        pays_from_grade: fine metal per mass of each metal from which it pays at today's weight, all
            metals in today's proportion; None as above.
        costs: what sampling costs, for sampling first.
    """

    way: Way
    sheet: TermsSheet | None
    weeks: int
    net: float
    low: float
    high: float
    u: float
    worse_than_keeping: float
    lines: NetReturn | None = None
    worked: WorkedHere | None = None
    pays_from_g: float | None = None
    pays_from_grade: Mapping[str, float] | None = None
    costs: float = 0.0


class Hinge(Enum):
    """What a verdict can hang on."""

    PRICE = "price"
    CONTENT = "content"


@dataclass(frozen=True, slots=True)
class Turn:
    """A level at which something else becomes best, all else as it is.

    Attributes:
        hinge: what is at that level.
        metal: of which metal.
        now: where it stands today, an amount for a gram or grams.
        level: where the verdict turns.
        instead: what is best beyond it.
        sheet: under which terms, where something is sent.
    """

    hinge: Hinge
    metal: str
    now: float
    level: float
    instead: Way
    sheet: TermsSheet | None

    @property
    def falls(self) -> bool:
        """Whether the verdict turns when it falls, not when it rises."""
        return self.level < self.now


@dataclass(frozen=True, slots=True)
class SquareRoot:
    """The square-root rule for how often to send.

    Attributes:
        fixed: charges of a shipment whatever its size.
        value_per_year: net value of the residues made in a year, without the fixed charges.
        weeks: √(2 · fixed / (interest · value + cost of space)).
        applies: whether minimums and thresholds leave the net a straight line around there.
    """

    fixed: float
    value_per_year: float
    weeks: float
    applies: bool


@dataclass(frozen=True, slots=True)
class BestTime:
    """When to send, with the shop making more of the same.

    Attributes:
        weeks: the best wait, 0 for now; None where sending never pays within the years looked at.
        sheet: the terms that are best then; None as above.
        net: what that brings against never sending the present stock.
        curve: for each week from 0 on, what sending then brings, under the sheet best then.
        every_weeks: how often to send after that; None where the residues made never pay.
        every_sheet: under which terms.
        following: what all that is sent after brings, as an amount of today.
        root: the square-root rule for the same; None where it says nothing.
        week_costs: what one week more costs in money not working and in space, now.
    """

    weeks: int | None
    sheet: TermsSheet | None
    net: float
    curve: tuple[float, ...]
    every_weeks: int | None
    every_sheet: TermsSheet | None
    following: float
    root: SquareRoot | None
    week_costs: float


@dataclass(frozen=True, slots=True)
class NotCounted:
    """What a choice leaves out because nobody knows it; never taken as nothing without a word.

    Attributes:
        things: tags of things of which no metal is known.
        metals: metals that a sheet pays and of which nothing is known.
        unpriced: metals that have no price.
        elements: elements for which a sheet charges and whose share nobody said.
        sheets: names of sheets in another currency.
        dry: whether a sheet goes by dry weight and nobody said it.
    """

    things: tuple[str, ...]
    metals: tuple[str, ...]
    unpriced: tuple[str, ...]
    elements: tuple[str, ...]
    sheets: tuple[str, ...]
    dry: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """What to do with residues.

    Attributes:
        options: sending now under each sheet, then waiting, sampling, smelting here, keeping, as
            far as each is possible.
        best: what brings most, by expectation.
        runner_up: what brings most of the rest, sampling first aside, since it mostly ends in the
            same as the best.
        margin, margin_u: by how much the best brings more than that, and its standard deviation.
        margin_surely: share of the draws in which it does.
        best_known: the best but for sampling first: what to do without asking anybody.
        turns: the levels nearest to today at which another option than `best_known` becomes best.
        time: when to send.
        doubt_costs: expected loss from not knowing the contents: what a perfect assay of
            everything would be worth.
        all_doubt_costs: the same with prices and recovery foreseen as well.
        not_counted: what is left out.
    """

    options: tuple[Option, ...]
    best: Option
    runner_up: Option
    margin: float
    margin_u: float
    margin_surely: float
    best_known: Option
    turns: tuple[Turn, ...]
    time: BestTime
    doubt_costs: float
    all_doubt_costs: float
    not_counted: NotCounted
