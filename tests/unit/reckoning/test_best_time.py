"""The best time to send, against a search that plays every rhythm shipment by shipment."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import exp, sqrt

import numpy as np
import pytest

from terms import fees, pays, sheet
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.best_time import best_time, grown, outlook_of
from vault.reckoning.choices import BestTime, Making, Residues, Setting
from vault.reckoning.circumstances import WEEKS_A_YEAR, Circumstances, usual
from vault.reckoning.net_return import Parcel, net_of

DAY = date(2031, 3, 14)
PLAIN = replace(usual("EUR", {"Ag": 1.0}), interest=0.10, space_per_kg_week=0.0)
BY_LOT = sheet(pays("Ag", 0.95), charges=fees(freight=260.0), name="flat")
BY_KILO = sheet(pays("Ag", 0.95), per_kg=8.0, least=400.0)
FROM_900_G = sheet(pays("Ag", 0.9, least_fine_g=900.0), charges=fees(freight=90.0, drum=60.0))


def stock(silver_g: float, weight_g: float, u: float = 0.0) -> Residues:
    return Residues(("Ag",), (silver_g,), ((u**2,),), weight_g)


def making(silver_g: float, weight_g: float) -> Making:
    return Making(weight_g, 0.0, {"Ag": (silver_g, 0.0)})


def found(
    residues: Residues,
    adds: Making | None,
    sheets: list[TermsSheet],
    costs: Circumstances = PLAIN,
) -> BestTime:
    setting = Setting(residues, adds, tuple(sheets), costs, DAY)
    return best_time(outlook_of(setting), setting)


def shipment(silver_g: float, weight_g: float, terms: TermsSheet, costs: Circumstances) -> float:
    return float(net_of(Parcel(weight_g, {"Ag": silver_g}), terms, costs.prices, 0.0).net)


def space(first_g: float, adds: Making, weeks: int, costs: Circumstances) -> float:
    """Cost of space in steps of a day, so that it owes nothing to the integral."""
    days = (np.arange(weeks * 7) + 0.5) / 7
    heap_kg = (first_g + adds.weight_g * days) / 1000
    gone = np.exp(-costs.interest / WEEKS_A_YEAR * days)
    return float(np.sum(heap_kg * costs.space_per_kg_week / 7 * gone))


def played(adds: Making, terms: TermsSheet, costs: Circumstances, every: int) -> float:
    """Send every so many weeks for 400 years, beginning with nothing; worth today."""
    i = costs.interest / WEEKS_A_YEAR
    each = shipment(adds.fine_g["Ag"][0] * every, adds.weight_g * every, terms, costs)
    occupied = space(0.0, adds, every, costs)
    return sum(
        exp(-i * every * (number + 1)) * each - exp(-i * every * number) * occupied
        for number in range(int(400 * WEEKS_A_YEAR / every))
    )


def after(
    residues: Residues,
    adds: Making,
    terms: TermsSheet,
    costs: Circumstances,
    weeks: int,
    later: float,
) -> float:
    """Wait so many weeks, send everything, and begin the rhythm; less the rhythm begun now."""
    grams = residues.fine_g[0] + adds.fine_g["Ag"][0] * weeks
    first = shipment(grams, residues.received_g + adds.weight_g * weeks, terms, costs)
    gone = exp(-costs.interest / WEEKS_A_YEAR * weeks)
    return gone * (first + later) - later - space(residues.received_g, adds, weeks, costs)


@pytest.mark.parametrize("occupying", [0.0, 0.02])
@pytest.mark.parametrize(
    ("terms", "adds"),
    [
        (BY_LOT, making(40.0, 1000.0)),
        (BY_KILO, making(30.0, 1500.0)),
        (FROM_900_G, making(25.0, 6000.0)),
    ],
)
def test_week_and_rhythm_are_those_that_playing_them_all_through_finds(
    terms: TermsSheet, adds: Making, occupying: float
) -> None:
    costs = replace(PLAIN, space_per_kg_week=occupying)
    residues = stock(250.0, 12_000.0)
    answer = found(residues, adds, [terms], costs)
    rhythms = {every: played(adds, terms, costs, every) for every in range(1, 200)}
    best = max(rhythms, key=lambda every: rhythms[every])
    assert answer.every_weeks == best
    assert answer.following == pytest.approx(rhythms[best], rel=1e-3)
    curve = [after(residues, adds, terms, costs, week, rhythms[best]) for week in range(200)]
    assert answer.curve[:200] == pytest.approx(curve, rel=1e-3, abs=0.05)
    assert answer.weeks is not None
    assert curve[answer.weeks] == pytest.approx(max(curve), abs=0.01)


def test_of_two_sheets_each_shipment_goes_under_the_better_one() -> None:
    adds, residues = making(40.0, 1000.0), stock(100.0, 2_000.0)
    answer = found(residues, adds, [BY_KILO, BY_LOT])
    worth = {
        (terms.name, every): played(adds, terms, PLAIN, every)
        for terms in (BY_KILO, BY_LOT)
        for every in range(1, 160)
    }
    name, every = max(worth, key=lambda one: worth[one])
    assert answer.every_sheet is not None
    assert (answer.every_sheet.name, answer.every_weeks) == (name, every)
    assert answer.following == pytest.approx(worth[name, every], rel=1e-3)


def test_nothing_is_better_than_never_sending_what_never_pays() -> None:
    dear = sheet(pays("Ag", 0.8), per_kg=50.0)
    answer = found(stock(10.0, 5_000.0), making(5.0, 2_000.0), [dear])
    assert answer.weeks is None
    assert answer.sheet is None
    assert answer.every_weeks is None
    assert answer.following == 0.0
    assert max(answer.curve) < 0.0


def test_where_nothing_more_is_made_waiting_only_costs() -> None:
    answer = found(stock(1000.0, 5_000.0), None, [BY_LOT])
    assert answer.weeks == 0
    assert np.all(np.diff(answer.curve) < 0.0)
    net = 950.0 - 260.0
    assert answer.curve[52] == pytest.approx(net * exp(-0.1 * 52 / WEEKS_A_YEAR))
    assert answer.week_costs == pytest.approx(net * 0.1 / WEEKS_A_YEAR)


def test_a_sheet_is_not_waited_for_past_its_last_day() -> None:
    ends = replace(BY_LOT, valid_until=date(2031, 4, 11))
    residues, adds = stock(600.0, 3_000.0), making(40.0, 1000.0)
    answer = found(residues, adds, [ends])
    assert answer.weeks == 4
    assert np.isneginf(answer.curve[5:]).all()
    longer = found(residues, adds, [BY_LOT])
    assert longer.weeks is not None
    assert longer.weeks > 4


def test_a_minimum_makes_the_shop_wait_longer_than_the_square_root_says() -> None:
    """Up to 50 kg the charge is 400 whatever comes; the rule knows of no such bend."""
    answer = found(stock(0.0, 0.0), making(30.0, 1500.0), [BY_KILO])
    no_least = sheet(pays("Ag", 0.95), per_kg=8.0)
    plain = found(stock(0.0, 0.0), making(30.0, 1500.0), [no_least])
    assert answer.root is not None
    assert not answer.root.applies
    assert plain.every_weeks == 1
    assert answer.every_weeks is not None
    assert 30 <= answer.every_weeks <= 50


def test_space_that_costs_makes_the_shop_send_sooner() -> None:
    dear = replace(PLAIN, space_per_kg_week=0.5)
    cheap = found(stock(0.0, 0.0), making(40.0, 1000.0), [BY_LOT])
    sooner = found(stock(0.0, 0.0), making(40.0, 1000.0), [BY_LOT], dear)
    assert cheap.every_weeks is not None
    assert sooner.every_weeks is not None
    assert sooner.root is not None
    assert sooner.every_weeks < cheap.every_weeks
    holding = 0.95 * 40.0 * 0.1 / WEEKS_A_YEAR + 0.5
    assert sooner.root.weeks == pytest.approx(sqrt(2 * 260.0 / holding))
    assert sooner.every_weeks == pytest.approx(sooner.root.weeks, rel=0.06)


def test_doubts_of_stock_and_rate_add_up_as_far_as_they_are_tied() -> None:
    adds = Making(0.0, 0.0, {"Ag": (5.0, 1.0)}, tied=1.0)
    weeks = np.array([0.0, 3.0])
    assert grown(stock(50.0, 1.0, 4.0), adds, weeks)[1]["Ag"] == pytest.approx([4.0, 7.0])
    loose = replace(adds, tied=0.0)
    assert grown(stock(50.0, 1.0, 4.0), loose, weeks)[1]["Ag"] == pytest.approx([4.0, 5.0])


def test_where_money_costs_nothing_the_rhythm_that_brings_most_a_week_is_best() -> None:
    """Above 50 kg, 33.3 weeks, each week brings the same; below, the minimum weighs on it."""
    free = replace(PLAIN, interest=0.0)
    answer = found(stock(0.0, 0.0), making(30.0, 1500.0), [BY_KILO], free)
    assert answer.every_weeks is not None
    assert answer.every_weeks >= 34


def test_a_sheet_that_pays_none_of_the_metals_stands_beside_the_others_at_every_price() -> None:
    outlook = outlook_of(
        Setting(stock(500, 20_000), making(10, 400), (BY_LOT, sheet(pays("Pd", 0.9))), PLAIN, DAY)
    )
    prices = {"Ag": np.array([0.5, 1.0, 2.0])[:, None]}
    curves = outlook.curves(prices)
    assert curves.shape == (2, 3, len(outlook.weeks))
    assert curves[0, 2, 0] > curves[0, 0, 0]
    assert curves[1, 2, 0] <= 0
