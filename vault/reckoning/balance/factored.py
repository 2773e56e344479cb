"""What every solved problem answers, however it was solved.

Given the house factors κ (in their own sizes), the unknowns of a factored problem are

    x = x0 + S·κ + noise,   noise of covariance F·F′,

and what its records say of κ is left over in a small triangle, Rkk·κ = zk. Joining all problems of
a shop gives κ and its covariance Cκ, and with them every answer:

    x = x0 + S·κ,   C = F·F′ + S·Cκ·S′.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np

from vault.reckoning.balance.problem import Flags, Floats, Ints, Problem

VAGUE_WEIGHT = 1e-4
"""Every unknown is 0 ± 10 000 of its natural sizes: decides nothing, keeps the sums possible."""

EXACT_SHARE = 1e-8
"""An exact row is one with this doubt, as a share of the length of the row."""

NOT_DETERMINABLE_SHARE = 0.29
"""The standard deviation of "anywhere between nothing and the whole weight", 1/√12."""

CHECKED_REDUNDANCY = 1e-4
"""Below this redundancy no other record says anything worth a test."""


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """The house factors of a shop, as all records together have them.

    Attributes:
        values: (k,) κ, deviation of each factor in units of its size s; δk = s·κ.
        covariance: (k, k) Cκ, in the same units; the identity if no record leans on a factor.
        chi_square: sum of the squared misfits of all records and of the handbook's factors.
    """

    values: Floats
    covariance: Floats
    chi_square: float


@dataclass(frozen=True, slots=True, eq=False)
class RowStatistics:
    """How well every row agrees with all the others. All arrays have shape (m,).

    Attributes:
        residual: r = y − Σ c·x in grams.
        redundancy: ρ = 1 − h′C h/u², 0 where nothing checks the row … 1 where all of it is
            checked; 0 for exact rows, which count no degree of freedom.
        z: r/(u·√ρ), about N(0, 1) if all is well; for exact rows −λ/sd(λ) of the multiplier,
            which is its limit. 0 where nothing checks the row.
        correction: r/ρ, by how much the row differs from what all others say of it, grams.
        spread: u/√ρ, one standard uncertainty of that difference, grams; infinite where nothing
            checks the row.
        checked: whether other records say something worth a test: ρ > 1e-4, or for an exact row a
            spread below the length of the row.
    """

    residual: Floats
    redundancy: Floats
    z: Floats
    correction: Floats
    spread: Floats
    checked: Flags


@dataclass(frozen=True, slots=True, eq=False)
class Budget:
    """Where the doubt of a figure comes from: shares of its variance, which add up to one.

    Attributes:
        rows: (m,) share of each row; 0 for exact rows.
        factors: (k,) share of the handbook's word on each house factor.
    """

    rows: Floats
    factors: Floats


class Factored(ABC):
    """A problem solved up to the house factors; never changes.

    Attributes:
        problem: what was solved.
        start: (n,) x0, grams, at the handbook's factors.
        lean: (n, k) S, grams per size of each factor.
        border_triangle: (q, k) Rkk, what the rows say of the factors; q ≤ k.
        border_rhs: (q,) zk.
        chi_square: sum of squared misfits at factors chosen freely for this problem alone.
    """

    problem: Problem
    start: Floats
    lean: Floats
    border_triangle: Floats
    border_rhs: Floats
    chi_square: float

    @property
    def unknowns(self) -> int:
        """How many unknowns, n."""
        return self.problem.unknowns

    def estimates(self, border: Border) -> Floats:
        """Give the best values x = x0 + S·κ in grams; never cut at zero. Shape (n,)."""
        return self.start + self.lean @ border.values

    def uncertainties(self, border: Border) -> Floats:
        """Give one standard uncertainty of every unknown in grams. Shape (n,)."""
        shared = np.einsum("ij,ij->i", self.lean @ border.covariance, self.lean)
        uncertainties: Floats = np.sqrt(self.own_variances() + np.maximum(shared, 0.0))
        return uncertainties

    def not_determinable(self, border: Border) -> Flags:
        """Tell which unknowns have u > 0.29·d: "anywhere between nothing and all of it"."""
        return self.uncertainties(border) > NOT_DETERMINABLE_SHARE * self.problem.sizes

    def covariance_with(
        self, coefficients: Floats, border: Border, leaning: Floats | None = None
    ) -> Floats:
        """Give the covariance of every unknown with the sum t = Σ c·x, C·c in g². Shape (n,).

        Args:
            coefficients: (n,) c.
            border: the house factors.
            leaning: (k,) S′c summed over all parts of a sum that reaches into other problems;
                without it the sum is of this problem alone.
        """
        if leaning is None:
            leaning = self.lean.T @ coefficients
        return self.own_covariance_with(coefficients) + self.lean @ (border.covariance @ leaning)

    def budget(
        self,
        coefficients: Floats,
        border: Border,
        *,
        leaning: Floats | None = None,
        variance: float | None = None,
    ) -> Budget:
        """Give the share of every row, and of each handbook factor, in the variance of Σ c·x.

        The share of row j is (c′C h_j)²/(u_j²·u²(t)); that of factor c is Cov(t, κ_c)²/u²(t), since
        the handbook's word is the row κ_c = 0 ± 1. For a sum of variance 0 all shares are 0.

        Args:
            coefficients: (n,) c.
            border: the house factors.
            leaning: as in `covariance_with`.
            variance: u²(t) of a sum that reaches into other problems.
        """
        if leaning is None:
            leaning = self.lean.T @ coefficients
        with_unknowns = self.covariance_with(coefficients, border, leaning)
        with_factors = border.covariance @ leaning
        if variance is None:
            variance = float(coefficients @ with_unknowns)
        problem = self.problem
        across = problem.times(np.concatenate([with_unknowns, problem.factor_sizes * with_factors]))
        soft = problem.uncertainties > 0.0
        if variance <= 0.0:
            return Budget(np.zeros(problem.rows), np.zeros(problem.factors))
        rows = np.zeros(problem.rows)
        rows[soft] = (across[soft] / problem.uncertainties[soft]) ** 2 / variance
        return Budget(rows, with_factors**2 / variance)

    def spread(self, coefficients: Floats) -> tuple[float, Floats]:
        """Give, for t = Σ c·x, its variance |F′c|² at known factors, g², and S′c, (k,), grams."""
        return self.own_variance(coefficients), self.lean.T @ coefficients

    @abstractmethod
    def own_variances(self) -> Floats:
        """Give the variance of every unknown at known factors, g². Shape (n,)."""

    @abstractmethod
    def own_variance(self, coefficients: Floats) -> float:
        """Give the variance |F′c|² of Σ c·x at known factors, g²."""

    @abstractmethod
    def own_covariance_with(self, coefficients: Floats) -> Floats:
        """Give F·F′·c, the covariance of every unknown with Σ c·x at known factors. Shape (n,)."""

    @abstractmethod
    def row_statistics(self, border: Border) -> RowStatistics:
        """Tell how well every row agrees with all others, in the light of the whole shop."""


def row_scales(problem: Problem) -> Floats:
    """Give the doubt by which each row is divided, (m,): u, or 1e-8 of the row's length if more."""
    floor = EXACT_SHARE * problem.row_norms()
    return np.maximum(problem.uncertainties, floor)


