"""The choice about residues, against plain Monte Carlo, exact formulas and trying it out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import erf, exp, log1p, pi, sqrt

import numpy as np
import pytest

from terms import charged, fees, pays, sheet
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import Choice, Hinge, Making, Option, Residues, Turn, Way
from vault.reckoning.circumstances import WEEKS_A_YEAR, Circumstances, usual
from vault.reckoning.facts import Floats
from vault.reckoning.send_out import choose

DAY = date(2031, 3, 14)
KILO = sheet(
    pays("Ag", 0.95, deduction=0.0005, refining=0.02),
    pays("Au", 0.97, refining=0.40, least_fine_g=1.5),
    name="by the kilo",
    per_kg=4.0,
    least=100.0,
    charges=fees(assay=20.0, freight=60.0, freight_per_kg=0.5, drum=15.0),
    penalties=[charged("Pb", 0.05, free=0.05, step=0.05)],
    days=60,
)
FLAT = sheet(
    pays("Ag", 0.88), pays("Au", 0.90), name="flat lot fee", charges=fees(manifest=190.0), days=20
)
# Silver and gold of one drum, with some doubt in common.
DRUM = Residues(
    metals=("Ag", "Au"),
    fine_g=(420.0, 2.1),
    covariance_g2=((60.0**2, 0.4 * 60.0 * 0.7), (0.4 * 60.0 * 0.7, 0.7**2)),
    received_g=21_700.0,
    received_u_g=150.0,
    shares={"Pb": 0.12},
)
MAKING = Making(1_300.0, 200.0, {"Ag": (12.0, 3.0), "Au": (0.06, 0.02)})
COSTS = replace(usual("EUR", {"Ag": 0.9, "Au": 75.0}), space_per_kg_week=0.02)


def chosen(
    residues: Residues = DRUM,
    sheets: tuple[TermsSheet, ...] = (KILO, FLAT),
    costs: Circumstances = COSTS,
    making: Making | None = MAKING,
) -> Choice:
    return choose(residues, sheets, costs, DAY, making)


def of(choice: Choice, way: Way, name: str = "") -> Option:
    return next(
        one
        for one in choice.options
        if one.way is way and (not name or (one.sheet is not None and one.sheet.name == name))
    )


class PlainDraws:
    """100 000 worlds drawn anew, and each option's arithmetic written out again by hand."""

    count = 100_000

    def __init__(self) -> None:
        generator = np.random.default_rng(2031)
        self.off = generator.multivariate_normal((0.0, 0.0), DRUM.covariance_g2, self.count).T
        self.contents = np.array(DRUM.fine_g)[:, None] + self.off
        self.received = generator.normal(21_700.0, 150.0, self.count)
        self.rate_weight = generator.normal(1_300.0, 200.0, self.count)
        # The doubt of the rate is wholly that of the stock.
        self.rates = np.array([[12.0], [0.06]]) + np.array([[3.0 / 60.0], [0.02 / 0.7]]) * self.off
        self.price_z = generator.standard_normal((2, self.count))
        self.recovery_z = generator.standard_normal(self.count)

    def price(self, metal: int, years: float) -> Floats:
        spread = COSTS.price_spread[("Ag", "Au")[metal]]
        s = sqrt(log1p(spread**2) * years)
        today = COSTS.prices[("Ag", "Au")[metal]]
        found: Floats = today * np.exp(s * self.price_z[metal] - s * s / 2)
        return found

    def kilo(self, contents: Floats, weight: Floats, years: float) -> Floats:
        silver, gold = contents
        days = 60 / 365
        ag = 0.95 * np.maximum(np.maximum(silver, 0) - 0.0005 * weight, 0)
        au = np.where(gold >= 1.5, 0.97 * gold, 0.0)
        kg = weight / 1000
        due = ag * (self.price(0, years + days) - 0.02) + au * (self.price(1, years + days) - 0.40)
        due -= np.maximum(4.0 * kg, 100.0) + 2 * 20.0 + 2 * 0.05 * kg
        way = 60.0 + 0.5 * kg + 15.0 * np.ceil(kg / 200.0)
        found: Floats = due * (1 - COSTS.interest * days) - way
        return found

    def flat(self) -> Floats:
        days = 20 / 365
        ag, au = 0.88 * np.maximum(self.contents, 0), 0.90 * np.maximum(self.contents, 0)
        due = ag[0] * self.price(0, days) + au[1] * self.price(1, days)
        found: Floats = due * (1 - COSTS.interest * days) - 190.0
        return found

    def worked(self) -> Floats:
        working = COSTS.working
        assert working is not None
        years = 14 / 365
        value = np.zeros(self.count)
        for metal, symbol in enumerate(("Ag", "Au")):
            share, u = working.recovery[symbol]
            got = np.clip(share + u * self.recovery_z, 0, 1)
            value += got * np.maximum(self.contents[metal], 0) * self.price(metal, years)
        kg = self.received / 1000
        costs = 4.0 * kg + 3.0 * kg + 30.0 * (2.0 + 0.25 * kg)
        return value * 0.98 * (1 - COSTS.interest * years) - costs


