"""What an assay is said to gain is what it gains."""

from __future__ import annotations

import numpy as np
import pytest

from simulation.shops import SCENARIOS, simulated
from vault.reckoning.next_assays import assays_worth
from vault.reckoning.reckoner import reckon
from vault.reckoning.solved_metal import SolvedMetal


def test_the_gain_of_an_assay_is_what_reckoning_with_it_gives() -> None:
    shop = simulated(SCENARIOS[0], 12)
    contents = reckon(shop.flow)
    balance = contents.balances["Ag"]
    assert isinstance(balance, SolvedMetal)
    total = shop.locked_up()
    u = {tag: 0.05 for tag in total if contents.of(tag)["Ag"].determinable}
    found = assays_worth(contents, total, "Ag", u)
    assert [one.u_g for one in found] == sorted(one.u_g for one in found)
    assert found[0].u_g < found[0].before_g
    assert found[0].before_g == pytest.approx(contents.total(total, "Ag").u_g)
    single = assays_worth(contents, total, "Ag", u, most=1000)
    (tag,) = next(one.tags for one in single if len(one.tags) == 1)
    known = contents.places([one for one in total if contents.of(one)["Ag"].determinable])
    place = contents.place_of[tag]
    both = np.append(known, place)
    now, own, sum_of_both = balance.variances_of([known, np.array([place]), both])
    shared = (sum_of_both - now - own) / 2.0
    expected = np.sqrt(now - shared**2 / (own + 0.05**2))
    assert next(one.u_g for one in single if one.tags == (tag,)) == pytest.approx(expected)


def test_where_nothing_is_known_no_assay_is_offered() -> None:
    contents = reckon(simulated(SCENARIOS[0], 12).flow)
    assert assays_worth(contents, [], "Ag", {"L0001": 1.0}) == []
    assert assays_worth(contents, ["L0001"], "Pt", {"L0001": 1.0}) == []
