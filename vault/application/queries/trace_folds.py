"""Which boxes of a big trace are shown, and what the others are folded into.

The largest contributors are shown first, until the boxes allowed are used up. What is left over
beside a work is one fold, and what lies beyond an item whose own making or use is not shown is
another. A fold that the reader opened shows its next few whatever their number.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field

from vault.application.queries.trace_reach import Reach, Way
from vault.reckoning.edges import NOBODY
from vault.reckoning.mixing import Mixing

# How many boxes opening a fold adds at most; the rest stays in a fold of the same place.
MOST_UNFOLDED = 24
# Things made beside the path that are shown with each work before they are folded.
MOST_BESIDE = 3


@dataclass(slots=True)
class Fold:
    """What is not shown at one place.

    Attributes:
        key: names the place; opening it adds the key to the question.
        at: the work or item beside which it stands.
        beside_work: whether `at` is a work.
        is_side: whether it holds what was made beside the path.
        members: nodes directly in it.
        within: how many items are in it at any depth.
    """

    key: str
    at: int
    beside_work: bool
    is_side: bool = False
    members: list[int] = field(default_factory=list)
    within: int = 0


@dataclass(frozen=True, slots=True)
class Shown:
    """What of a reach is shown.

    Attributes:
        nodes, works: those with a box of their own.
        beside: by work the nodes beside the path that are shown.
        folds: by key.
        fold_of: by hidden node the key of the fold that it is in.
    """

    nodes: set[int]
    works: set[int]
    beside: dict[int, list[int]]
    folds: dict[str, Fold]
    fold_of: dict[int, str]


def shown_of(reach: Reach, mixing: Mixing, unfolded: frozenset[str], most_boxes: int) -> Shown:
    """Choose what of a reach is shown, largest contributors first."""
    choice = _Choice(reach, mixing)
    choice.spend(most_boxes)
    choice.open(unfolded)
    return choice.shown(unfolded)


class _Choice:
    def __init__(self, reach: Reach, mixing: Mixing) -> None:
        self._reach = reach
        self._mixing = mixing
        self.nodes: set[int] = set(reach.starts)
        self.works: set[int] = set()
        self._ordered: dict[int, list[int]] = {}

    def spend(self, most: int) -> None:
        """Show the largest first, as long as every box and every fold left has its place."""
        if self._whole() <= most:
            self.works.update(self._reach.works)
            self.nodes.update(node for far in self._reach.far.values() for node in far)
            return
        left = most - sum(1 + self._goes_on(node) for node in self.nodes)
        # (minus grams, work before node, number, whether it is a node)
        waiting = [entry for node in sorted(self.nodes) for entry in self._beyond(node)]
        heapq.heapify(waiting)
        while waiting:
            _, is_node, number = heapq.heappop(waiting)
            cost = self._cost(number, is_node=bool(is_node))
            if cost > left:
                break
            left -= cost
            for entry in self._show(number, is_node=bool(is_node)):
                heapq.heappush(waiting, entry)

    def open(self, unfolded: frozenset[str]) -> None:
        """Show what the reader opened, folds within opened folds too."""
        waiting = sorted(unfolded)
        while waiting:
            opened = [key for key in waiting if self._open(key)]
            if not opened:
                return
            waiting = [key for key in waiting if key not in opened]

    def shown(self, unfolded: frozenset[str]) -> Shown:
        """Put everything that is not shown into folds."""
        folds: dict[str, Fold] = {}
        fold_of: dict[int, str] = {}
        for work in self._reach.works:
            if work in self.works:
                rest = [node for node in self._by_size(work) if node not in self.nodes]
                if rest:
                    key = self._rest_key(work, unfolded)
                    folds[key] = Fold(key, work, beside_work=True, members=rest)
                    fold_of.update(dict.fromkeys(rest, key))
            else:
                key = self._fold_beyond(work, folds, fold_of)
                fold_of.update(dict.fromkeys(self._reach.far[work], key))
        for node in sorted(self.nodes):
            work = self._reach.next_work(node, self._mixing)
            if work != NOBODY and work not in self.works:
                self._fold_at(node, folds)
        beside = self._beside(unfolded, folds)
        for key in fold_of.values():
            folds[key].within += 1
        return Shown(self.nodes, self.works, beside, folds, fold_of)

    def _whole(self) -> int:
        """Count the boxes of everything, losses left out."""
        nodes = set(self._reach.starts)
        for far in self._reach.far.values():
            nodes.update(far)
        beside = sum(len(one) for one in self._reach.beside.values())
        return len(nodes) + len(self._reach.works) + beside

    def _goes_on(self, node: int) -> bool:
        return self._reach.next_work(node, self._mixing) != NOBODY

    def _beyond(self, node: int) -> list[tuple[float, int, int]]:
        work = self._reach.next_work(node, self._mixing)
        if work == NOBODY or work in self.works:
            return []
        return [(-self._reach.work_grams[work], 0, work)]

    def _cost(self, number: int, *, is_node: bool) -> int:
        """Count the boxes that showing it adds: itself and its fold, less the fold it ends."""
        if is_node:
            return 1 + self._goes_on(number)
        if number in self.works:
            return 0
        return 1 + min(MOST_BESIDE, len(self._reach.beside.get(number, ())))

    def _show(self, number: int, *, is_node: bool) -> list[tuple[float, int, int]]:
        if is_node:
            self.nodes.add(number)
            return self._beyond(number)
        if number in self.works:
            return []
        self.works.add(number)
        return [
            (-self._reach.grams.get(node, 0.0), 1, node)
            for node in self._reach.far[number]
            if node not in self.nodes
        ]

    def _by_size(self, work: int) -> list[int]:
        if work not in self._ordered:
            grams = self._reach.grams
            self._ordered[work] = sorted(
                self._reach.far[work], key=lambda node: (-grams.get(node, 0.0), node)
            )
        return self._ordered[work]

    def _open(self, key: str) -> bool:
        """Show what is behind a key, if its place is shown; tell whether it was."""
        kind, _, place = key.partition(":")
        edges = self._mixing.edges
        if kind == "beyond":
            node = edges.place_of.get(place, NOBODY)
            work = self._reach.next_work(node, self._mixing) if node in self.nodes else NOBODY
            if work == NOBODY:
                return False
            self.works.add(work)
        elif kind == "rest":
            work = self._work_of(place.partition(":")[0])
            if work not in self.works:
                return False
        else:
            return False
        hidden = [node for node in self._by_size(work) if node not in self.nodes]
        self.nodes.update(hidden[:MOST_UNFOLDED])
        return True

    def _work_of(self, entry: str) -> int:
        numbers = self._mixing.edges.numbers
        return next((work for work in self.works if str(numbers[work]) == entry), NOBODY)

    def _rest_key(self, work: int, unfolded: frozenset[str]) -> str:
        """Give the key of a work's rest; each opening of it has a number of its own."""
        entry = self._mixing.edges.numbers[work]
        page = 0
        while f"rest:{entry}:{page}" in unfolded:
            page += 1
        return f"rest:{entry}:{page}"

    def _fold_beyond(self, work: int, folds: dict[str, Fold], fold_of: dict[int, str]) -> str:
        """Find the fold of a work that is not shown: that of its largest near node."""
        near = max(
            self._reach.near[work], key=lambda node: (self._reach.grams.get(node, 0.0), -node)
        )
        if near in self.nodes:
            return self._fold_at(near, folds)
        return fold_of[near]

    def _fold_at(self, node: int, folds: dict[str, Fold]) -> str:
        key = f"beyond:{self._mixing.edges.name_of(node)}"
        folds.setdefault(key, Fold(key, node, beside_work=False, members=[node]))
        return key

    def _beside(self, unfolded: frozenset[str], folds: dict[str, Fold]) -> dict[int, list[int]]:
        beside: dict[int, list[int]] = {}
        if self._reach.way is Way.AHEAD:
            return beside
        for work in self.works:
            nodes = sorted(
                self._reach.beside[work], key=lambda node: (-self._mixing.grams[node], node)
            )
            key = f"side:{self._mixing.edges.numbers[work]}"
            # Folding one thing would take the same room as showing it.
            all_fit = len(nodes) <= MOST_BESIDE
            most = len(nodes) if all_fit else MOST_BESIDE - 1
            if key in unfolded:
                most = MOST_UNFOLDED
            beside[work] = nodes[:most]
            if nodes[most:]:
                rest = nodes[most:]
                fold = Fold(key, work, beside_work=True, is_side=True, members=rest)
                fold.within = len(rest)
                folds[key] = fold
        return beside


def boxes_of(shown: Shown) -> int:
    """Count the boxes of what is shown, losses left out."""
    beside: Iterable[list[int]] = shown.beside.values()
    return len(shown.nodes) + len(shown.works) + len(shown.folds) + sum(len(one) for one in beside)
