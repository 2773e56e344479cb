"""Habits: acting on the verdict, sending every quarter, when the drum is full, or never.

All habits meet the same weeks, the same truth and the same prices, and each shipment goes under the
sheet that is best by the estimate. What it brings is worked out from what is true.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from math import exp

import numpy as np

from simulation.sending import (
    BEGINS,
    COSTS,
    METALS,
    QUARTER,
    SAMPLING,
    SHEETS,
    USUAL,
    WEEKS,
    Book,
    Kind,
    Truth,
)
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.best_time import space_until
from vault.reckoning.choices import Choice, Way
from vault.reckoning.circumstances import WEEKS_A_YEAR, Circumstances
from vault.reckoning.net_return import DAYS_A_YEAR, Parcel, net_of
from vault.reckoning.sample_first import sample_u
from vault.reckoning.send_out import choose

_ONE_WEEK = np.array([1.0])


@dataclass
class Ranges:
    """How often what comes of an option lies in its 90 % range."""

    seen: int = 0
    held: int = 0

    def look(self, low: float, high: float, came: float) -> None:
        self.seen += 1
        self.held += low <= came <= high

    @staticmethod
    def of_all() -> dict[Way, Ranges]:
        """Give an empty count for each option that is looked at."""
        return {Way.SEND: Ranges(), Way.WORK: Ranges()}

    @property
    def share(self) -> float:
        return self.held / self.seen if self.seen else float("nan")


@dataclass
class Play:
    """One shop under one habit."""

    kind: Kind
    truth: Truth
    earned: float = 0.0
    shipments: int = 0
    samplings: int = 0

    def __post_init__(self) -> None:
        self.book = Book(self.kind, self.truth)
        self.costs = replace(
            COSTS,
            working=USUAL.working if self.kind.works else None,
            sampling=SAMPLING if self.kind.samples else None,
        )

    def at(self, week: int) -> Circumstances:
        """Give the circumstances at the prices after a week."""
        prices = self.truth.prices[week - 1].tolist()
        return replace(self.costs, prices=dict(zip(METALS, prices, strict=True)))

    def asks(self, week: int, costs: Circumstances) -> Choice:
        """Ask what to do with the heap."""
        day = BEGINS + timedelta(weeks=week)
        return choose(self.book.heap(week), SHEETS, costs, day, self.book.making(week))

    def samples(self, week: int, costs: float) -> Choice:
        """Sample the heap first, and ask again what to do with it."""
        sampling = self.costs.sampling
        if sampling is not None:
            self.earned -= self.worth(week, costs)
            self.book.samples(week, sample_u(self.book.heap(week), sampling))
            self.samplings += 1
        return self.asks(week, replace(self.at(week), sampling=None))

    def worth(self, week: int, amount: float) -> float:
        return amount * exp(-self.costs.interest * week / WEEKS_A_YEAR)

    def stores(self, week: int) -> None:
        """Pay for the space of a week."""
        heap = float(self.truth.weight_g[self.book.since : week].sum())
        self.earned -= self.worth(week, float(space_until(_ONE_WEEK, heap, 0.0, self.costs)[0]))

    def net(self, week: int, terms: TermsSheet) -> float:
        """Give what a shipment of today will have brought, by what is true."""
        held = self.truth.held_g[self.book.since : week].sum(axis=0).tolist()
        weight = float(self.truth.weight_g[self.book.since : week].sum())
        settled = week - 1 + round(terms.days_to_settle / 7)
        prices = dict(zip(METALS, self.truth.prices[settled].tolist(), strict=True))
        parcel = Parcel(weight, dict(zip(METALS, held, strict=True)))
        return float(net_of(parcel, terms, prices, self.costs.interest).net)

    def best_sheet(self, week: int) -> TermsSheet:
        """Give the sheet that is best by the estimates and today's prices."""
        heap = self.book.heap(week)
        parcel = Parcel(heap.received_g, dict(zip(METALS, heap.fine_g, strict=True)))
        at = self.at(week)
        return max(SHEETS, key=lambda one: float(net_of(parcel, one, at.prices, at.interest).net))

    def send(self, week: int, terms: TermsSheet) -> None:
        self.earned += self.worth(week, self.net(week, terms))
        self.shipments += 1
        self.book.learns(week)

    def work(self, week: int) -> None:
        """Smelt the heap here: what is got out is as true as the furnace is."""
        self.earned += self.worth(week, self.worked(week))
        self.book.learns(week)

    def worked(self, week: int) -> float:
        working = self.costs.working
        if working is None:
            return 0.0
        held = self.truth.held_g[self.book.since : week].sum(axis=0)
        kg = float(self.truth.weight_g[self.book.since : week].sum()) / 1000
        prices = self.truth.prices[week - 1 + round(working.days / 7)]
        value = 0.0
        for at, metal in enumerate(METALS):
            share, u = working.recovery[metal]
            value += min(max(share + u * self.truth.recovery, 0.0), 1.0) * held[at] * prices[at]
        value *= working.sells_at * (1 - self.costs.interest * working.days / DAYS_A_YEAR)
        hours = working.hours_per_lot + working.hours_per_kg * kg
        flux = working.flux_per_kg * working.flux_price_per_kg
        return value - (flux + working.energy_per_kg) * kg - hours * self.costs.wage_per_hour

    def closes(self) -> None:
        """Take what is left at the end for what it brings, if it brings anything."""
        best = max(self.net(WEEKS, one) for one in SHEETS)
        self.earned += self.worth(WEEKS, max(best, 0.0))


