"""What the house learns: the short run of `learning_study.py`, and the rate of forgetting.

The long run stands in `learning.md`.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from builders import assayed, received, shop_of, thing, worked
from simulation.learning import CUPEL, SLAG
from simulation.learning_study import KINDS, Learnt, learnt
from vault.core.daybook import Entry
from vault.core.flow import flow_of
from vault.reckoning.guesses import DEFAULT, Guesses, OwnKeep
from vault.reckoning.reckoner import Reckoner

SHOPS = 80


@cache
def steady() -> dict[str, Learnt]:
    return learnt(SHOPS, 20, first_seed=70_000)


@pytest.mark.parametrize("kind", KINDS)
def test_after_twenty_settlements_the_factors_range_holds_the_truth(kind: str) -> None:
    # 95 of 100, and three standard deviations of what so few shops show.
    assert 0.95 - 0.073 <= steady()[kind].coverage <= 1.0


@pytest.mark.parametrize(("kind", "most"), [(SLAG, 0.20), (CUPEL, 0.12)])
def test_after_twenty_settlements_the_factor_has_come_to_the_truth(kind: str, most: float) -> None:
    first_guess = DEFAULT.keep(kind, "Ag").house
    assert steady()[kind].error < most < 0.5 * first_guess


def test_a_steady_house_is_seldom_told_of_a_drift_and_a_doubled_keep_mostly_is() -> None:
    assert sum(one.drifts for one in steady().values()) <= 0.03 * 2 * SHOPS
    doubled = learnt(SHOPS // 3, 20, change=2.0, first_seed=80_000)
    assert doubled[CUPEL].told >= 0.6


# --- the rate at which a first guess is forgotten ----------------------------------------------

GUESS, HOUSE, BATCH = 0.004, 0.8, 0.6
KEPT, ASSAY = 0.010, 0.03
FEED_G, FEED_U_G = 300.0, 0.6


def settled_slags(count: int) -> list[Entry]:
    """Gold smelted `count` times; each slag keeps two and a half times what was guessed."""
    chance = np.random.default_rng(11)
    entries: list[Entry] = []
    for at in range(count):
        number = len(entries) + 1
        kept = KEPT * (1.0 + 0.1 * chance.standard_normal()) * FEED_G
        permille = 1000.0 * kept / 200.0
        feed = f"Au {FEED_G / 0.4:.3f} ± {FEED_U_G / 0.4:.3f}"
        entries += [
            received(
                number,
                thing(f"R-{at}", "grain", "400 ± 0.000001", feed, how="fire assay"),
                lot=f"L-{at}",
            ),
            worked(
                number + 1,
                "smelt",
                used=f"R-{at}",
                made=[thing(f"K-{at}", "button"), thing(f"S-{at}", "slag", "200 ± 0.000001")],
            ),
            assayed(number + 2, f"S-{at}", f"Au {permille:.6f} ± {ASSAY * permille:.6f}"),
        ]
    return entries


@pytest.mark.parametrize("count", [1, 2, 5, 10, 20, 50])
def test_a_wrong_first_guess_is_forgotten_at_the_rate_of_the_closed_form(count: int) -> None:
    """One factor, settled residues alone: the conjugate normal update (C. R. Rao, from memory).

    k̂ = (k0/s_c² + Σ w_j r_j)/(1/s_c² + Σ w_j), w_j = 1/(s_w² + q_j), q = (u_x/F)² + (k u_F/F)².
    """
    entries = settled_slags(count)
    guesses = Guesses(own={(SLAG, "Au"): OwnKeep(GUESS, HOUSE, BATCH)})
    contents = Reckoner(guesses).begin(flow_of(shop_of(*entries)))
    (factor,) = [one for one in contents.house_factors if (one.kind, one.metal) == (SLAG, "Au")]
    said = [one.lines[0].contents[0] for one in entries if one.act.value == "assay"]
    found = np.array([one.fineness.share * 200.0 for one in said])
    doubt = np.array([0.0 if one.u is None else one.u.share * 200.0 for one in said])
    ratio = found / FEED_G
    spread = (doubt / FEED_G) ** 2 + (ratio * FEED_U_G / FEED_G) ** 2
    weight = 1.0 / ((BATCH * GUESS) ** 2 + spread)
    of_guess = 1.0 / (HOUSE * GUESS) ** 2
    expected = (of_guess * GUESS + weight @ ratio) / (of_guess + weight.sum())
    still_the_guess = of_guess / (of_guess + weight.sum())
    assert factor.now == pytest.approx(expected, rel=2e-3)
    assert factor.now_u == pytest.approx((of_guess + weight.sum()) ** -0.5, rel=5e-3)
    own = float(weight @ ratio / weight.sum())
    assert (factor.now - own) / (GUESS - own) == pytest.approx(still_the_guess, rel=0.03)
