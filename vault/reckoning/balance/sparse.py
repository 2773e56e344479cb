"""A large problem, of up to a million unknowns, solved by many small QRs instead of one large one.

Each front (see `fronts`) stands as the family in `family` does: its rows, the left-over rows of its
children and the vague prior of its own unknowns, over the columns [own | beyond | y]. Its QR gives

    own = z0 + G·beyond + R⁻¹·noise,   R⁻¹, G = −R⁻¹·R_beyond, z0 = R⁻¹·z,

and rows left over for the parent. Every question then takes one way through the forest:

    up     factor; |F′c|² and S′c of a sum
    down   x0 and S; variances, as square roots T with T·T′ = C: T = [R⁻¹, G·T_beyond; 0, T_beyond],
           turned back to a triangle by QR for each child
    down   what of each row the unknowns do not reach: e and ρ, as in `family`

Only square roots of weights appear, as in the family, so the figures agree with it: exact rows and
unknowns of which nothing is known do no harm. Normal equations and their selected inverse would
take a prior of 30 natural sizes to exist at all, too tight to tell what is not determinable.

Reference: T. A. Davis, Direct Methods for Sparse Linear Systems, SIAM 2006, section 5; Å. Björck,
Numerical Methods for Least Squares Problems, SIAM 1996, section 6.6.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from vault.reckoning.balance.factored import (
    Border,
    Factored,
    RowStatistics,
    row_scales,
    statistics_from,
    touched_factors,
    triangle_of,
)
from vault.reckoning.balance.fronts import Stack, fronts_of
from vault.reckoning.balance.passing import Complements, Gather, Roots
from vault.reckoning.balance.problem import Floats, Ints, Problem
from vault.reckoning.balance.threads import one_thread


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    """The fronts of one stack after their QR; b fronts, e own, s beyond, r rows.

    Attributes:
        stack: which fronts.
        rows: (b, r, e+s+1) the rows as they went into the QR, stiffest first.
        order: (b, r) which row of the front stands at each place.
        own: (b, e) columns eliminated; n+k where there is none.
        beyond: (b, s) columns beyond; n+k where there is none.
        inverse: (b, e, e) R⁻¹.
        pull: (b, e, s) G.
        start: (b, e) z0.
    """

    stack: Stack
    rows: Floats
    order: Ints
    own: Ints
    beyond: Ints
    inverse: Floats
    pull: Floats
    start: Floats


class Forest(Factored):
    """A large problem factored front by front; see `factor_forest`."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._span = problem.unknowns + problem.factors
        self._scales = row_scales(problem)
        self._fronts = fronts_of(problem)
        self._gather = Gather(problem, self._fronts, self._scales)
        with one_thread():
            self._solved, self._left, misfit = self._eliminate()
            self._read_border(misfit)
            self._read_start()

    def _eliminate(self) -> tuple[list[_Solved], Floats, float]:
        """Factor all fronts, leaves first; gives them, the rows left over and the misfit."""
        fronts, gather = self._fronts, self._gather
        left = np.empty(gather.left_start[-1])
        solved, misfit = [], 0.0
        for number, stack in enumerate(fronts.stacks):
            rows = gather.rows(number, left)
            order = np.argsort(-np.abs(rows[:, :, :-1]).max(axis=2), axis=1, kind="stable")
            rows = np.take_along_axis(rows, order[:, :, None], axis=1)
            triangle = triangle_of(rows)
            a, b = gather.left_start[stack.first], gather.left_start[stack.first + stack.count]
            left[a:b] = triangle.ravel()[gather.left_from[a:b]]
            # Below a front's columns only what no unknown can mend is left of the right-hand side.
            spare = np.arange(stack.width)[None, :] >= stack.own + fronts.beyond[stack.fronts, None]
            misfit += float(np.sum(np.where(spare, triangle[:, :, -1], 0.0) ** 2))
            e = stack.own
            inverse = np.asarray(np.linalg.inv(triangle[:, :e, :e]), dtype=np.float64)
            own, beyond = gather.columns(stack)
            pull = -inverse @ triangle[:, :e, e:-1]
            start = (inverse @ triangle[:, :e, -1:])[:, :, 0]
            solved.append(_Solved(stack, rows, order, own, beyond, inverse, pull, start))
        return solved, left, misfit

    def _read_border(self, misfit: float) -> None:
        """Gather what the roots leave over, which is over house factors only, into one triangle."""
        n, k = self.unknowns, self.problem.factors
        touched = touched_factors(self.problem)
        q = len(touched)
        roots = np.flatnonzero(self._fronts.parent < 0)
        blocks = [np.zeros((q + 1, k + 1))]
        for root in roots[self._fronts.left[roots] > 0].tolist():
            factors, block = self._root_rows(root)
            wide = np.zeros((len(block), k + 1))
            wide[:, factors - n] = block[:, :-1]
            wide[:, -1] = block[:, -1]
            blocks.append(wide)
        stacked = np.concatenate(blocks)[:, np.append(touched, k)]
        triangle = triangle_of(stacked)
        self.border_triangle = np.zeros((q, k))
        self.border_triangle[:, touched] = triangle[:q, :q]
        self.border_rhs = triangle[:q, q]
        self.chi_square = misfit + float(triangle[q, q] ** 2)

    def _root_rows(self, root: int) -> tuple[Ints, Floats]:
        """Give the factors a root reaches, and its left-over rows over [them | y]."""
        fronts, start = self._fronts, self._gather.left_start
        begin = fronts.columns.start[root] + fronts.own[root]
        factors = fronts.columns.flat[begin : fronts.columns.start[root + 1]]
        block = self._left[start[root] : start[root + 1]]
        return factors, block.reshape(fronts.left[root], len(factors) + 1)

    def _read_start(self) -> None:
        """Go down the forest for x0 and S."""
        n, k = self.unknowns, self.problem.factors
        found = np.zeros((self._span + 1, 1 + k))
        found[n:-1, 1:] = np.eye(k)
        for one in reversed(self._solved):
            own = one.pull @ found[one.beyond]
            own[:, :, 0] += one.start
            found[one.own] = own
        by_size = found[self._fronts.place] * self.problem.sizes[:, None]
        self.start, self.lean = by_size[:, 0].copy(), by_size[:, 1:].copy()

    def own_variance(self, coefficients: Floats) -> float:
        """Give the variance |F′c|² of Σ c·x at known factors, g²."""
        with one_thread():
            return float(sum(np.sum(across**2) for across in self._climb(coefficients)))

    def own_covariance_with(self, coefficients: Floats) -> Floats:
        """Give F·F′·c, the covariance of every unknown with Σ c·x at known factors. Shape (n,)."""
        with one_thread():
            across = self._climb(coefficients)
            found = np.zeros(self._span + 1)
            for one, part in zip(reversed(self._solved), reversed(across), strict=True):
                noise = one.inverse @ part[:, :, None] + one.pull @ found[one.beyond][:, :, None]
                # House factors are held still, and beyond the last front there is nothing.
                found[one.own] = noise[:, :, 0]
        return found[self._fronts.place] * self.problem.sizes

    def _climb(self, coefficients: Floats) -> list[Floats]:
        """Go up the forest with a sum: F′c, (b, e) for each stack."""
        carried = np.zeros(self._span + 1)
        carried[self._fronts.place] = coefficients * self.problem.sizes
        across = []
        for one in self._solved:
            own = carried[one.own]
            across.append((own[:, None, :] @ one.inverse)[:, 0, :])
            if own.any():
                moved = (own[:, None, :] @ one.pull)[:, 0, :]
                np.add.at(carried, one.beyond, moved)
                carried[-1] = 0.0
        return across

    def own_variances(self) -> Floats:
        """Give the variance of every unknown at known factors, g². Shape (n,)."""
        return self._variances

    @cached_property
    def _variances(self) -> Floats:
        """All variances, down the forest by square roots; worked out when first asked for."""
        roots = Roots(self._fronts)
        found = np.zeros(self._span + 1)
        with one_thread():
            for number, one in reversed(list(enumerate(self._solved))):
                found[one.own] = roots.variances(number, one.inverse, one.pull)
        return found[self._fronts.place] * self.problem.sizes**2

    def row_statistics(self, border: Border) -> RowStatistics:
        """Tell how well every row agrees with all others, in the light of the whole shop."""
        gather, fronts = self._gather, self._fronts
        passed = Complements(fronts)
        roots = np.flatnonzero(fronts.parent < 0)
        for root in roots[fronts.left[roots] > 0].tolist():
            columns, block = self._root_rows(root)
            factors = columns - self.unknowns
            triangle = block[:, :-1]
            inner = border.covariance[np.ix_(factors, factors)]
            stiff = np.eye(len(block)) - triangle @ inner @ triangle.T
            passed.put(root, block[:, -1] - triangle @ border.values[factors], stiff)
        misfits, free = np.empty(self.problem.rows), np.empty(self.problem.rows)
        with one_thread():
            for number, one in reversed(list(enumerate(self._solved))):
                misfit, space = passed.go_down(number, one.rows, one.order)
                rows, places = gather.problem_rows(number)
                misfits[rows] = misfit.ravel()[places]
                free[rows] = space.ravel()[places]
        return statistics_from(self.problem, self._scales, misfits, np.maximum(free, 0.0))


def factor_forest(problem: Problem) -> Forest:
    """Solve a large problem up to its house factors; several families may be in it.

    The same problem gives the same bits.

    Args:
        problem: at least one unknown.
    """
    return Forest(problem)
