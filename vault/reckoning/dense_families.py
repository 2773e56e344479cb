"""Small families solved by QR of their stacked, weighted rows, many of one shape at a time.

The rows of a family, divided by their doubts, stand over a vague prior; their triangle R gives
everything: with F = diag(d)·Rxx⁻¹ the covariance at given house factors is F F', the estimate at
the first guesses is F·zx, and the estimate moves by S = −F·Rxk for one standard uncertainty of a
factor. What the family says of the factors themselves is left in Rkk and zk.

QR works with square roots of weights, so that exact rows (weight 1e16) and unknown items (1e-8)
live in one matrix. Rows are sorted by their largest entry, stiffest first, which keeps the
reflections accurate. LAPACK takes the matrices of a stack one by one, so a family's figures do not
depend on which others are solved with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from vault.core.turns import in_turns
from vault.reckoning.facts import Floats, Ints
from vault.reckoning.systems import System

# A prior of this many natural sizes decides nothing; it only keeps R regular.
VAGUE_SIZES = 1e4
# An exact row is one with this doubt, relative to its own length.
EXACT = 1e-8
# Families in one stack; small enough to leave the interpreter to others in between.
_STACK = 256


@dataclass(frozen=True, slots=True, eq=False)
class DenseFamily:
    """One solved family.

    Attributes:
        system: what was solved.
        x0: grams at the first guesses of the house factors.
        root: F, with F F' the covariance at given factors.
        shift: S, grams for one standard uncertainty of each factor in `system.kinds`.
        information, pull: what the family says of those factors, Rkk'Rkk and Rkk'zk.
        misfit: the sum of squares at the first guesses of the factors.
    """

    system: System
    x0: Floats
    root: Floats
    shift: Floats
    information: Floats
    pull: Floats
    misfit: float

    def variances(self) -> Floats:
        """Give the variances of all unknowns at given factors, in g²."""
        found: Floats = np.einsum("ij,ij->i", self.root, self.root)
        return found

    def spreads(self) -> Floats:
        """Give the variance of every row's sum of unknowns at given factors, in g²."""
        across = self.system.dense() @ self.root
        found: Floats = np.einsum("ij,ij->i", across, across)
        return found

    def root_of(self, positions: Ints) -> Floats:
        """Give a root of the covariance of some unknowns at given factors, rows by unknown.

        QR cuts the root at hand to as many columns as rows; nothing is squared.
        """
        triangle: Floats = np.linalg.qr(self.root[positions].T, mode="r")  # type: ignore[assignment]  # the stubs know no mode
        return triangle.T

    def times(self, vectors: Floats) -> Floats:
        """Multiply the covariance at given factors by vectors, shape (unknowns, any)."""
        product: Floats = self.root @ (self.root.T @ vectors)
        return product

    def drawn(self, count: int, generator: np.random.Generator) -> Floats:
        """Draw deviations at given factors, shape (count, unknowns)."""
        product: Floats = generator.standard_normal((count, len(self.x0))) @ self.root.T
        return product


def solve_dense(systems: Iterable[System]) -> Iterator[DenseFamily]:
    """Solve families by QR, stacked by shape; they come back in another order."""
    by_shape: dict[tuple[int, ...], list[System]] = defaultdict(list)
    for system in in_turns(systems):
        shape = (len(system.y), len(system.size), len(system.kinds))
        by_shape[shape].append(system)
    for alike in by_shape.values():
        for start in range(0, len(alike), _STACK):
            yield from _solve_stack(alike[start : start + _STACK])


def _solve_stack(alike: list[System]) -> Iterator[DenseFamily]:
    count, kinds = len(alike[0].size), len(alike[0].kinds)
    triangles: Floats = np.linalg.qr(_stacked(alike), mode="r")  # type: ignore[assignment]  # the stubs know no mode for stacks
    sizes = np.stack([system.size for system in alike])
    inverse = np.linalg.inv(triangles[:, :count, :count])
    roots = np.triu(sizes[:, :, None] * inverse)
    middle = slice(count, count + kinds)
    shifts = -(roots @ triangles[:, :count, middle])
    starts = (roots @ triangles[:, :count, -1:])[:, :, 0]
    for at, system in enumerate(in_turns(alike)):
        triangle = triangles[at, middle, middle]
        target = triangles[at, middle, -1]
        last = triangles[at, -1, -1] if triangles.shape[1] > count + kinds else 0.0
        yield DenseFamily(
            system=system,
            x0=starts[at],
            root=roots[at],
            shift=shifts[at],
            information=triangle.T @ triangle,
            pull=triangle.T @ target,
            misfit=float(last) ** 2 + float(target @ target),
        )


def _stacked(alike: list[System]) -> Floats:
    """Give the weighted rows over the vague prior: unknowns in sizes, factors, right-hand side."""
    rows, count, kinds = len(alike[0].y), len(alike[0].size), len(alike[0].kinds)
    stack = np.zeros((len(alike), rows + count, count + kinds + 1))
    family, row, unknown = _entries(alike)
    stack[family, row, unknown] = np.concatenate([one.coefficient for one in alike])
    sizes = np.stack([one.size for one in alike])
    stack[:, :rows, :count] *= sizes[:, None, :]
    if kinds:
        for at, system in enumerate(in_turns(alike)):
            stack[at, :rows, count : count + kinds] = system.leaning()
    stack[:, :rows, -1] = np.stack([one.y for one in alike])
    length = np.sqrt(np.einsum("fij,fij->fi", stack[:, :rows, :count], stack[:, :rows, :count]))
    u = np.stack([one.u for one in alike])
    stack[:, :rows] /= np.where(u > 0.0, u, EXACT * length)[:, :, None]
    stack[:, rows + np.arange(count), np.arange(count)] = 1.0 / VAGUE_SIZES
    return stiffest_first(stack, count)


def stiffest_first(stack: Floats, unknowns: int) -> Floats:
    """Sort the rows of weighted matrices by the largest entry among the first columns."""
    order = np.argsort(
        -np.abs(stack[:, :, :unknowns]).max(axis=2, initial=0.0), axis=1, kind="stable"
    )
    return np.take_along_axis(stack, order[:, :, None], axis=1)


def _entries(alike: list[System]) -> tuple[Ints, Ints, Ints]:
    counts = [len(one.entry_row) for one in alike]
    return (
        np.repeat(np.arange(len(alike)), counts),
        np.concatenate([one.entry_row for one in alike]),
        np.concatenate([one.entry_unknown for one in alike]),
    )
