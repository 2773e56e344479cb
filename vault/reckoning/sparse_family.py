"""A large family solved front by front: many small QRs in place of one large one.

Once residues are worked again, most of a shop hangs together, and QR of the whole is out of reach.
But few unknowns come together at any time (see `elimination`). Each front stands as a small family
does in `dense_families`: its rows, stiffest first, over the vague prior of its own unknowns. Its
QR gives

    own = z + G·beyond + R⁻¹·noise,     G = −R⁻¹·R_beyond,

and rows left over for the parent. Every question takes one way through the forest: up for the
triangles and for the first half of a covariance times vectors, down for estimates, draws,
variances and the other half.

Only square roots of weights appear, so exact rows and unknowns of which nothing is known do no
harm, and the figures are those of `dense_families`, whatever the size.

Reference: T. A. Davis, Direct Methods for Sparse Linear Systems, SIAM 2006, chapter 5; Å. Björck,
Numerical Methods for Least Squares Problems, SIAM 1996, section 6.6.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from vault.reckoning.dense_families import EXACT, VAGUE_SIZES
from vault.reckoning.facts import Bools, Floats, Ints
from vault.reckoning.front_roots import roots_of
from vault.reckoning.fronts import Fronts, Stack
from vault.reckoning.systems import System


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """The fronts of one stack after their QR; b fronts, e own, s beyond.

    Attributes:
        stack: which.
        own, beyond: (b, e) and (b, s) places, the number of unknowns where there is only filling.
        inverse: (b, e, e) R⁻¹.
        pull: (b, e, s) G.
    """

    stack: Stack
    own: Ints
    beyond: Ints
    inverse: Floats
    pull: Floats


@dataclass(frozen=True, slots=True, eq=False)
class SparseFamily:
    """One solved family; see `DenseFamily` for what is the same.

    Attributes:
        system: what was solved.
        x0: grams at the first guesses of the house factors.
        shift: grams for one standard uncertainty of each factor in `system.kinds`.
        information, pull: what the family says of those factors.
        misfit: the sum of squares at the first guesses of the factors.
        fronts: the order of work.
        solved: the stacks, leaves first.
    """

    system: System
    x0: Floats
    shift: Floats
    information: Floats
    pull: Floats
    misfit: float
    fronts: Fronts
    solved: list[Solved]

    def variances(self) -> Floats:
        """Give the variances of all unknowns at given factors, in g²."""
        found = np.zeros(self.fronts.unknowns + 1)
        for one, root in roots_of(self.fronts, self.solved):
            mine = root[:, : one.stack.own]
            found[one.own] = np.einsum("bij,bij->bi", mine, mine)
        variances: Floats = found[self.fronts.place] * self.system.size**2
        return variances

    def spreads(self) -> Floats:
        """Give the variance of every row's sum of unknowns at given factors, in g²."""
        fronts, system = self.fronts, self.system
        found = np.zeros(len(system.y))
        value = system.coefficient * system.size[system.entry_unknown]
        for one, root in roots_of(fronts, self.solved):
            rows, at, weights = fronts.rows_in(one.stack, value)
            across = weights @ root
            found[rows] = np.einsum("bij,bij->bi", across, across)[at]
        return found

    def variances_of(self, vectors: Floats) -> Floats:
        """Give the variance of every sum over unknowns at given factors; vectors as in `times`."""
        carried = self._by_place(self.system.size[:, None] * vectors)
        found = np.zeros(vectors.shape[1])
        for one in self.solved:
            across = self._up(one, carried)
            found += np.einsum("bij,bij->j", across, across)
        return found

    def root_of(self, positions: Ints) -> Floats:
        """Give a root of the covariance of some unknowns at given factors, rows by unknown.

        Only the fronts on their ways up are touched, however large the family.
        """
        picked = np.zeros((len(self.x0), len(positions)))
        picked[positions, np.arange(len(positions))] = self.system.size[positions]
        carried = self._by_place(picked)
        touched: Bools = np.asarray(carried.any(axis=1))
        triangle = np.zeros((0, len(positions)))
        for one in self.solved:
            hit = np.flatnonzero(touched[one.own].any(axis=1))
            if not len(hit):
                continue
            own = carried[one.own[hit]]
            np.add.at(carried, one.beyond[hit], one.pull[hit].transpose(0, 2, 1) @ own)
            touched[one.beyond[hit]] = True
            carried[-1], touched[-1] = 0.0, False
            across = one.inverse[hit].transpose(0, 2, 1) @ own
            rows = np.vstack([triangle, across.reshape(-1, len(positions))])
            triangle = np.linalg.qr(rows, mode="r")  # type: ignore[assignment]  # the stubs know no mode
        return triangle.T

    def times(self, vectors: Floats) -> Floats:
        """Multiply the covariance at given factors by vectors, shape (unknowns, any)."""
        size = self.system.size[:, None]
        carried = self._by_place(size * vectors)
        across = [self._up(one, carried) for one in self.solved]
        return size * self._down(iter(reversed(across)), vectors.shape[1])

    def drawn(self, count: int, generator: np.random.Generator) -> Floats:
        """Draw deviations at given factors, shape (count, unknowns)."""
        noise = (
            generator.standard_normal((*one.own.shape, count)) for one in reversed(self.solved)
        )
        return (self.system.size[:, None] * self._down(noise, count)).T

    def _by_place(self, vectors: Floats) -> Floats:
        found = np.zeros((self.fronts.unknowns + 1, vectors.shape[1]))
        found[self.fronts.place] = vectors
        return found

    def _up(self, one: Solved, carried: Floats) -> Floats:
        """Take sums over unknowns past one stack: what of them hangs on its own noise."""
        own = carried[one.own]
        if not own.any():
            return np.zeros_like(own)
        moved = one.pull.transpose(0, 2, 1) @ own
        np.add.at(carried, one.beyond, moved)
        carried[-1] = 0.0
        across: Floats = one.inverse.transpose(0, 2, 1) @ own
        return across

    def _down(self, noise: Iterator[Floats], count: int) -> Floats:
        """Go from noise of the fronts, last stack first, to deviations of all unknowns."""
        found = np.zeros((self.fronts.unknowns + 1, count))
        for one, mine in zip(reversed(self.solved), noise, strict=True):
            found[one.own] = one.inverse @ mine + one.pull @ found[one.beyond]
            found[-1] = 0.0
        return found[self.fronts.place]


