"""The next sample is the one that trying all of them finds, in doubt and in money."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import combinations

import numpy as np
import pytest

from terms import fees, pays, sheet
from vault.reckoning.choices import Residues, Setting
from vault.reckoning.circumstances import usual
from vault.reckoning.facts import Floats
from vault.reckoning.sampling_worth import SampleWorth, Things, samples_worth, worth_of_surer

DAY = date(2031, 3, 14)
# Six things of one drum; the last two are slag and cupel of one bag, of which the sum is known.
SPREAD = np.array([8.0, 14.0, 20.0, 6.0, 15.0, 15.0])
CORRELATION = np.eye(6)
CORRELATION[:4, :4] += 0.15 * (1 - np.eye(4))
CORRELATION[4, 5] = CORRELATION[5, 4] = -0.9
COVARIANCE = CORRELATION * np.outer(SPREAD, SPREAD)
MEAN = np.array([40.0, 90.0, 110.0, 30.0, 70.0, 60.0])
ERRORS = np.array([1.0, 2.0, 9.0, 1.0, 2.0, 2.0])
COSTS = np.array([1.0, 1.2, 4.5, 0.8, 1.0, 1.0])
TAGS = tuple("ABCDEF")
THINGS = Things(
    tags=TAGS,
    covariance_g2={"Ag": COVARIANCE},
    with_total_g2={"Ag": COVARIANCE.sum(axis=1)},
    u_g={"Ag": ERRORS},
    costs=COSTS,
)


def setting(fixed: float) -> Setting:
    terms = sheet(pays("Ag", 1.0), charges=fees(freight=fixed))
    total = Residues(("Ag",), (float(MEAN.sum()),), ((float(COVARIANCE.sum()),),), 5_000.0)
    costs = replace(
        usual("EUR", {"Ag": 1.0}), price_spread={}, working=None, sampling=None, interest=0.0
    )
    return Setting(total, None, (terms,), costs, DAY)


class TryingAll:
    """Every bundle conditioned on and decided in 200 000 drawn drums, things one by one."""

    def __init__(self, fixed: float) -> None:
        generator = np.random.default_rng(7)
        self.fixed = fixed
        self.drums = generator.multivariate_normal(MEAN, COVARIANCE, 200_000)
        self.seen = self.drums + ERRORS * generator.standard_normal(self.drums.shape)

    def of(self, places: tuple[int, ...]) -> tuple[float, float]:
        """Give the doubt left and the loss avoided."""
        at = list(places)
        inner = COVARIANCE[np.ix_(at, at)] + np.diag(ERRORS[at] ** 2)
        weights = np.linalg.solve(inner, COVARIANCE[at].sum(axis=1))
        told = MEAN.sum() + (self.seen[:, at] - MEAN[at]) @ weights
        truth: Floats = self.drums.sum(axis=1)
        with_it = np.where(told > self.fixed, truth - self.fixed, 0.0).mean()
        without = max(MEAN.sum() - self.fixed, 0.0)
        return float((truth - told).std()), float(with_it - without)


@pytest.mark.parametrize("fixed", [385.0, 400.0, 412.0])
def test_the_best_sample_for_the_decision_is_the_one_that_trying_all_finds(fixed: float) -> None:
    found = samples_worth(setting(fixed), THINGS, most=40)
    tried = TryingAll(fixed)
    bundles = [(at,) for at in range(6)] + list(combinations(range(6), 2))
    gains = {
        tuple(TAGS[at] for at in one): tried.of(one)[1] - COSTS[list(one)].sum() for one in bundles
    }
    told = {one.tags: one for one in found}
    best = max(gains, key=lambda one: gains[one])
    assert gains[best] > 0.5
    assert gains[found[0].tags] == pytest.approx(gains[best], abs=0.3)
    for tags, one in told.items():
        doubt, worth = tried.of(tuple(TAGS.index(tag) for tag in tags))
        assert one.after == pytest.approx(doubt, rel=0.01)
        assert one.worth == pytest.approx(worth, abs=0.3)


def test_nothing_that_was_left_out_would_have_gained_more() -> None:
    tried = TryingAll(400.0)
    found = samples_worth(setting(400.0), THINGS, most=3)
    bundles = [(at,) for at in range(6)] + list(combinations(range(6), 2))
    best = max(tried.of(one)[1] - COSTS[list(one)].sum() for one in bundles)
    assert found[0].gain == pytest.approx(best, abs=0.3)


def test_where_no_sample_can_change_what_is_done_the_fall_of_doubt_for_its_cost_decides() -> None:
    found = samples_worth(setting(50.0), THINGS, most=40)
    assert max(one.worth for one in found) < 0.01
    falls = [one.fall_for_cost for one in found]
    assert falls == sorted(falls, reverse=True)
    best = max(range(6), key=lambda at: (after(()) - after((at,))) / COSTS[at])
    assert (found[0].before - found[0].after) / found[0].cost >= (
        after(()) - after((best,))
    ) / COSTS[best] - 1e-9


def after(places: tuple[int, ...]) -> float:
    total = COVARIANCE.sum()
    if places:
        at = list(places)
        inner = COVARIANCE[np.ix_(at, at)] + np.diag(ERRORS[at] ** 2)
        shared = COVARIANCE[at].sum(axis=1)
        total = total - shared @ np.linalg.solve(inner, shared)
    return float(np.sqrt(total))


def test_slag_and_cupel_of_one_bag_are_offered_together() -> None:
    """Each alone tells little, since what one holds more the other holds less."""
    found = {one.tags: one for one in samples_worth(setting(50.0), THINGS, most=40)}
    both = found["E", "F"]
    singly = [found[tag,].before - found[tag,].after for tag in "EF"]
    assert both.before - both.after > 1.3 * sum(singly)


def test_a_metal_of_which_a_sample_tells_nothing_stays_as_doubtful() -> None:
    gold = np.diag([0.04, 0.09])
    silver = np.diag([100.0, 400.0])
    things = Things(
        tags=("A", "B"),
        covariance_g2={"Ag": silver, "Au": gold},
        with_total_g2={"Ag": silver.sum(axis=1), "Au": gold.sum(axis=1)},
        u_g={"Ag": np.array([1.0, 1.0]), "Au": np.array([np.inf, 0.1])},
        costs=np.array([30.0, 60.0]),
    )
    total = Residues(("Ag", "Au"), (300.0, 2.0), ((500.0, 0.0), (0.0, 0.13)), 5_000.0)
    asked = replace(
        setting(50.0), residues=total, circumstances=usual("EUR", {"Ag": 1.0, "Au": 70.0})
    )
    found: dict[tuple[str, ...], SampleWorth] = {
        one.tags: one for one in samples_worth(asked, things)
    }
    assert found["A",].after_g["Au"] == found["A",].before_g["Au"] == pytest.approx(0.13**0.5)
    assert found["B",].after_g["Au"] == pytest.approx((0.13 - 0.09**2 / 0.10) ** 0.5)
    assert found["A",].after_g["Ag"] == pytest.approx((500.0 - 100.0**2 / 101.0) ** 0.5)
    assert found["A",].before == pytest.approx((500.0 + 70.0**2 * 0.13) ** 0.5)


def test_where_nothing_can_be_sampled_nothing_is_offered() -> None:
    none = np.zeros(0)
    things = Things((), {"Ag": np.zeros((0, 0))}, {"Ag": none}, {"Ag": none}, none)
    assert samples_worth(setting(400.0), things) == []


def test_what_getting_surer_is_worth_is_what_the_sample_that_does_it_is_worth() -> None:
    for one in samples_worth(setting(412.0), THINGS, most=40):
        assert worth_of_surer(setting(412.0), one.after_g) == pytest.approx(one.worth, abs=1e-9)


def test_no_surer_is_worth_nothing_and_the_surer_the_more() -> None:
    now = float(np.sqrt(COVARIANCE.sum()))
    worths = [
        worth_of_surer(setting(400.0), {"Ag": share * now}) for share in (2.0, 1.0, 0.8, 0.4, 0.0)
    ]
    assert worths[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert worths == sorted(worths)
    assert worth_of_surer(setting(400.0), {}) == pytest.approx(0.0, abs=1e-9)
    # Nothing is left in doubt: with the mean at the charge, the unit normal loss σ·φ(0).
    assert worths[-1] == pytest.approx(now / np.sqrt(2 * np.pi), rel=0.02)
