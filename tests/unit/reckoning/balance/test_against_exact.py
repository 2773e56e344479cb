"""The balance against the same rows solved in exact fractions, on invented shops."""

from __future__ import annotations

import numpy as np
import pytest

from unit.reckoning.balance.exact_balance import Exact, exact_balance
from unit.reckoning.balance.invented import shop
from vault.reckoning.balance.border import degrees_of_freedom, factor_deviations, join, total
from vault.reckoning.balance.factored import Factored
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.problem import Problem
from vault.reckoning.balance.sparse import factor_forest

SEEDS = range(6)
WAYS = (factor_family, factor_forest)


@pytest.fixture(scope="module", params=SEEDS)
def known(request: pytest.FixtureRequest) -> tuple[Problem, Exact]:
    problem = shop(request.param, lots=2, merge_every=2, known=0.8)
    return problem, exact_balance(problem)


@pytest.fixture(params=WAYS, ids=["family", "forest"])
def solved(request: pytest.FixtureRequest, known: tuple[Problem, Exact]) -> Factored:
    factored: Factored = request.param(known[0])
    return factored


def test_estimates_and_uncertainties_are_those_of_the_exact_solution(
    known: tuple[Problem, Exact], solved: Factored
) -> None:
    problem, exact = known
    n = problem.unknowns
    border = join([solved], problem.factor_sizes)
    u = np.sqrt(np.diagonal(exact.covariance))
    assert (np.abs(solved.estimates(border) - exact.x[:n]) < 1e-5 * u[:n]).all()
    assert solved.uncertainties(border) == pytest.approx(u[:n], rel=1e-6)
    deviations, covariance = factor_deviations(border, problem.factor_sizes)
    assert (np.abs(deviations - exact.x[n:]) < 1e-5 * u[n:]).all()
    assert covariance == pytest.approx(exact.covariance[n:, n:], rel=1e-6, abs=1e-12)


def test_every_row_is_judged_as_by_the_exact_solution(
    known: tuple[Problem, Exact], solved: Factored
) -> None:
    problem, exact = known
    border = join([solved], problem.factor_sizes)
    rows = solved.row_statistics(border)
    assert np.abs(rows.redundancy - exact.redundancy).max() < 1e-7
    told = rows.checked
    assert rows.z[told] == pytest.approx(exact.z[told], abs=1e-4)
    share = np.abs(rows.correction - exact.correction) / rows.spread
    assert share[told].max() < 1e-4
    assert border.chi_square == pytest.approx(exact.chi_square, abs=1e-5)
    assert degrees_of_freedom(rows.redundancy, border) == pytest.approx(
        exact.redundancy.sum()
        + (1 - np.diagonal(exact.covariance)[problem.unknowns :] / problem.factor_sizes**2).sum(),
        abs=1e-6,
    )


def test_any_sum_has_the_doubt_of_the_full_covariance(
    known: tuple[Problem, Exact], solved: Factored
) -> None:
    problem, exact = known
    n = problem.unknowns
    border = join([solved], problem.factor_sizes)
    c = np.where(np.diagonal(exact.covariance)[:n] < (0.29 * problem.sizes) ** 2, 1.0, 0.0)
    c[::3] *= -0.5
    value, u = total([(solved, c)], border)
    inner = exact.covariance[:n, :n]
    assert u == pytest.approx(np.sqrt(c @ inner @ c), rel=1e-6)
    assert value == pytest.approx(c @ exact.x[:n], abs=1e-5 * u)
    root = np.sqrt(np.diagonal(inner)) * u
    assert np.abs((solved.covariance_with(c, border) - inner @ c) / root).max() < 1e-6


def test_rows_of_every_kind_are_judged_in_these_shops() -> None:
    judged = {"hard": 0, "soft": 0, "unchecked": 0}
    for seed in SEEDS:
        problem = shop(seed, lots=2, merge_every=2, known=0.8)
        solved = factor_family(problem)
        checked = solved.row_statistics(join([solved], problem.factor_sizes)).checked
        hard = problem.uncertainties == 0.0
        judged["hard"] += int((checked & hard).sum())
        judged["soft"] += int((checked & ~hard).sum())
        judged["unchecked"] += int((~checked).sum())
    assert min(judged.values()) > 10, judged
