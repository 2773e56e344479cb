"""Roots of the covariance, front by front, from the last to the leaves.

With C the covariance of a front's columns [own | beyond] at given house factors and T T′ = C,

    T = [ R⁻¹   G·T_beyond ]
        [ 0     T_beyond   ],

where T_beyond stands for the same in the rows of the parent's T, turned back to a triangle by QR.
Variances themselves would not do: what hangs on something of which nothing is known is a small
difference of large ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from vault.reckoning.facts import Floats, Ints
from vault.reckoning.fronts import Fronts, Stack

if TYPE_CHECKING:
    from vault.reckoning.sparse_family import Solved


def roots_of(fronts: Fronts, solved: list[Solved]) -> Iterator[tuple[Solved, Floats]]:
    """Give T of every stack, shape (b, e+s, e+s), parents first."""
    kept = _Kept(fronts)
    for one in reversed(solved):
        e, s = one.stack.own, one.stack.beyond
        root = np.zeros((one.stack.count, e + s, e + s))
        root[:, :e, :e] = one.inverse
        if s:
            beyond = kept.beyond(one.stack)
            root[:, :e, e:] = one.pull @ beyond
            root[:, e:, e:] = beyond
        kept.keep(one.stack, root)
        yield one, root


class _Kept:
    """The roots of all fronts that have children, one after the other."""

    def __init__(self, fronts: Fronts) -> None:
        self._fronts = fronts
        self._width = fronts.width - fronts.sides
        is_parent = np.zeros(len(self._width), dtype=bool)
        is_parent[fronts.parent[fronts.parent >= 0]] = True
        self._has_child = [bool(is_parent[one.fronts].any()) for one in fronts.stacks]
        room = [
            one.count * (one.own + one.beyond) ** 2 if has else 0
            for one, has in zip(fronts.stacks, self._has_child, strict=True)
        ]
        ends = np.cumsum(room)
        self._at = {
            one.first: (int(end) - size, int(end))
            for one, end, size in zip(fronts.stacks, ends, room, strict=True)
        }
        counts = [one.count for one in fronts.stacks]
        first = np.repeat([one.first for one in fronts.stacks], counts)
        self._start = np.repeat(ends - room, counts)
        self._start += (np.arange(len(first)) - first) * self._width**2
        self._flat = np.empty(int(ends[-1]))

    def keep(self, stack: Stack, root: Floats) -> None:
        """Keep the roots of a stack for its children."""
        a, b = self._at[stack.first]
        if b > a:
            self._flat[a:b] = root.ravel()

    def beyond(self, stack: Stack) -> Floats:
        """Give T_beyond of a stack, shape (b, s, s)."""
        fronts, s = self._fronts, stack.beyond
        parent = fronts.parent[stack.fronts]
        row = fronts.padded(fronts.in_parent, stack, -1)
        width = self._width[parent]
        found = np.zeros((stack.count, s, s))
        for wide in np.unique(width).tolist():
            these = np.flatnonzero(width == wide)
            rows = self._rows(parent[these], row[these], wide)
            triangle: Floats = np.linalg.qr(rows.transpose(0, 2, 1), mode="r")  # type: ignore[assignment]  # the stubs know no mode for stacks
            found[these, :, : triangle.shape[1]] = triangle.transpose(0, 2, 1)
        return found

    def _rows(self, parent: Ints, row: Ints, wide: int) -> Floats:
        """Give rows of the parents' roots, zero where there is only filling."""
        start = self._start[parent][:, None] + np.maximum(row, 0) * wide
        rows: Floats = self._flat[start[:, :, None] + np.arange(wide)]
        rows[row < 0] = 0.0
        return rows
