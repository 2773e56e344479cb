"""The fronts of a large family laid out in memory, before any number is looked at.

A front is a small dense matrix over the columns [own | beyond | right-hand sides]; its rows are
those of the family whose first unknown it takes out, the vague prior of its own unknowns, and what
its children leave over. Fronts of one height in the forest do not touch each other, and those of
about the same shape are worked on together as one stack; shapes are rounded up to that end, and
filled with unknowns of their own that nothing else hangs on, and with empty columns beyond.

Every matrix lies in one flat array, stack after stack, so that places in it can be worked out once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from vault.reckoning.elimination import Elimination, elimination_of, numbered
from vault.reckoning.facts import Floats, Ints
from vault.reckoning.systems import System

# Shapes are rounded up to this many steps for each doubling.
_STEPS = 3
# Numbers in one stack; few enough to stay in the cache and to let other threads in between.
_MOST_NUMBERS = 1 << 17


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Fronts first … first+count−1, filled up to one shape.

    Attributes:
        first, count: the fronts.
        own, beyond, rows: the shape.
        at: where it starts in the flat array.
        sides: right-hand sides.
    """

    first: int
    count: int
    own: int
    beyond: int
    rows: int
    at: int
    sides: int

    @property
    def fronts(self) -> slice:
        """The fronts."""
        return slice(self.first, self.first + self.count)

    @property
    def width(self) -> int:
        """Columns of each matrix."""
        return self.own + self.beyond + self.sides

    @property
    def end(self) -> int:
        """Where it ends in the flat array."""
        return self.at + self.count * self.rows * self.width


