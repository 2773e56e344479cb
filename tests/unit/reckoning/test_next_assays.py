"""What an assay is said to gain is what it gains; and the two solvers of balances agree."""

from __future__ import annotations

import numpy as np
import pytest

from simulation.shops import SCENARIOS, simulated
from vault.reckoning.balance.border import join
from vault.reckoning.balance.problem import Problem
from vault.reckoning.balance.solve import factor
from vault.reckoning.next_assays import assays_worth
from vault.reckoning.reckoner import reckon
from vault.reckoning.solved_metal import SolvedMetal
from vault.reckoning.systems import System


def problem_of(system: System, kinds: np.ndarray) -> Problem:
    """The rows of a family as the general solver of balances takes them; factors in their u."""
    leans = np.flatnonzero(system.factor >= 0)
    column = len(system.size) + np.searchsorted(kinds, system.kinds[system.factor[leans]])
    row = np.concatenate([system.entry_row, leans])
    order = np.argsort(row, kind="stable")
    widths = np.bincount(row, minlength=len(system.y))
    return Problem(
        sizes=system.size,
        row_start=np.concatenate([[0], np.cumsum(widths)]).astype(np.int64),
        columns=np.concatenate([system.entry_unknown, column])[order],
        coefficients=np.concatenate([system.coefficient, system.factor_g[leans]])[order],
        values=system.y,
        uncertainties=system.u,
        factor_sizes=np.ones(len(kinds)),
    )


@pytest.mark.parametrize("seed", range(3))
def test_the_general_solver_gives_the_same_figures_and_the_same_checks(seed: int) -> None:
    """Another way through the same rows: QR of each family, or front after front.

    The sparse factor's own prior and exact rows cost it up to 0.3 % of u, as measured before.
    """
    balance = reckon(simulated(SCENARIOS[3], 300 + seed).flow).balances["Ag"]
    assert isinstance(balance, SolvedMetal)
    kinds = np.flatnonzero(balance.house.fed_g > 0.0)
    numbers = list(balance.families)
    parts = [factor(problem_of(balance.families[one].system, kinds)) for one in numbers]
    border = join(parts, np.ones(len(kinds)))
    assert border.values == pytest.approx(balance.house.mean[kinds], abs=1e-6)
    for number, part in zip(numbers, parts, strict=True):
        places = balance.places[number]
        u = part.uncertainties(border)[: len(places)]
        x = part.estimates(border)[: len(places)]
        known = u < 0.29 * part.problem.sizes[: len(places)]
        assert balance.uncertainties[places][known] == pytest.approx(u[known], rel=3e-3)
        gap = np.abs(balance.estimates[places] - x)[known]
        assert (gap / u[known]).max(initial=0.0) < 1e-3
        theirs = part.row_statistics(border)
        checked = (part.problem.uncertainties > 0.0) & (theirs.redundancy > 0.1)
        ours = balance.doubts(number)
        assert ours.redundancy[checked] == pytest.approx(theirs.redundancy[checked], abs=3e-3)
        assert ours.z[checked] == pytest.approx(theirs.z[checked], abs=0.02)


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