def solve_sparse(system: System, fronts: Fronts | None = None) -> SparseFamily:
    """Solve one family front by front; `fronts` that fit it may be there already."""
    fronts = fronts or Fronts(system)
    flat = _laid_out(system, fronts)
    told = np.zeros((fronts.sides, fronts.sides))
    solved, starts = [], []
    for stack in fronts.stacks:
        rows = flat[stack.at : stack.end].reshape(stack.count, stack.rows, stack.width)
        triangle = _triangle(rows, stack)
        told += _passed_on(fronts, stack, triangle, flat)
        e, s = stack.own, stack.beyond
        inverse = np.triu(np.linalg.inv(triangle[:, :e, :e]))
        across = inverse @ triangle[:, :e, e:]
        solved.append(Solved(stack, *fronts.places(stack), inverse, -across[:, :, :s]))
        starts.append(across[:, :, s:])
    values = _values(fronts, solved, starts) * system.size[:, None]
    return SparseFamily(
        system=system,
        x0=values[:, 0].copy(),
        shift=-values[:, 1:],
        information=told[1:, 1:],
        pull=told[1:, 0],
        misfit=float(told[0, 0]),
        fronts=fronts,
        solved=solved,
    )


def _laid_out(system: System, fronts: Fronts) -> Floats:
    """Give the weighted rows and the vague prior in the places of the fronts."""
    flat = np.zeros(fronts.stacks[-1].end)
    value = system.coefficient * system.size[system.entry_unknown]
    doubt = row_doubts(system, value)
    flat[fronts.entry_to] = value / doubt[system.entry_row]
    flat[fronts.sides_to] = system.y / doubt
    leans = np.flatnonzero(system.factor >= 0)
    flat[fronts.sides_to[leans] + 1 + system.factor[leans]] = system.factor_g[leans] / doubt[leans]
    flat[fronts.prior_to] = 1.0 / VAGUE_SIZES
    flat[fronts.fill_to] = 1.0
    return flat


def _triangle(rows: Floats, stack: Stack) -> Floats:
    """Give the triangles of a stack, the stiffest rows first."""
    stiff = np.abs(rows[:, :, : stack.own + stack.beyond]).max(axis=2)
    order = np.argsort(-stiff, axis=1, kind="stable")
    order += np.arange(stack.count)[:, None] * stack.rows
    rows = rows.reshape(-1, stack.width).take(order, axis=0)
    found: Floats = np.linalg.qr(rows, mode="r")  # type: ignore[assignment]  # the stubs know no mode for stacks
    return found


def _passed_on(fronts: Fronts, stack: Stack, triangle: Floats, flat: Floats) -> Floats:
    """Put what a stack leaves over among its parents' rows; give what is left of the sides."""
    e, s, these = stack.own, stack.beyond, stack.fronts
    spare = triangle[:, e:, e + s :].copy()
    if s:
        deep = np.arange(s)
        rows = min(s, triangle.shape[1] - e)
        parent = fronts.parent[these]
        width = fronts.width[parent]
        column = fronts.padded(fronts.in_parent, stack, 0)
        column = np.concatenate(
            [column, (width - fronts.sides)[:, None] + np.arange(fronts.sides)], axis=1
        )
        to = (
            fronts.left_to[these, None, None]
            + deep[:rows, None] * width[:, None, None]
            + column[:, None, :]
        )
        left = deep[:rows] < fronts.left[these, None]
        valid = np.concatenate(
            [deep < fronts.beyond[these, None], np.ones((stack.count, fronts.sides), bool)], axis=1
        )
        inside = left[:, :, None] & valid[:, None, :]
        flat[to[inside]] = triangle[:, e : e + rows, e:][inside]
        spare[:, :rows][left] = 0.0
    flat_spare = spare.reshape(-1, stack.sides)
    return flat_spare.T @ flat_spare


def _values(fronts: Fronts, solved: list[Solved], starts: list[Floats]) -> Floats:
    """Go down the forest for the values of all unknowns, one column for each side."""
    found = np.zeros((fronts.unknowns + 1, fronts.sides))
    for one, start in zip(reversed(solved), reversed(starts), strict=True):
        found[one.own] = start + one.pull @ found[one.beyond]
        found[-1] = 0.0
    return found[fronts.place]


def row_doubts(system: System, value: Floats) -> Floats:
    """Give the doubt that every row is divided by; `value` are its coefficients in sizes."""
    length = np.sqrt(np.bincount(system.entry_row, value**2, len(system.y)))
    return np.where(system.u > 0.0, system.u, EXACT * length)