@pytest.fixture(scope="module")
def plain() -> PlainDraws:
    return PlainDraws()


@pytest.fixture(scope="module")
def choice() -> Choice:
    return chosen()


def agrees(option: Option, nets: Floats) -> None:
    """Means within four standard errors of the plain draws, ends of the range within 0.06 u."""
    u = float(nets.std())
    low, high = np.percentile(nets, [5, 95])
    assert option.net == pytest.approx(float(nets.mean()), abs=4 * u / sqrt(len(nets)))
    assert option.u == pytest.approx(u, rel=0.02)
    assert option.low == pytest.approx(float(low), abs=0.06 * u)
    assert option.high == pytest.approx(float(high), abs=0.06 * u)
    assert option.worse_than_keeping == pytest.approx(float(np.mean(nets < 0)), abs=0.012)


def test_sending_now_by_the_kilo_is_as_100_000_plain_draws_have_it(
    choice: Choice, plain: PlainDraws
) -> None:
    agrees(of(choice, Way.SEND, "by the kilo"), plain.kilo(plain.contents, plain.received, 0.0))


def test_sending_now_for_a_flat_fee_is_as_100_000_plain_draws_have_it(
    choice: Choice, plain: PlainDraws
) -> None:
    agrees(of(choice, Way.SEND, "flat lot fee"), plain.flat())


def test_smelting_here_is_as_100_000_plain_draws_have_it(choice: Choice, plain: PlainDraws) -> None:
    agrees(of(choice, Way.WORK), plain.worked())


def test_waiting_is_as_100_000_plain_draws_have_it(plain: PlainDraws) -> None:
    """Played with its own rhythm after it, at prices of the week of sending."""
    choice = chosen(sheets=(KILO,))
    option, time = of(choice, Way.WAIT), choice.time
    assert time.every_weeks is not None
    i, w, t = COSTS.interest / WEEKS_A_YEAR, option.weeks, time.every_weeks
    years = w / WEEKS_A_YEAR
    stock = plain.contents + w * plain.rates
    first = plain.kilo(stock, plain.received + w * plain.rate_weight, years)
    each = plain.kilo(t * plain.rates, t * plain.rate_weight, years)
    days = (np.arange(7 * max(w, t)) + 0.5) / 7

    def occupied(heap: Floats, weeks: int) -> Floats:
        gone = np.exp(-i * days[: 7 * weeks]) / 7
        kilos = (
            heap / 1000 * gone.sum() + plain.rate_weight / 1000 * (gone * days[: 7 * weeks]).sum()
        )
        found: Floats = 0.02 * kilos
        return found

    nothing = np.zeros(plain.count)
    later = (exp(-i * t) * each - occupied(nothing, t)) / (1 - exp(-i * t))
    nets = exp(-i * w) * first - (1 - exp(-i * w)) * later - occupied(plain.received, w)
    agrees(option, nets)


def test_margin_and_its_doubt_are_those_of_the_difference_in_the_same_worlds(
    plain: PlainDraws,
) -> None:
    choice = chosen(making=None, costs=replace(COSTS, working=None, sampling=None))
    assert choice.best.sheet is not None
    assert choice.best.sheet.name == "flat lot fee"
    ahead = plain.flat() - plain.kilo(plain.contents, plain.received, 0.0)
    assert choice.margin == pytest.approx(float(ahead.mean()), abs=0.02 * float(ahead.std()))
    assert choice.margin_u == pytest.approx(float(ahead.std()), rel=0.02)
    assert choice.margin_surely == pytest.approx(float(np.mean(ahead > 0)), abs=0.012)


def normal_loss(mean: float, u: float) -> float:
    """E[max(X, 0)] − max(E X, 0) of a normal X: u(φ(z) − z(1 − Φ(z))), z = |mean|/u."""
    z = abs(mean) / u
    return u * (exp(-z * z / 2) / sqrt(2 * pi) - z * (1 - erf(z / sqrt(2))) / 2)


LINEAR = sheet(pays("Ag", 1.0), name="plain", charges=fees(freight=400.0))
ONE_METAL = Residues(("Ag",), (430.0,), ((50.0**2,),), 5_000.0)


