"""What an assay is said to gain is what it gains, and what is offered first is the best of all."""

from __future__ import annotations

import doctest
from itertools import combinations

import numpy as np
import pytest

import vault.reckoning.samples
from simulation.shops import SCENARIOS, Shop, simulated
from vault.reckoning.contents import Contents, Places
from vault.reckoning.next_assays import AssayWorth, Offer, assays_worth
from vault.reckoning.reckoner import reckon
from vault.reckoning.solved_metal import SolvedMetal


def shop() -> Shop:
    return simulated(SCENARIOS[0], 12)


def known(contents: Contents, tags: list[str]) -> list[str]:
    return [tag for tag in tags if contents.of(tag)["Ag"].determinable]


def single(tag: str, cost: float = 50.0) -> Offer:
    return Offer((tag,), 0.05, cost)


def brute_force(contents: Contents, total: list[str], offers: tuple[Offer, ...]) -> float:
    """Condition the joint of total and offers by hand, from variances of sums alone."""
    balance = contents.balances["Ag"]
    assert isinstance(balance, SolvedMetal)
    groups: list[Places] = [contents.places(total)]
    groups += [contents.places(one.tags) for one in offers]
    pairs = [np.append(one, other) for one in groups for other in groups]
    own = balance.variances_of(groups)
    sums = balance.variances_of(pairs).reshape(len(groups), len(groups))
    joint = (sums - own[:, None] - own[None, :]) / 2.0
    joint[np.diag_indices(len(groups))] = own
    seen = joint[1:, 1:] + np.diag([one.u_g**2 for one in offers])
    left = joint[0, 0] - joint[0, 1:] @ np.linalg.solve(seen, joint[1:, 0])
    return float(np.sqrt(left))


def test_the_gain_of_every_offer_is_that_of_conditioning_by_hand() -> None:
    here = shop()
    contents = reckon(here.flow)
    total = known(contents, here.locked_up())
    offers = [*(single(tag) for tag in total[:12]), Offer(tuple(total[3:9]), 0.4, 120.0)]
    found = assays_worth(contents, total, "Ag", offers, most=1000)
    assert len(found) == len(offers) + 28
    for one in found:
        assert one.u_g == pytest.approx(brute_force(contents, total, one.offers), rel=1e-6)
        assert one.before_g == pytest.approx(contents.total(total, "Ag").u_g)


def test_what_comes_first_is_the_best_of_all_singles_and_pairs_of_the_best() -> None:
    here = shop()
    contents = reckon(here.flow)
    total = known(contents, here.locked_up())
    offers = [single(tag, cost=40.0 + 7.0 * at) for at, tag in enumerate(total)]
    offers.append(Offer(tuple(total), 2.0, 90.0))
    found = assays_worth(contents, total, "Ag", offers, most=1)
    before = contents.total(total, "Ag").u_g

    def gain(some: tuple[Offer, ...]) -> float:
        return (before - brute_force(contents, total, some)) / sum(one.cost for one in some)

    singles = [(one,) for one in offers]
    tried: list[tuple[Offer, ...]] = [*singles, *combinations(offers, 2)]
    assert found[0].gain_per_cost == pytest.approx(max(gain(some) for some in tried))


def test_a_dearer_assay_of_the_same_is_offered_after_a_cheaper_one() -> None:
    here = shop()
    contents = reckon(here.flow)
    total = known(contents, here.locked_up())
    dear, cheap = Offer((total[0],), 0.05, 80.0), Offer((total[0],), 0.05, 40.0)
    found: list[AssayWorth] = assays_worth(contents, total, "Ag", [dear, cheap])
    assert found[0].offers == (cheap,)


def test_where_nothing_is_known_no_assay_is_offered() -> None:
    contents = reckon(shop().flow)
    assert assays_worth(contents, [], "Ag", [single("L0001")]) == []
    assert assays_worth(contents, ["L0001"], "Pt", [single("L0001")]) == []


def test_the_example_of_samples_holds() -> None:
    assert doctest.testmod(vault.reckoning.samples).failed == 0