class Fronts:
    """The forest of a family, in order of work: by height, then by shape.

    Attributes:
        place: of every unknown, its place in the order of elimination.
        own, beyond: of every front, how many unknowns it takes out and how many it hangs on.
        parent: of every front, −1 where it has none.
        left: of every front, how many rows it leaves over for its parent.
        stacks: runs of fronts of one shape.
    """

    def __init__(self, system: System) -> None:
        self._row, self._unknown = system.entry_row, system.entry_unknown
        self._rows, self.unknowns = len(system.y), len(system.size)
        self.sides = 1 + len(system.kinds)
        order = elimination_of(self._row, self._unknown, self._rows, self.unknowns, system.items)
        self.place = order.place
        own, beyond = order.last - order.first + 1, np.diff(order.start)
        height = _heights(order.parent)
        row_front = self._fronts_of_rows(order)
        rows, left = _rows_of(np.bincount(row_front, minlength=len(own)), own, beyond, order.parent)
        wide, deep = _rounded(own), _rounded(beyond)
        tall = _rounded(np.maximum(rows + wide - own, wide + deep))
        sorting = np.lexsort((tall, deep, wide, height))
        number = np.empty_like(sorting)
        number[sorting] = np.arange(len(sorting))
        self.own, self.beyond, self.left = own[sorting], beyond[sorting], left[sorting]
        parent = order.parent[sorting]
        self.parent = np.where(parent >= 0, number[parent], -1)
        self._first = order.first[sorting]
        self.stacks = _stacks(height[sorting], wide[sorting], deep[sorting], tall[sorting], self)
        lengths = self.beyond
        self.beyond_at = np.cumsum(lengths) - lengths
        inner = np.repeat(order.start[sorting] - self.beyond_at, lengths)
        self._beyond = order.beyond[inner + np.arange(len(inner))]
        self._lay_out(number[row_front], rows[sorting])

    def fit(self, system: System) -> bool:
        """Tell whether they are those of another system, too: its pattern is the same."""
        return (
            len(system.y) == self._rows
            and len(system.size) == self.unknowns
            and len(system.kinds) + 1 == self.sides
            and np.array_equal(system.entry_row, self._row)
            and np.array_equal(system.entry_unknown, self._unknown)
        )

    def _fronts_of_rows(self, order: Elimination) -> Ints:
        """Give the front of every row: the one that takes its first unknown out."""
        first = np.full(self._rows, self.unknowns - 1, dtype=np.int64)
        np.minimum.at(first, self._row, order.place[self._unknown])
        found: Ints = np.searchsorted(order.last, first)
        return found

    def _lay_out(self, row_front: Ints, rows: Ints) -> None:
        """Work out where every front starts, and every number of the family and its prior goes."""
        counts = [one.count for one in self.stacks]
        stack = np.repeat(np.arange(len(counts)), counts)
        spec = np.array([(one.own, one.rows, one.width, one.at, one.first) for one in self.stacks])
        self.wide, self._tall, self.width, at, first = spec[stack].T.copy()
        self.base = at + (np.arange(len(stack)) - first) * self._tall * self.width
        in_front = np.bincount(row_front, minlength=len(stack))
        self.row_start = self.base[row_front] + _nth(row_front) * self.width[row_front]
        front = row_front[self._row]
        column = self.column(front, self.place[self._unknown])
        self.entry_to = self.row_start[self._row] + column
        self.sides_to = self.row_start + self.width[row_front] - self.sides
        mine, nth = numbered(self.own)
        self.prior_to = self.base[mine] + (in_front[mine] + nth) * self.width[mine] + nth
        fill, more = numbered(self.wide - self.own)
        self.fill_to = (
            self.base[fill] + (rows[fill] + more) * self.width[fill] + (self.own[fill] + more)
        )
        # Where the first row that a front leaves over goes.
        up = np.maximum(self.parent, 0)
        child = np.argsort(up, kind="stable")
        before = np.cumsum(self.left[child]) - self.left[child]
        heads = np.append(True, np.diff(up[child]) != 0)
        before -= before[heads][np.cumsum(heads) - 1]
        above = np.empty_like(before)
        above[child] = before
        self.left_to = self.base[up] + (in_front[up] + self.own[up] + above) * self.width[up]

    def column(self, front: Ints, place: Ints) -> Ints:
        """Give the columns of places in the matrices of their fronts."""
        own = place - self._first[front]
        at = np.searchsorted(self._keys, front * self.unknowns + place)
        beyond = self.wide[front] + at - self.beyond_at[front]
        return np.where((own >= 0) & (own < self.own[front]), own, beyond)

    @cached_property
    def _keys(self) -> Ints:
        front = np.repeat(np.arange(len(self.own)), self.beyond)
        return front * self.unknowns + self._beyond

    @cached_property
    def in_parent(self) -> Ints:
        """The column in its parent of everything beyond a front, front after front."""
        front = np.repeat(self.parent, self.beyond)
        return self.column(front, self._beyond)

    def places(self, stack: Stack) -> tuple[Ints, Ints]:
        """Give the places that a stack takes out and those beyond; `unknowns` for filling."""
        these = stack.fronts
        nth = np.arange(stack.own)
        own = self._first[these, None] + nth
        own[nth >= self.own[these, None]] = self.unknowns
        return own, self.padded(self._beyond, stack, self.unknowns)

    def rows_in(self, stack: Stack, value: Floats) -> tuple[Ints, tuple[Ints, Ints], Floats]:
        """Give the family's rows in a stack, where they stand, and coefficients by column.

        Args:
            stack: which.
            value: a coefficient for every entry of the family.
        """
        by_row, row_to, by_entry, entry_to = self._sorted
        rows = by_row[slice(*np.searchsorted(row_to, [stack.at, stack.end]))]
        entries = by_entry[slice(*np.searchsorted(entry_to, [stack.at, stack.end]))]
        front, row = np.divmod((self.row_start[rows] - stack.at) // stack.width, stack.rows)
        deep = int(row.max(initial=-1)) + 1
        found = np.zeros((stack.count, deep, stack.own + stack.beyond))
        at, column = np.divmod(self.entry_to[entries] - stack.at, stack.width)
        found[at // stack.rows, at % stack.rows, column] = value[entries]
        return rows, (front, row), found

    @cached_property
    def _sorted(self) -> tuple[Ints, Ints, Ints, Ints]:
        by_row, by_entry = np.argsort(self.row_start), np.argsort(self.entry_to)
        return by_row, self.row_start[by_row], by_entry, self.entry_to[by_entry]

    def padded(self, values: Ints, stack: Stack, none: int) -> Ints:
        """Give what is kept of everything beyond, by front of a stack, `none` for filling."""
        nth = np.arange(stack.beyond)
        inside = nth < self.beyond[stack.fronts, None]
        found = np.full(inside.shape, none, dtype=np.int64)
        found[inside] = values[self.beyond_at[stack.first] :][: int(inside.sum())]
        return found


def _stacks(height: Ints, wide: Ints, deep: Ints, tall: Ints, fronts: Fronts) -> tuple[Stack, ...]:
    """Cut fronts in order of work into stacks, none of many more than `_MOST_NUMBERS`."""
    shape = np.stack([height, wide, deep, tall])
    cuts = np.flatnonzero((np.diff(shape, axis=1) != 0).any(axis=0)) + 1
    found = []
    at = 0
    for a, b in pairwise([0, *cuts.tolist(), len(height)]):
        own, beyond, rows = (int(one) for one in shape[1:, a])
        most = max(_MOST_NUMBERS // (rows * (own + beyond + fronts.sides)), 1)
        for start in range(a, b, most):
            count = min(most, b - start)
            found.append(Stack(start, count, own, beyond, rows, at, fronts.sides))
            at = found[-1].end
    return tuple(found)


def _heights(parent: Ints) -> Ints:
    """Give the height of each front over its lowest leaf."""
    height = [0] * len(parent)
    for front, up in enumerate(parent.tolist()):
        if up >= 0 and height[up] <= height[front]:
            height[up] = height[front] + 1
    return np.array(height, dtype=np.int64)


def _rows_of(in_front: Ints, own: Ints, beyond: Ints, parent: Ints) -> tuple[Ints, Ints]:
    """Give the rows of each front, its prior's among them, and how many it leaves over."""
    rows = (in_front + own).tolist()
    left = [0] * len(rows)
    shapes = zip(own.tolist(), beyond.tolist(), parent.tolist(), strict=True)
    for front, (mine, wide, up) in enumerate(shapes):
        left[front] = min(wide, rows[front] - mine)
        if up >= 0:
            rows[up] += left[front]
    return np.array(rows, dtype=np.int64), np.array(left, dtype=np.int64)


def _rounded(sizes: Ints) -> Ints:
    """Round up to a few steps for each doubling; small sizes stay as they are."""
    step = np.maximum(2.0 ** np.floor(np.log2(np.maximum(sizes, 1))) / _STEPS, 1.0)
    return (np.ceil(sizes / step) * step).astype(np.int64)


def _nth(groups: Ints) -> Ints:
    """Give the number of each member within its group."""
    order = np.argsort(groups, kind="stable")
    found = np.empty_like(order)
    found[order] = numbered(np.bincount(groups))[1]
    return found
