"""A family of up to about 200 unknowns, solved by QR of its stacked rows.

The rows, divided by their doubts and written in natural sizes, stand over the vague prior:

    [ A·d/u | B·s/u | y/u ]        [ Rxx Rxk zx ]
    [ 1e-4  |   0   |  0  ]  = Q · [  0  Rkk zk ]     F = d·Rxx⁻¹,  x0 = F·zx,  S = −F·Rxk
                                   [  0   0  ρ  ]

QR works with the square roots of the weights, so exact rows (weight 1e16) and unknowns of which
nothing is known (1e-8) live in one matrix; normal equations would fail there. Rows are sorted by
their largest entry, stiffest first, which keeps Householder's reflections accurate row by row.

Reference: Å. Björck, Numerical Methods for Least Squares Problems, SIAM 1996, sections 2.2.2
(weights), 4.4 (rows sorted) and 6.3 (blocks with shared unknowns).
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from vault.reckoning.balance.factored import (
    VAGUE_WEIGHT,
    Border,
    Factored,
    RowStatistics,
    row_scales,
    statistics_from,
    touched_factors,
    triangle_of,
)
from vault.reckoning.balance.problem import Floats, Ints, Problem
from vault.reckoning.balance.threads import one_thread


class Family(Factored):
    """A small problem with its triangle; see `factor_family`."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        n = problem.unknowns
        self._touched = touched_factors(problem)
        self._scales = row_scales(problem)
        self._stacked, self._order = self._stack()
        with one_thread():
            triangle = triangle_of(self._stacked)
            self._root = problem.sizes[:, None] * np.linalg.inv(triangle[:n, :n])
        q = len(self._touched)
        self.start = self._root @ triangle[:n, -1]
        self.lean = np.zeros((n, problem.factors))
        self.lean[:, self._touched] = -self._root @ triangle[:n, n:-1]
        self._own_triangle = triangle[n : n + q, n:-1]
        self.border_triangle = np.zeros((q, problem.factors))
        self.border_triangle[:, self._touched] = self._own_triangle
        self.border_rhs = triangle[n : n + q, -1]
        self.chi_square = float(triangle[n + q, -1] ** 2)

    def own_variances(self) -> Floats:
        """Give the variance of every unknown at known factors, g². Shape (n,)."""
        variances: Floats = np.einsum("ij,ij->i", self._root, self._root)
        return variances

    def own_variance(self, coefficients: Floats) -> float:
        """Give the variance |F′c|² of Σ c·x at known factors, g²."""
        across = coefficients @ self._root
        return float(across @ across)

    def own_covariance_with(self, coefficients: Floats) -> Floats:
        """Give F·F′·c, the covariance of every unknown with Σ c·x at known factors. Shape (n,)."""
        return self._root @ (coefficients @ self._root)

    def row_statistics(self, border: Border) -> RowStatistics:
        """Tell how well every row agrees with all others, in the light of the whole shop.

        The full Q of the stack is [Qx Qk Qr]. What of a row is not reached by the unknowns is its
        row of Qr, and that of Qk as far as the rest of the shop does not give way:

            e = Qr·Qr′b + Qk·(zk − Rkk·κ),   ρ = |Qr|² + Qk·(1 − Rkk·Cκ·Rkk′)·Qk′.
        """
        q = len(self._touched)
        beside, right = self._complement
        pass_on, rest = beside[:, :q], beside[:, q:]
        moved = self.border_rhs - self._own_triangle @ border.values[self._touched]
        inner = border.covariance[np.ix_(self._touched, self._touched)]
        stiff = np.eye(q) - self._own_triangle @ inner @ self._own_triangle.T
        misfits = rest @ (rest.T @ right) + pass_on @ moved
        free = np.einsum("ij,ij->i", rest, rest)
        free += np.maximum(np.einsum("ij,ij->i", pass_on @ stiff, pass_on), 0.0)
        rows = self._order < self.problem.rows
        back = self._order[rows]
        by_row = np.empty((2, self.problem.rows))
        by_row[:, back] = misfits[rows], free[rows]
        return statistics_from(self.problem, self._scales, by_row[0], by_row[1])

    @cached_property
    def _complement(self) -> tuple[Floats, Floats]:
        """[Qk Qr], as wide as there are rows more than unknowns, and the right-hand side."""
        with one_thread():
            q = np.linalg.qr(self._stacked[:, :-1], mode="complete").Q
        return q[:, self.unknowns :], self._stacked[:, -1]

    def _stack(self) -> tuple[Floats, Ints]:
        """Stack the weighted rows over the vague prior, stiffest first, and give their order."""
        problem = self.problem
        n, m = problem.unknowns, problem.rows
        q = len(self._touched)
        position = np.concatenate([np.arange(n), np.zeros(problem.factors, dtype=np.int64)])
        position[n + self._touched] = n + np.arange(q)
        row = problem.place_rows
        stacked = np.zeros((m + n + q + 1, n + q + 1))
        weighted = problem.coefficients * problem.scale[problem.columns] / self._scales[row]
        np.add.at(stacked, (row, position[problem.columns]), weighted)
        stacked[np.arange(m), -1] = problem.values / self._scales
        stacked[m + np.arange(n), np.arange(n)] = VAGUE_WEIGHT
        order = np.argsort(-np.abs(stacked[:, :-1]).max(axis=1, initial=0.0), kind="stable")
        return stacked[order], order


def factor_family(problem: Problem) -> Family:
    """Solve a problem of up to some 200 unknowns up to its house factors.

    The same problem gives the same bits, whatever else is solved around it.

    Example: two weighings of one thing, 10 ± 1 g and 12 ± 1 g, give 11 ± 0.707 g.

    >>> import numpy as np
    >>> from vault.reckoning.balance.border import join
    >>> from vault.reckoning.balance.problem import ProblemBuilder
    >>> builder = ProblemBuilder()
    >>> thing = builder.add_unknown(10.0)
    >>> _ = builder.add_row([thing], [1.0], 10.0, 1.0), builder.add_row([thing], [1.0], 12.0, 1.0)
    >>> solved = factor_family(builder.finish())
    >>> border = join([solved], np.zeros(0))
    >>> np.round(solved.estimates(border), 3), np.round(solved.uncertainties(border), 3)
    (array([11.]), array([0.707]))
    """
    return Family(problem)