PLAIN = replace(COSTS, prices={"Ag": 1.0}, price_spread={"Ag": 0.0}, working=None, interest=0.0)


def test_the_cost_of_doubt_is_that_of_the_textbook_where_all_is_linear() -> None:
    """Send, or keep: 30 ± 50 and nothing; the normal loss is exact there."""
    choice = chosen(ONE_METAL, (LINEAR,), replace(PLAIN, sampling=None), None)
    assert choice.best.net == pytest.approx(30.0)
    assert choice.doubt_costs == pytest.approx(normal_loss(30.0, 50.0), rel=0.01)


def test_what_a_sample_is_worth_is_that_of_the_textbook_where_all_is_linear() -> None:
    """A sample of u_s tells 50²/√(50² + u_s²) of the doubt: the normal loss of that spread."""
    sampling = COSTS.sampling
    assert sampling is not None
    choice = chosen(ONE_METAL, (LINEAR,), PLAIN, None)
    first = of(choice, Way.SAMPLE)
    u = 430.0 * sqrt(0.02**2 + 0.2 * (1 / 500 - 1 / 5_000))
    told = 50.0**2 / sqrt(50.0**2 + u**2)
    costs = 30.0 * (1.0 + 0.05 * 5.0) + 45.0
    assert first.costs == pytest.approx(costs)
    assert first.net == pytest.approx(30.0 + normal_loss(30.0, told) - costs, abs=0.1)
    drawn = np.random.default_rng(5).normal(430.0, 50.0, 400_000)
    seen = drawn + np.random.default_rng(6).normal(0.0, u, 400_000)
    sends = 430.0 + 50.0**2 / (50.0**2 + u**2) * (seen - 430.0) > 400.0
    nets = np.where(sends, drawn - 400.0, 0.0) - costs
    assert first.low == pytest.approx(float(np.percentile(nets, 5)), abs=2.0)
    assert first.high == pytest.approx(float(np.percentile(nets, 95)), abs=2.0)
    assert first.u == pytest.approx(float(nets.std()), rel=0.02)


def test_sampling_is_worth_nothing_where_it_cannot_change_what_is_done() -> None:
    rich = replace(ONE_METAL, fine_g=(4_000.0,))
    first = of(chosen(rich, (LINEAR,), PLAIN, None), Way.SAMPLE)
    assert first.net == pytest.approx(3_600.0 - first.costs)


def moved(turn: Turn, level: float) -> Choice:
    if turn.hinge is Hinge.PRICE:
        return chosen(costs=replace(COSTS, prices={**COSTS.prices, turn.metal: level}))
    at = DRUM.metals.index(turn.metal)
    fine = tuple(level if one == at else grams for one, grams in enumerate(DRUM.fine_g))
    return chosen(replace(DRUM, fine_g=fine))


def test_beyond_a_turn_the_other_option_is_best_and_short_of_it_it_is_not(choice: Choice) -> None:
    assert len(choice.turns) >= 2
    assert {turn.hinge for turn in choice.turns} == {Hinge.PRICE, Hinge.CONTENT}
    best = choice.best_known
    for turn in choice.turns:
        step = 0.01 * abs(turn.level - turn.now) * (-1 if turn.falls else 1)
        short, beyond = moved(turn, turn.level - step), moved(turn, turn.level + step)
        assert (short.best_known.way, short.best_known.sheet) == (best.way, best.sheet), turn
        assert (beyond.best_known.way, beyond.best_known.sheet) == (turn.instead, turn.sheet), turn


@pytest.mark.parametrize("name", ["by the kilo", "flat lot fee"])
def test_at_the_weight_and_the_grade_from_which_it_pays_the_expected_net_is_nothing(
    choice: Choice, name: str
) -> None:
    option = of(choice, Way.SEND, name)
    assert option.pays_from_g is not None
    assert option.pays_from_grade is not None
    exact = replace(DRUM, received_u_g=0.0)
    times = option.pays_from_g / DRUM.received_g
    lighter = scaled(exact, times, option.pays_from_g)
    assert of(chosen(lighter), Way.SEND, name).net == pytest.approx(0.0, abs=1.0)
    poorer = scaled(exact, option.pays_from_grade["Ag"] / (420.0 / 21_700.0))
    assert of(chosen(poorer), Way.SEND, name).net == pytest.approx(0.0, abs=1.0)
    both = option.pays_from_grade
    assert both["Au"] / both["Ag"] == pytest.approx(2.1 / 420.0)


