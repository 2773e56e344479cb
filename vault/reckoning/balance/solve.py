"""Solving: how a problem is factored, and a whole book at once.

Small problems go through `family`, large ones through `sparse`; both ask the same rows the same
question and answer alike, so the choice is one of speed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.reckoning.balance.border import degrees_of_freedom, factor_deviations, join
from vault.reckoning.balance.factored import (
    NOT_DETERMINABLE_SHARE,
    Border,
    Factored,
    RowStatistics,
)
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.problem import Flags, Floats, Ints, Part, Problem
from vault.reckoning.balance.sparse import factor_forest

MOST_UNKNOWNS_OF_A_FAMILY = 200
"""Above this, dense QR (cost n³) falls behind the sparse path."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A whole book solved; all arrays are in the order of the problem.

    Attributes:
        problem: what was solved.
        estimates: (n,) x in grams, never cut at zero.
        uncertainties: (n,) one standard uncertainty in grams.
        not_determinable: (n,) whether u > 0.29·d; x and u mean nothing there.
        family: (n,) number of the family of each unknown, by first unknown.
        row_family: (m,) the family of each row, −1 for rows over house factors alone.
        rows: statistics of all rows.
        border: house factors in their own sizes, with the χ² of the whole.
        degrees: degrees of freedom of the whole.
        deviations: (k,) δk of each house factor.
        deviation_covariance: (k, k) their covariance.
        parts: what was factored, with its place in the whole; ask these for totals and budgets.
    """

    problem: Problem
    estimates: Floats
    uncertainties: Floats
    not_determinable: Flags
    family: Ints
    row_family: Ints
    rows: RowStatistics
    border: Border
    degrees: float
    deviations: Floats
    deviation_covariance: Floats
    parts: tuple[tuple[Part, Factored], ...]

    @property
    def chi_square(self) -> float:
        """J = Σ(r/u)² over all rows and the handbook's word on the factors."""
        return self.border.chi_square


def factor(problem: Problem) -> Factored:
    """Solve a problem up to its house factors, by the way that suits its size."""
    if problem.unknowns > MOST_UNKNOWNS_OF_A_FAMILY:
        return factor_forest(problem)
    return factor_family(problem)


def solve_whole(problem: Problem) -> Solution:
    """Solve a whole book: split into families, factor, join, and put all answers in place."""
    family = problem.families()
    parts = tuple((part, factor(part.problem)) for part in problem.split())
    border = join([solved for _, solved in parts], problem.factor_sizes)
    estimates, uncertainties = np.empty(problem.unknowns), np.empty(problem.unknowns)
    for part, solved in parts:
        estimates[part.unknowns] = solved.estimates(border)
        uncertainties[part.unknowns] = solved.uncertainties(border)
    rows = _gathered(problem, parts, border)
    deviations, covariance = factor_deviations(border, problem.factor_sizes)
    return Solution(
        problem=problem,
        estimates=estimates,
        uncertainties=uncertainties,
        not_determinable=uncertainties > NOT_DETERMINABLE_SHARE * problem.sizes,
        family=family,
        row_family=problem.row_families(family),
        rows=rows,
        border=border,
        degrees=degrees_of_freedom(rows.redundancy, border),
        deviations=deviations,
        deviation_covariance=covariance,
        parts=parts,
    )


def _gathered(
    problem: Problem, parts: tuple[tuple[Part, Factored], ...], border: Border
) -> RowStatistics:
    """Put the statistics of all parts in the order of the whole."""
    names = ("residual", "redundancy", "z", "correction", "spread")
    found = {name: np.zeros(problem.rows) for name in names}
    checked = np.zeros(problem.rows, dtype=np.bool_)
    for part, solved in parts:
        of_part = solved.row_statistics(border)
        for name in names:
            found[name][part.rows] = getattr(of_part, name)
        checked[part.rows] = of_part.checked
    return RowStatistics(**found, checked=checked)
