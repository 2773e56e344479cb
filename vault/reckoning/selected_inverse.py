"""The selected inverse: M⁻¹ wherever its sparse factor has an entry, all variances among them.

With M = L·D·L′ and columns S of equal structure B below them (a supernode), block after block from
the last (Takahashi's recursion, in blocks):

    Y = L_BS·L_SS⁻¹,   Z_BS = −Z_BB·Y,   Z_SS = L_SS⁻ᵀ·D⁻¹·L_SS⁻¹ − Y′·Z_BS.

Z_BB is known by then, since B lies within the columns and the structure of the parent. Supernodes
of one depth and shape go together; few and wide ones take Z_BB out of their parent as a block.

Reference: K. Takahashi, J. Fagan, M. Chin, "Formation of a sparse bus impedance matrix and its
application to short circuit study", 8th PICA Conference, 1973.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from vault.reckoning.facts import Floats, Ints

# Below this width looking entries up one by one is faster than taking a block of the parent.
_NARROW = 24
# How many equal supernodes go together; small enough to let other threads in between.
_TOGETHER = 4096


@dataclass(frozen=True, slots=True, eq=False)
class SelectedInverse:
    """Entries of an inverse in the pattern of its factor, by column and then by row.

    Attributes:
        place: column of the factor for every unknown.
        key: column · count + row of every entry, rising; rows are not above their column.
        value: the entries.
        starts: where each column begins; its first entry is the diagonal.
    """

    place: Ints
    key: Ints
    value: Floats
    starts: Ints

    def diagonal(self) -> Floats:
        """Give the diagonal, by unknown."""
        return self.value[self.starts[self.place]]

    def at(self, one: Ints, other: Ints) -> Floats:
        """Give entries by pairs of unknowns; every pair must lie in the pattern."""
        a, b = self.place[one], self.place[other]
        key = np.minimum(a, b) * len(self.place) + np.maximum(a, b)
        return self.value[np.searchsorted(self.key, key)]


def selected_inverse(factor: Any) -> SelectedInverse:  # noqa: ANN401  # SuperLU has no public type
    """Invert a symmetric factor of SuperLU in its own pattern."""
    work = _Work(sparse.csc_matrix(factor.L), factor.U.diagonal())
    for depth in range(int(work.depth.max(initial=-1)) + 1):
        work.go_down(depth)
    return SelectedInverse(factor.perm_c.astype(np.int64), work.key, work.value, work.starts)


class _Work:
    """The supernodes of a factor and the entries found so far.

    Attributes:
        first, own, below: of every supernode, its first column, how many columns it has, and how
            many rows its structure has below them.
        depth: of every supernode in the tree, roots at 0.
    """

    def __init__(self, lower: sparse.csc_matrix, pivots: Floats) -> None:
        lower.sort_indices()
        self.lower, self.pivots = lower, pivots
        self.count = lower.shape[0]
        self.starts = lower.indptr[:-1].astype(np.int64)
        width = np.diff(lower.indptr).astype(np.int64) - 1
        self.indices = lower.indices.astype(np.int64)
        self.key = np.repeat(np.arange(self.count), width + 1) * self.count + self.indices
        self.value: Floats = np.zeros(len(self.key))
        after = np.minimum(self.starts + 1, max(len(self.indices) - 1, 0))
        parent = np.where(width > 0, self.indices[after], self.count)
        goes_on = (parent[:-1] == np.arange(1, self.count)) & (width[:-1] == width[1:] + 1)
        begins = np.flatnonzero(np.concatenate([[True], ~goes_on])[: self.count])
        self.first = begins
        self.own = np.diff(np.append(begins, self.count))
        self.below = width[begins] - self.own + 1
        last = begins + self.own - 1
        of_column = np.repeat(np.arange(len(begins)), self.own)
        self.parent = np.append(of_column, -1)[parent[last]]
        self.depth = self._depths()
        order = np.lexsort((self.below, self.own, self.depth))
        cuts = np.flatnonzero(
            (np.diff(self.depth[order]) != 0)
            | (np.diff(self.own[order]) != 0)
            | (np.diff(self.below[order]) != 0)
        )
        self.batches: dict[int, list[Ints]] = {}
        for batch in np.split(order, cuts + 1) if len(order) else ():
            self.batches.setdefault(int(self.depth[batch[0]]), []).append(batch)
        wide = (self.below > _NARROW) & (self.parent >= 0)
        self.has_wide_child = np.zeros(len(begins), dtype=bool)
        self.has_wide_child[self.parent[wide]] = True
        self.fronts: dict[int, Floats] = {}

    def go_down(self, depth: int) -> None:
        """Work out all supernodes of one depth; those above are done."""
        above, self.fronts = self.fronts, {}
        for batch in self.batches[depth]:
            for start in range(0, len(batch), _TOGETHER):
                self._solve(batch[start : start + _TOGETHER], above)

    def _solve(self, batch: Ints, above: dict[int, Floats]) -> None:
        own, below = int(self.own[batch[0]]), int(self.below[batch[0]])
        columns = self.first[batch][:, None] + np.arange(own)
        blocks = self._blocks(columns, own, below)
        inverse = np.linalg.inv(blocks[:, :own])
        near = np.swapaxes(inverse, 1, 2) @ (inverse / self.pivots[columns][:, :, None])
        if below:
            under = blocks[:, own:] @ inverse
            beneath = self._beneath(batch, below, above)
            side = -(beneath @ under)
            near -= np.swapaxes(under, 1, 2) @ side
        else:
            beneath, side = np.zeros((len(batch), 0, 0)), np.zeros((len(batch), 0, own))
        self._keep(columns, near, side)
        for at in np.flatnonzero(self.has_wide_child[batch]).tolist():
            right = np.vstack([np.swapaxes(side[at : at + 1], 1, 2)[0], beneath[at]])
            self.fronts[int(batch[at])] = np.hstack([np.vstack([near[at], side[at]]), right])

    def _blocks(self, columns: Ints, own: int, below: int) -> Floats:
        """Give L of a batch, shape (batch, own + below, own), zero above the diagonal."""
        found = np.zeros((len(columns), own + below, own))
        for at in range(own):
            spot = self.starts[columns[:, at]][:, None] + np.arange(own + below - at)
            found[:, at:, at] = self.lower.data[spot]
        return found

    def _keep(self, columns: Ints, near: Floats, side: Floats) -> None:
        own = columns.shape[1]
        for at in range(own):
            spot = self.starts[columns[:, at]][:, None] + np.arange(own + side.shape[1] - at)
            self.value[spot[:, : own - at]] = near[:, at:, at]
            self.value[spot[:, own - at :]] = side[:, :, at]

    def _rows(self, batch: Ints, below: int) -> Ints:
        """Give the structure below each supernode of a batch, rising."""
        last = self.first[batch] + self.own[batch] - 1
        found: Ints = self.indices[self.starts[last][:, None] + 1 + np.arange(below)]
        return found

    def _beneath(self, batch: Ints, below: int, above: dict[int, Floats]) -> Floats:
        """Give Z_BB of a batch."""
        rows = self._rows(batch, below)
        if below <= _NARROW:
            small = np.minimum(rows[:, :, None], rows[:, None, :])
            large = np.maximum(rows[:, :, None], rows[:, None, :])
            return self.value[np.searchsorted(self.key, small * self.count + large)]
        found = np.empty((len(batch), below, below))
        for at, (parent, mine) in enumerate(zip(self.parent[batch].tolist(), rows, strict=True)):
            first, own = self.first[parent], self.own[parent]
            theirs = np.concatenate(
                [
                    np.arange(first, first + own),
                    self._rows(np.array([parent]), int(self.below[parent]))[0],
                ]
            )
            spot = np.searchsorted(theirs, mine)
            found[at] = above[parent][np.ix_(spot, spot)]
        return found

    def _depths(self) -> Ints:
        depths = [0] * len(self.parent)
        for at in range(len(depths) - 1, -1, -1):
            above = int(self.parent[at])
            if above >= 0:
                depths[at] = depths[above] + 1
        return np.array(depths, dtype=np.int64)