def every_quarter(kind: Kind, truth: Truth) -> Play:
    play = Play(kind, truth)
    for week in range(1, WEEKS + 1):
        play.stores(week)
        if week % QUARTER == 0:
            play.send(week, play.best_sheet(week))
    return play


def when_full(kind: Kind, truth: Truth) -> Play:
    play = Play(kind, truth)
    for week in range(1, WEEKS + 1):
        play.stores(week)
        if truth.weight_g[play.book.since : week].sum() >= kind.drum_g:
            play.send(week, play.best_sheet(week))
    play.closes()
    return play


def never(kind: Kind, truth: Truth) -> Play:
    play = Play(kind, truth)
    for week in range(1, WEEKS + 1):
        play.stores(week)
    return play


def on_the_verdict(kind: Kind, truth: Truth, ranges: dict[Way, Ranges]) -> Play:
    """Ask each quarter and do what is best; a wait that ends before the next is kept."""
    play = Play(kind, truth)
    due: tuple[int, TermsSheet] | None = None
    for week in range(1, WEEKS + 1):
        play.stores(week)
        if due is not None and due[0] == week:
            play.send(week, due[1])
            due = None
        elif week % QUARTER == 0 and due is None:
            choice = play.asks(week, play.at(week))
            _look(play, week, choice, ranges)
            if choice.best.way is Way.SAMPLE:
                choice = play.samples(week, choice.best.costs)
            due = _act(play, week, choice)
    play.closes()
    return play


def _act(play: Play, week: int, choice: Choice) -> tuple[int, TermsSheet] | None:
    best = choice.best
    if best.way is Way.SEND and best.sheet is not None:
        play.send(week, best.sheet)
    elif best.way is Way.WORK:
        play.work(week)
    elif best.way is Way.WAIT and best.sheet is not None and best.weeks < QUARTER:
        return week + best.weeks, best.sheet
    return None


def _look(play: Play, week: int, choice: Choice, ranges: dict[Way, Ranges]) -> None:
    for option in choice.options:
        if option.way is Way.SEND and option.sheet is not None:
            ranges[Way.SEND].look(option.low, option.high, play.net(week, option.sheet))
        elif option.way is Way.WORK:
            ranges[Way.WORK].look(option.low, option.high, play.worked(week))
