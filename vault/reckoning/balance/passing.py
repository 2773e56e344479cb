"""What goes up and down between fronts: left-over rows, square roots of covariance, complements.

All of it lies in long flat arrays, front after front without padding; index arrays, worked out once
by whole-array arithmetic, carry it into the padded stacks and out of them.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from vault.reckoning.balance.factored import VAGUE_WEIGHT, triangle_of
from vault.reckoning.balance.fronts import Fronts, Stack, rounded, spread_out
from vault.reckoning.balance.problem import Floats, Ints, Problem


class Gather:
    """Brings the rows of a problem, its prior and the rows left over by children into stacks."""

    def __init__(self, problem: Problem, fronts: Fronts, scales: Floats) -> None:
        self._fronts = fronts
        self._columns = np.append(fronts.columns.flat, fronts.span)
        self._shape = _Shape(fronts)
        self.left_start = _starts(fronts.left * (fronts.beyond + 1))
        self._entries = self._entries_of(problem, scales)
        self._passed = self._passed_up()
        self._rows = _ByStack(self._shape.stack[fronts.row_front], len(fronts.stacks))

    def rows(self, number: int, left: Floats) -> Floats:
        """Give the rows of all fronts of a stack, shape (b, r, e+s+1).

        Args:
            number: which stack.
            left: the rows left over so far, flat.
        """
        stack = self._fronts.stacks[number]
        to, value, sorting = self._entries
        these = sorting.of(number)
        flat = np.bincount(
            to[these], value[these], minlength=stack.count * stack.rows * stack.width
        ).astype(np.float64)
        target, passed = self._passed
        those = passed.of(number)
        flat[target[those]] = left[those]
        return flat.reshape(stack.count, stack.rows, stack.width)

    def columns(self, stack: Stack) -> tuple[Ints, Ints]:
        """Give the columns a stack eliminates, (b, e), and those beyond, (b, s); n+k for none."""
        fronts, these = self._fronts, stack.fronts
        start, own = fronts.columns.start[:-1][these], fronts.own[these]
        none = len(self._columns) - 1
        return (
            self._columns[_padded(start, own, stack.own, none)],
            self._columns[_padded(start + own, fronts.beyond[these], stack.beyond, none)],
        )

    def problem_rows(self, number: int) -> tuple[Ints, Ints]:
        """Give the rows of the problem in a stack, and their places in its (b, r), flat."""
        stack = self._fronts.stacks[number]
        rows = self._rows.of(number)
        front = self._fronts.row_front[rows] - stack.first
        return rows, front * stack.rows + self._fronts.row_at[rows]

    @cached_property
    def left_from(self) -> Ints:
        """Where each left-over entry lies in the triangles (b, w, w) of its stack, flat."""
        front, row, column = self._left_places()
        shape = self._shape
        width = shape.width[front]
        at = np.where(column < self._fronts.beyond[front], shape.own[front] + column, width - 1)
        places: Ints = (shape.slot[front] * width + shape.own[front] + row) * width + at
        return places

    def _left_places(self) -> tuple[Ints, Ints, Ints]:
        """Give front, row and column of each left-over entry; the last column is the right side."""
        front, within = _numbered(np.diff(self.left_start))
        wide = self._fronts.beyond[front] + 1
        return front, within // wide, within % wide

    def _entries_of(self, problem: Problem, scales: Floats) -> tuple[Ints, Floats, _ByStack]:
        """Give where each number of the problem and of its prior goes, and the number."""
        fronts, shape, n = self._fronts, self._shape, problem.unknowns
        row = problem.place_rows
        front = fronts.row_front[row]
        border = np.arange(n, n + problem.factors, dtype=np.int64)
        column = fronts.position(front, np.append(fronts.place, border)[problem.columns])
        column = shape.padded(front, column, fronts.own[front])
        every = fronts.row_front
        mine, nth = _numbered(fronts.own)
        empty, spare = _numbered(shape.own - fronts.own)
        parts = [
            (front, fronts.row_at[row], column),
            (every, fronts.row_at, shape.width[every] - 1),
            (mine, fronts.prior_at[mine] + nth, nth),
            (empty, fronts.rows[empty] + spare, fronts.own[empty] + spare),
        ]
        to = np.concatenate([shape.flat(*part) for part in parts])
        value = np.concatenate(
            [
                problem.coefficients * problem.scale[problem.columns] / scales[row],
                problem.values / scales,
                np.full(len(mine), VAGUE_WEIGHT),
                np.ones(len(empty)),
            ]
        )
        stack = shape.stack[np.concatenate([part[0] for part in parts])]
        return to, value, _ByStack(stack, len(fronts.stacks))

    def _passed_up(self) -> tuple[Ints, _ByStack]:
        """Give where each left-over entry goes in its parent's stack; roots keep theirs."""
        fronts, shape = self._fronts, self._shape
        front, row, column = self._left_places()
        parent = fronts.parent[front]
        at = np.append(fronts.in_parent, 0)[fronts.beyond_start[front] + column]
        at = shape.padded(parent, at, fronts.own[parent])
        at = np.where(column < fronts.beyond[front], at, shape.width[parent] - 1)
        to = shape.flat(parent, fronts.child_at[front] + row, at)
        return to, _ByStack(np.where(parent >= 0, shape.stack[parent], -1), len(fronts.stacks))


