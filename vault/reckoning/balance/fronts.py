"""Fronts: the order in which a large problem is taken apart, before any number is looked at.

Unknowns are eliminated in an order that keeps the fill small. A front is a small dense problem: the
unknowns it eliminates (its own) and those of later fronts that its rows reach (its beyond). The
triangle left over for the beyond goes to the next front, its parent; so fronts form a forest.
Fronts of one height in the forest do not touch each other, and those of about the same shape are
worked on together as one stack; shapes are rounded up and filled with nothing to that end.

Columns are counted by place in the order of elimination, 0 … n−1; house factors come last, n …
n+k−1, and are never eliminated.

Reference: J. W. H. Liu, The multifrontal method for sparse matrix solution, SIAM Review 34 (1992)
82-109; T. A. Davis, Direct Methods for Sparse Linear Systems, SIAM 2006, chapters 4 and 7.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from vault.reckoning.balance.problem import Flags, Floats, Ints, Problem

# A front takes in the front before it if both together stay below this, whatever the fill.
_SMALL_FRONT = 20
# Shapes are rounded up to this many steps for each doubling.
_STEPS_PER_DOUBLING = 4
# Numbers in one stack, so that it stays in the cache.
_MOST_NUMBERS = 1 << 18


@dataclass(frozen=True, slots=True, eq=False)
class Ragged:
    """Lists of whole numbers of unequal length, one after the other."""

    start: Ints
    flat: Ints

    @property
    def lengths(self) -> Ints:
        """The length of each list."""
        return np.diff(self.start)


@dataclass(frozen=True, eq=False)
class Fronts:
    """The forest, with fronts in the order in which they are worked on.

    Attributes:
        span: n + k, the number of columns.
        place: (n,) place of each unknown in the order of elimination.
        columns: columns of each front, rising: its own first, then its beyond.
        own: (f,) how many columns each front eliminates.
        beyond: (f,) how many go to the parent.
        parent: (f,) the parent, −1 for a root, whose beyond is house factors only.
        row_front: (m,) the front of each row; that of its first column.
        row_at: (m,) its place among the rows of the front.
        child_at: (f,) place of a front's first left-over row among the rows of its parent.
        rows: (f,) rows of each front: of the problem, of the prior, left over by children.
        left: (f,) rows left over for the parent.
        prior_at: (f,) place of the first row of the prior.
        stacks: runs of fronts of one height and about one shape.
    """

    span: int
    place: Ints
    columns: Ragged
    own: Ints
    beyond: Ints
    parent: Ints
    row_front: Ints
    row_at: Ints
    child_at: Ints
    rows: Ints
    left: Ints
    prior_at: Ints
    stacks: tuple[Stack, ...]

    @cached_property
    def beyond_start(self) -> Ints:
        """Where the columns beyond each front start in `in_parent`."""
        return np.concatenate([[0], np.cumsum(self.beyond)]).astype(np.int64)

    @cached_property
    def in_parent(self) -> Ints:
        """The place of each front's columns beyond among the columns of its parent; 0 for roots."""
        front = np.repeat(np.arange(len(self.own)), self.beyond)
        columns = self.columns.flat[spread_out(self.columns.start[:-1] + self.own, self.beyond)]
        inner = self.parent[front] >= 0
        found = np.zeros(len(front), dtype=np.int64)
        found[inner] = self.position(self.parent[front][inner], columns[inner])
        return found

    @cached_property
    def _keys(self) -> Ints:
        count = len(self.own)
        return np.repeat(np.arange(count), self.columns.lengths) * self.span + self.columns.flat

    def position(self, front: Ints, column: Ints) -> Ints:
        """Give the place of columns among those of their front; all must be there.

        Args:
            front: fronts, any shape.
            column: columns, of the same shape.
        """
        found = np.searchsorted(self._keys, front * self.span + column)
        places: Ints = found - self.columns.start[front]
        return places


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Fronts first … first+count−1, padded to one shape.

    Attributes:
        first, count: the fronts.
        own, beyond, rows: the padded shape.
    """

    first: int
    count: int
    own: int
    beyond: int
    rows: int

    @property
    def fronts(self) -> slice:
        """The fronts of this stack."""
        return slice(self.first, self.first + self.count)

    @property
    def width(self) -> int:
        """Columns of the padded front, with the right-hand side as the last."""
        return self.own + self.beyond + 1


def fronts_of(problem: Problem) -> Fronts:
    """Find the order of elimination of a problem and its fronts."""
    place, start, below = _eliminated(problem)
    parent = np.where(np.diff(start) > 0, np.append(below, 0)[start[:-1]], -1)
    last, own = _cut(parent, np.diff(start))
    first = last - own + 1
    of_column = np.repeat(np.arange(len(last)), own)
    up = np.where(parent[last] >= 0, of_column[parent[last]], -1)
    height = _heights(up)
    row_front, touched = _rows_to_fronts(problem, place, of_column, up, height)
    beyond = np.diff(start)[last] + touched.sum(axis=1)
    in_front = np.bincount(row_front, minlength=len(last))
    rows, left = _row_counts(in_front, own, beyond, up)
    order, stacks = _stacked(height, own, beyond, rows)
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.arange(len(order))
    parent_front = np.where(up >= 0, number[up], -1)[order]
    columns = _columns(first[order], own[order], last[order], start, below, touched[order])
    row_front = number[row_front]
    in_front, own, left = in_front[order], own[order], left[order]
    return Fronts(
        span=problem.unknowns + problem.factors,
        place=place,
        columns=columns,
        own=own,
        beyond=beyond[order],
        parent=parent_front,
        row_front=row_front,
        row_at=_count_within(row_front, np.ones(len(row_front), dtype=np.int64)),
        child_at=_count_within(parent_front, left)
        + np.where(parent_front >= 0, (in_front + own)[parent_front], 0),
        rows=rows[order],
        left=left,
        prior_at=in_front,
        stacks=stacks,
    )


def _eliminated(problem: Problem) -> tuple[Ints, Ints, Ints]:
    """Give the place of each unknown, and where in each column the fill of the factor lies below.

    The pattern is that of A′A; its factor is found by factoring a matrix of that pattern with a
    heavy diagonal and no positive entry beside it, in which nothing can cancel.
    """
    from scipy import sparse  # noqa: PLC0415  # heavy to import
    from scipy.sparse import linalg  # noqa: PLC0415  # heavy to import

    n = problem.unknowns
    inside = problem.columns < n
    rows, columns = problem.place_rows[inside], problem.columns[inside]
    pattern = sparse.csr_array((np.ones(len(rows)), (rows, columns)), (problem.rows, n))
    pattern.data[:] = 1.0
    tied = sparse.csr_array(pattern.T @ pattern)
    heavy = sparse.diags_array(2.0 * tied.sum(axis=1) + 1.0)
    factor = linalg.splu(
        sparse.csc_array(heavy - tied),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    lower = sparse.csc_array(factor.L)
    lower.sort_indices()
    start = lower.indptr.astype(np.int64)
    inner = np.ones(lower.nnz, dtype=np.bool_)
    inner[start[:-1]] = False
    return (
        factor.perm_c.astype(np.int64),
        start - np.arange(n + 1),
        lower.indices[inner].astype(np.int64),
    )


def _cut(parent: Ints, widths: Ints) -> tuple[Ints, Ints]:
    """Cut the order into fronts of neighbouring columns: the last column of each, and how many.

    A column takes in the front just before it if that front hangs on it, and nothing is filled in
    by it or both are small.
    """
    up, wide = parent.tolist(), widths.tolist()
    last: list[int] = []
    own: list[int] = []
    for column, beyond in enumerate(wide):
        mine = 1
        while last and up[last[-1]] == column and last[-1] == column - mine:
            full = wide[last[-1]] == beyond + mine
            if not full and own[-1] + mine + beyond > _SMALL_FRONT:
                break
            last.pop()
            mine += own.pop()
        last.append(column)
        own.append(mine)
    return np.array(last, dtype=np.int64), np.array(own, dtype=np.int64)


def _heights(up: Ints) -> Ints:
    """Give the height of each front over its lowest leaf; parents come after their children."""
    height = [0] * len(up)
    for front, parent in enumerate(up.tolist()):
        if parent >= 0 and height[parent] <= height[front]:
            height[parent] = height[front] + 1
    return np.array(height, dtype=np.int64)


def _rows_to_fronts(
    problem: Problem, place: Ints, of_column: Ints, up: Ints, height: Ints
) -> tuple[Ints, Flags]:
    """Give the front of each row, and which house factors each front's rows reach, (f, k).

    Rows over house factors alone go to the last front.
    """
    n, count = problem.unknowns, len(up)
    places = np.append(place, np.full(problem.factors, n))[problem.columns]
    first = np.full(problem.rows, n)
    np.minimum.at(first, problem.place_rows, places)
    row_front = np.append(of_column, count - 1)[first]
    touched = np.zeros((count, problem.factors), dtype=np.bool_)
    border = problem.columns >= n
    touched[row_front[problem.place_rows[border]], problem.columns[border] - n] = True
    order = np.argsort(height, kind="stable")
    for level in np.split(order, np.cumsum(np.bincount(height))[:-1]):
        rising = level[up[level] >= 0]
        np.logical_or.at(touched, up[rising], touched[rising])
    return row_front, touched


def _row_counts(in_front: Ints, own: Ints, beyond: Ints, up: Ints) -> tuple[Ints, Ints]:
    """Give the rows of each front, and how many are left over for its parent."""
    rows = (in_front + own).tolist()
    left = [0] * len(rows)
    for front, (mine, wide, parent) in enumerate(
        zip(own.tolist(), beyond.tolist(), up.tolist(), strict=True)
    ):
        left[front] = min(wide, rows[front] - mine)
        if parent >= 0:
            rows[parent] += left[front]
    return np.array(rows, dtype=np.int64), np.array(left, dtype=np.int64)


def _stacked(height: Ints, own: Ints, beyond: Ints, rows: Ints) -> tuple[Ints, tuple[Stack, ...]]:
    """Give the order of work, by height and then by shape, and the stacks in that order."""
    wide, deep = rounded(own), rounded(beyond)
    tall = rounded(np.maximum(rows + wide - own, wide + deep + 1))
    order = np.lexsort((tall, deep, wide, height))
    shape = np.stack([height, wide, deep, tall])[:, order]
    cuts = np.flatnonzero((np.diff(shape, axis=1) != 0).any(axis=0)) + 1
    cuts = _with_pauses(cuts, shape[3] * (shape[1] + shape[2] + 1))
    starts = np.concatenate([[0], cuts, [len(order)]]).tolist()
    return order, tuple(
        Stack(a, b - a, *(int(one) for one in shape[1:, a])) for a, b in pairwise(starts)
    )


def _with_pauses(cuts: Ints, numbers: Ints) -> Ints:
    """Cut stacks further, so that none is of many more than `_MOST_NUMBERS`."""
    bounds = [0, *cuts.tolist(), len(numbers)]
    found: list[int] = []
    for a, b in pairwise(bounds):
        most = max(_MOST_NUMBERS // int(numbers[a]), 1)
        found.extend(range(a, b, most))
    return np.array(found[1:], dtype=np.int64)


def rounded(sizes: Ints) -> Ints:
    """Round sizes up to a few steps for each doubling; small sizes stay as they are."""
    bits: Floats = np.floor(np.log2(np.maximum(sizes, 1)))
    step = np.maximum(2.0**bits / _STEPS_PER_DOUBLING, 1.0)
    return (np.ceil(sizes / step) * step).astype(np.int64)


def _columns(
    first: Ints, own: Ints, last: Ints, start: Ints, below: Ints, touched: Flags
) -> Ragged:
    """Put together the columns of each front: its own, the fill below its last, its factors."""
    n = len(start) - 1
    inner = np.diff(start)[last]
    factors = touched.sum(axis=1)
    begin = np.concatenate([[0], np.cumsum(own + inner + factors)])
    flat = np.empty(begin[-1], dtype=np.int64)
    flat[spread_out(begin[:-1], own)] = spread_out(first, own)
    flat[spread_out(begin[:-1] + own, inner)] = below[spread_out(start[last], inner)]
    flat[spread_out(begin[:-1] + own + inner, factors)] = n + np.nonzero(touched)[1]
    return Ragged(begin, flat)


def spread_out(starts: Ints, lengths: Ints) -> Ints:
    """Give start, start+1, … for each run in turn.

    >>> import numpy as np
    >>> spread_out(np.array([5, 20]), np.array([2, 3]))
    array([ 5,  6, 20, 21, 22])
    """
    ends = np.cumsum(lengths)
    total = int(ends[-1]) if len(ends) else 0
    return np.arange(total) + np.repeat(starts - ends + lengths, lengths)


def _count_within(groups: Ints, lengths: Ints) -> Ints:
    """Give, for each member, the sum of the lengths of earlier members of its group."""
    order = np.argsort(groups, kind="stable")
    before = np.cumsum(lengths[order]) - lengths[order]
    sorted_groups = groups[order]
    first = np.flatnonzero(np.concatenate([[True], np.diff(sorted_groups) != 0])[: len(order)])
    base = np.repeat(before[first], np.diff(np.append(first, len(order))))
    found = np.empty(len(order), dtype=np.int64)
    found[order] = before - base
    return found