def statistics_from(
    problem: Problem, scales: Floats, misfits: Floats, free: Floats
) -> RowStatistics:
    """Put the statistics of all rows together.

    Args:
        problem: the rows.
        scales: (m,) the doubt each row was divided by.
        misfits: (m,) e = r/scale.
        free: (m,) ρ = the squared length of what of the row lies outside of the space that the
            unknowns reach; reckoned without cancellation, so that it holds for exact rows too,
            where it is about 1e-16.
    """
    exact = problem.uncertainties < scales
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = scales / np.sqrt(free)
        checked = np.where(exact, spread < problem.row_norms(), free > CHECKED_REDUNDANCY)
        told = free > 0.0
        correction = np.where(told & checked, scales * misfits / free, 0.0)
        z = np.where(told & checked, misfits / np.sqrt(free), 0.0)
    return RowStatistics(
        residual=scales * misfits,
        redundancy=np.where(problem.uncertainties > 0.0, free, 0.0),
        z=z,
        correction=correction,
        spread=np.where(told & checked, spread, np.inf),
        checked=checked.astype(np.bool_),
    )


def touched_factors(problem: Problem) -> Ints:
    """Give the house factors that some row leans on, rising."""
    return np.unique(problem.columns[problem.columns >= problem.unknowns]) - problem.unknowns


def triangle_of(stacked: Floats) -> Floats:
    """Give the triangles R of stacks, shape (…, r, c) with r ≥ c, as (…, c, c), by QR."""
    triangle: Floats = np.asarray(np.linalg.qr(stacked, mode="r"))
    return triangle