def scaled(residues: Residues, times: float, received_g: float = DRUM.received_g) -> Residues:
    return replace(
        residues,
        received_g=received_g,
        fine_g=tuple(times * one for one in residues.fine_g),
        covariance_g2=tuple(tuple(times**2 * one for one in row) for row in residues.covariance_g2),
    )


def test_what_never_pays_has_no_weight_from_which_it_does() -> None:
    dear = sheet(pays("Ag", 0.5), per_kg=60.0)
    option = of(chosen(ONE_METAL, (dear,), replace(PLAIN, prices={"Ag": 0.5}), None), Way.SEND)
    assert option.pays_from_g is None
    assert option.pays_from_grade is not None


def test_lines_and_work_are_told_at_the_estimates(choice: Choice) -> None:
    lines = of(choice, Way.SEND, "by the kilo").lines
    assert lines is not None
    silver = lines.metals[0]
    assert float(silver.payable_g) == pytest.approx(0.95 * (420.0 - 10.85))
    worked = of(choice, Way.WORK).worked
    assert worked is not None
    assert worked.recovered_g["Ag"] == pytest.approx(0.88682 * 420.0, rel=1e-4)
    assert worked.left_g["Ag"] == pytest.approx((0.10 + 0.8985 * 0.010) * 420.0)
    assert worked.recovered_g["Ag"] + worked.left_g["Ag"] < 420.0
    assert (worked.flux, worked.energy) == pytest.approx((4.0 * 21.7, 3.0 * 21.7))
    assert worked.wages == pytest.approx(30.0 * (2.0 + 0.25 * 21.7))


def test_what_nobody_knows_is_named() -> None:
    other = replace(KILO, currency="USD", name="overseas")
    arsenic = replace(
        KILO,
        name="asks for arsenic",
        metals=(*KILO.metals, pays("Pd", 0.9)),
        penalties=(charged("As", 1.0, free=0.0, step=0.001),),
    )
    residues = replace(DRUM, not_known=("Pd",), left_out=("R0007-12",))
    costs = replace(COSTS, prices={"Ag": 0.9})
    found = chosen(residues, (KILO, arsenic, other), costs).not_counted
    assert found.things == ("R0007-12",)
    assert found.metals == ("Pd",)
    assert found.unpriced == ("Au",)
    assert found.elements == ("As",)
    assert found.sheets == ("overseas",)
    assert not found.dry


def test_a_metal_without_a_price_is_worth_no_draw_either() -> None:
    costs = replace(COSTS, prices={"Ag": 0.9})
    silver_only = replace(DRUM, metals=("Ag",), fine_g=(420.0,), covariance_g2=((60.0**2,),))
    both = of(chosen(costs=costs, making=None), Way.SEND, "flat lot fee")
    alone = of(chosen(silver_only, costs=costs, making=None), Way.SEND, "flat lot fee")
    assert both.net == pytest.approx(alone.net, abs=0.01)


def test_sheets_count_from_their_first_day_to_their_last() -> None:
    gone = replace(KILO, name="gone", valid_until=date(2031, 3, 13))
    to_come = replace(FLAT, name="to come", valid_from=date(2031, 4, 1))
    choice = chosen(sheets=(gone, to_come))
    assert [one.way for one in choice.options if one.sheet is not None] == [Way.WAIT]
    assert of(choice, Way.WAIT).weeks >= 3
    assert all(turn.sheet is None or turn.sheet.name == "to come" for turn in choice.turns)


def test_without_sheets_or_work_there_is_only_keeping() -> None:
    choice = chosen(sheets=(), costs=replace(COSTS, working=None, sampling=None))
    assert [one.way for one in choice.options] == [Way.KEEP]
    assert choice.best is choice.runner_up
    assert choice.margin == 0.0
    assert choice.turns == ()
    assert choice.time.weeks is None


def test_of_residues_of_which_no_metal_is_known_only_charges_are_expected() -> None:
    nothing = Residues((), (), (), 5_000.0, not_known=("Ag",), left_out=("R0001-01",))
    choice = chosen(nothing, (KILO,), COSTS, None)
    assert choice.best.way is Way.KEEP
    assert of(choice, Way.SEND).net < 0.0
    assert choice.not_counted.metals == ("Ag",)
    assert choice.turns == ()


def test_the_same_question_has_the_same_answer_to_the_last_digit(choice: Choice) -> None:
    again = chosen()
    for one, other in zip(choice.options, again.options, strict=True):
        assert (one.net, one.low, one.high, one.u) == (other.net, other.low, other.high, other.u)
    assert choice.turns == again.turns
    assert choice.time.curve == again.time.curve
    assert choice.doubt_costs == again.doubt_costs
