"""What an assay would gain, against solving anew with its row added."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unit.reckoning.balance.invented import shop
from vault.reckoning.balance.border import join, total
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.next_assay import after_bundle, after_one, covariance_among
from vault.reckoning.balance.problem import Problem

PROBLEM = shop(2, lots=2, known=0.8)


def with_assays(problem: Problem, assays: dict[int, float]) -> Problem:
    ends = problem.row_start[-1] + 1 + np.arange(len(assays))
    return replace(
        problem,
        row_start=np.append(problem.row_start, ends),
        columns=np.append(problem.columns, list(assays)),
        coefficients=np.append(problem.coefficients, np.ones(len(assays))),
        values=np.append(problem.values, np.zeros(len(assays))),
        uncertainties=np.append(problem.uncertainties, list(assays.values())),
    )


@pytest.fixture
def sum_of_known() -> np.ndarray:
    solved = factor_family(PROBLEM)
    known = ~solved.not_determinable(join([solved], PROBLEM.factor_sizes))
    assert known.sum() > 5
    return np.where(known, 1.0, 0.0)


def doubt(problem: Problem, c: np.ndarray) -> float:
    solved = factor_family(problem)
    return total([(solved, c)], join([solved], problem.factor_sizes))[1]


def test_the_gain_of_one_assay_is_that_of_solving_anew(sum_of_known: np.ndarray) -> None:
    solved = factor_family(PROBLEM)
    border = join([solved], PROBLEM.factor_sizes)
    with_sum = solved.covariance_with(sum_of_known, border)
    assay = 0.03 * PROBLEM.sizes
    found = after_one(
        doubt(PROBLEM, sum_of_known) ** 2, with_sum, solved.uncertainties(border), assay
    )
    for unknown in np.flatnonzero(sum_of_known).tolist():
        anew = doubt(with_assays(PROBLEM, {unknown: assay[unknown]}), sum_of_known)
        assert found[unknown] == pytest.approx(anew, rel=1e-5)


def test_the_gain_of_a_bundle_is_that_of_solving_anew(sum_of_known: np.ndarray) -> None:
    solved = factor_family(PROBLEM)
    border = join([solved], PROBLEM.factor_sizes)
    bundle = np.flatnonzero(sum_of_known)[:3].tolist()
    assay = {unknown: 0.02 * float(PROBLEM.sizes[unknown]) for unknown in bundle}
    found = after_bundle(
        doubt(PROBLEM, sum_of_known) ** 2,
        solved.covariance_with(sum_of_known, border)[bundle],
        covariance_among(solved, bundle, border),
        list(assay.values()),
    )
    assert found == pytest.approx(doubt(with_assays(PROBLEM, assay), sum_of_known), rel=1e-5)


def test_a_bundle_of_one_is_one() -> None:
    alone = after_one(4.0, np.array([1.5]), np.array([1.2]), 0.5)
    bundle = after_bundle(4.0, np.array([1.5]), np.array([[1.44]]), [0.5])
    assert bundle == pytest.approx(alone[0], rel=1e-12)


def test_assaying_what_is_exactly_known_already_gains_nothing() -> None:
    assert after_one(4.0, np.array([0.0]), np.array([0.0]), 0.0).tolist() == [2.0]