class Complements:
    """Passes down what of left-over rows the rest of the problem does not reach: e and Ω."""

    def __init__(self, fronts: Fronts) -> None:
        self._fronts = fronts
        self._shape = _Shape(fronts)
        self._start = _starts(fronts.left)
        self._square_start = _starts(fronts.left**2)
        self._misfit = np.zeros(self._start[-1])
        self._space = np.zeros(self._square_start[-1])
        self._front, self._nth = _numbered(fronts.left)
        self._square_front, self._square_nth = _numbered(fronts.left**2)
        stack = np.where(fronts.parent >= 0, self._shape.stack[fronts.parent], -1)
        self._by_parent = _ByStack(stack[self._front], len(fronts.stacks))
        self._square_by_parent = _ByStack(stack[self._square_front], len(fronts.stacks))

    def put(self, front: int, misfit: Floats, space: Floats) -> None:
        """Set what is known of the left-over rows of a root."""
        self._misfit[self._start[front] : self._start[front + 1]] = misfit
        a, b = self._square_start[front], self._square_start[front + 1]
        self._space[a:b] = space.ravel()

    def go_down(self, number: int, rows: Floats, order: Ints) -> tuple[Floats, Floats]:
        """Give e and ρ of the rows of a stack, each (b, r), and pass on those of its children.

            e = Qc·ε,   Ψ = Qc·Ω·Qc′,   ρ = diag Ψ,

        with Qc the columns of Q that the eliminated unknowns do not reach; ε and Ω are what came
        from the parent for the left-over rows, and Q′y and 1 for all else.

        Args:
            number: which stack.
            rows: (b, r, e+s+1), sorted.
            order: (b, r) the row at each place.
        """
        stack = self._fronts.stacks[number]
        full = np.asarray(np.linalg.qr(rows[:, :, :-1], mode="complete").Q)
        turned = np.matmul(rows[:, None, :, -1], full)[:, 0, stack.own :]
        reached = np.empty_like(full[:, :, stack.own :])
        np.put_along_axis(reached, order[:, :, None], full[:, :, stack.own :], axis=1)
        space = np.broadcast_to(np.eye(turned.shape[1]), (stack.count, *[turned.shape[1]] * 2))
        space = space.copy()
        self._take(stack, turned, space)
        misfit = (reached @ turned[:, :, None])[:, :, 0]
        square = reached @ space @ reached.transpose(0, 2, 1)
        self._pass_on(number, misfit, square)
        return misfit, np.diagonal(square, axis1=1, axis2=2)

    def _take(self, stack: Stack, turned: Floats, space: Floats) -> None:
        """Write what the parents passed on over the first left-over rows of a stack."""
        a, b = stack.first, stack.first + stack.count
        these = slice(self._start[a], self._start[b])
        turned[self._front[these] - a, self._nth[these]] = self._misfit[these]
        these = slice(self._square_start[a], self._square_start[b])
        front, nth = self._square_front[these], self._square_nth[these]
        left = self._fronts.left[front]
        space[front - a, nth // left, nth % left] = self._space[these]

    def _pass_on(self, number: int, misfit: Floats, square: Floats) -> None:
        """Keep what the children of a stack will take."""
        fronts, first = self._fronts, self._fronts.stacks[number].first
        these = self._by_parent.of(number)
        child = self._front[these]
        at = fronts.child_at[child] + self._nth[these]
        self._misfit[these] = misfit[fronts.parent[child] - first, at]
        these = self._square_by_parent.of(number)
        child, nth = self._square_front[these], self._square_nth[these]
        left, begin = fronts.left[child], fronts.child_at[child]
        slot = fronts.parent[child] - first
        self._space[these] = square[slot, begin + nth // left, begin + nth % left]


class Roots:
    """Passes down square roots T of covariance, in natural sizes, with house factors held still."""

    def __init__(self, fronts: Fronts) -> None:
        self._fronts = fronts
        self._width = fronts.own + fronts.beyond
        parents = fronts.parent[fronts.parent >= 0]
        kept = np.zeros(len(fronts.own), dtype=np.int64)
        kept[parents] = self._width[parents] ** 2
        self._kept = kept > 0
        self._start = _starts(kept)
        self._flat = np.zeros(self._start[-1] + 1)
        self._row = np.append(fronts.in_parent, 0)

    def variances(self, number: int, inverse: Floats, pull: Floats) -> Floats:
        """Give the variances of the columns a stack eliminates, (b, e), and keep its roots.

        Args:
            number: which stack.
            inverse: (b, e, e) R⁻¹.
            pull: (b, e, s) G.
        """
        stack = self._fronts.stacks[number]
        beyond = self._of_beyond(stack)
        led = pull @ beyond
        self._keep(stack, inverse, led, beyond)
        found: Floats = np.sum(inverse**2, axis=2) + np.sum(led**2, axis=2)
        return found

    def _of_beyond(self, stack: Stack) -> Floats:
        """Give T of the columns beyond, (b, s, s), from the roots of the parents."""
        found = np.zeros((stack.count, stack.beyond, stack.beyond))
        parent = self._fronts.parent[stack.fronts]
        wide = np.where(parent >= 0, rounded(self._width[parent]), 0)
        for width in np.unique(wide[(wide > 0) & (stack.beyond > 0)]).tolist():
            these = np.flatnonzero(wide == width)
            rows = self._parent_rows(stack, these, max(width, stack.beyond))
            found[these] = triangle_of(rows.transpose(0, 2, 1)).transpose(0, 2, 1)
        return found

    def _parent_rows(self, stack: Stack, these: Ints, width: int) -> Floats:
        """Give the rows of the parents' roots for the columns beyond of some fronts, (b, s, w)."""
        front = stack.first + these
        parent, beyond = self._fronts.parent[front], self._fronts.beyond[front]
        wide = self._width[parent]
        none = len(self._row) - 1
        at = _padded(self._fronts.beyond_start[front], beyond, stack.beyond, none)
        row = self._row[at]
        places = (self._start[parent][:, None] + row * wide[:, None])[:, :, None] + np.arange(width)
        inside = (at < none)[:, :, None] & (np.arange(width) < wide[:, None, None])
        rows: Floats = self._flat[np.where(inside, places, len(self._flat) - 1)]
        return rows

    def _keep(self, stack: Stack, inverse: Floats, led: Floats, beyond: Floats) -> None:
        """Keep [R⁻¹, G·T; 0, T] of those fronts that have children."""
        these = np.flatnonzero(self._kept[stack.fronts])
        if not len(these):
            return
        e, s = stack.own, stack.beyond
        root = np.zeros((len(these), e + s, e + s))
        root[:, :e, :e] = inverse[these]
        root[:, :e, e:] = led[these]
        root[:, e:, e:] = beyond[these]
        front = stack.first + these
        nth_front, nth = _numbered(self._width[front] ** 2)
        wide, own = self._width[front][nth_front], self._fronts.own[front][nth_front]
        row, column = nth // wide, nth % wide
        row += np.where(row >= own, e - own, 0)
        column += np.where(column >= own, e - own, 0)
        a, b = self._start[stack.first], self._start[stack.first + stack.count]
        self._flat[a:b] = root[nth_front, row, column]


class _Shape:
    """The padded shape of the stack of each front, and its slot in it; all (f,)."""

    def __init__(self, fronts: Fronts) -> None:
        stacks = fronts.stacks
        count = np.array([one.count for one in stacks], dtype=np.int64)
        self.stack = np.repeat(np.arange(len(stacks), dtype=np.int64), count)
        self.own = np.repeat([one.own for one in stacks], count)
        self.width = np.repeat([one.width for one in stacks], count)
        self.rows = np.repeat([one.rows for one in stacks], count)
        first = np.array([one.first for one in stacks], dtype=np.int64)
        self.slot = np.arange(len(self.stack)) - first[self.stack]

    def padded(self, front: Ints, at: Ints, own: Ints) -> Ints:
        """Give the place in the padded columns of a front for a place among its columns."""
        return np.where(at < own, at, at - own + self.own[front])

    def flat(self, front: Ints, row: Ints, column: Ints) -> Ints:
        """Give the place of entries in the flat stack (b, r, w) of their front."""
        places: Ints = (self.slot[front] * self.rows[front] + row) * self.width[front] + column
        return places


class _ByStack:
    """Members sorted by their stack; those of stack −1 belong to none."""

    def __init__(self, stack: Ints, count: int) -> None:
        self._order = np.argsort(stack, kind="stable")
        self._start = np.searchsorted(stack[self._order], np.arange(count + 1))

    def of(self, number: int) -> Ints:
        """Give the members of a stack, rising."""
        return self._order[self._start[number] : self._start[number + 1]]


def _starts(lengths: Ints) -> Ints:
    """Give where each run starts, and where the last ends."""
    return np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)


def _numbered(lengths: Ints) -> tuple[Ints, Ints]:
    """Give, for each member of runs of these lengths, its run and its number in the run."""
    run = np.repeat(np.arange(len(lengths), dtype=np.int64), lengths)
    return run, spread_out(np.zeros(len(lengths), dtype=np.int64), lengths)


def _padded(start: Ints, lengths: Ints, width: int, none: int) -> Ints:
    """Give start, start+1, … for each run, (runs, width), and `none` past its end."""
    nth = np.arange(width)
    return np.where(nth < lengths[:, None], start[:, None] + nth, none)
