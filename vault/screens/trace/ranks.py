"""Which layer each box of a trace stands in, and in which order: few crossings, no geometry.

Layers run from what is oldest (left) to what is newest (right). A ribbon that passes over layers
gets a *bend* in each of them, so that every joint spans exactly one layer and long ribbons take
part in the ordering. Boxes of the low lane (residues that nothing used, losses) stay below all
others of their layer.
"""

from __future__ import annotations

import itertools
from bisect import bisect_right, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

# Sweeps of the ordering; it rarely improves after the sixth.
SWEEPS = 8
# With more boxes than this, lots stand beside what they entered instead of all at the far left:
# ribbons over many layers would hide everything.
MOST_BOXES_IN_FULL_COLUMNS = 40


@dataclass(frozen=True, slots=True)
class Tie:
    """A ribbon as the layering sees it: from one box to another, by number."""

    source: int
    target: int


@dataclass(frozen=True, slots=True)
class Ranked:
    """Boxes and bends in layers.

    Attributes:
        layers: numbers of boxes and bends, from top to bottom, layer by layer; numbers from
            `boxes` upwards are bends.
        chains: for each tie the numbers it runs through, from its source to its target.
        boxes: how many of the numbers are boxes.
        crossings: how often joints cross between neighbouring layers.
    """

    layers: tuple[tuple[int, ...], ...]
    chains: tuple[tuple[int, ...], ...]
    boxes: int
    crossings: int


def ranked(boxes: int, ties: Sequence[Tie], low: frozenset[int]) -> Ranked:
    """Put boxes into layers by their longest path, and order each layer for few crossings.

    Args:
        boxes: how many there are; they are numbered from 0.
        ties: ribbons; together they hold no loop.
        low: boxes that stay below the others of their layer.
    """
    ranks = _ranks(boxes, ties)
    chains, layers = _with_bends(boxes, ties, ranks)
    order = _Order(layers, chains, low)
    order.improve()
    return Ranked(tuple(tuple(layer) for layer in order.layers), chains, boxes, order.crossings())


def _ranks(boxes: int, ties: Sequence[Tie]) -> list[int]:
    """Give each box its layer: the longest path to it, then lots drawn towards their use."""
    after: list[list[int]] = [[] for _ in range(boxes)]
    before: list[list[int]] = [[] for _ in range(boxes)]
    for tie in ties:
        after[tie.source].append(tie.target)
        before[tie.target].append(tie.source)
    order = _topological(after, before)
    ranks = [0] * boxes
    for box in order:
        ranks[box] = max((ranks[one] + 1 for one in before[box]), default=0)
    if boxes > MOST_BOXES_IN_FULL_COLUMNS:
        _draw_towards_use(order, after, before, ranks)
    return _without_gaps(ranks)


def _topological(after: Sequence[Sequence[int]], before: Sequence[Sequence[int]]) -> list[int]:
    missing = [len(one) for one in before]
    order = [box for box, count in enumerate(missing) if count == 0]
    for box in order:
        for one in after[box]:
            missing[one] -= 1
            if missing[one] == 0:
                order.append(one)
    if len(order) != len(after):
        raise ValueError("a trace with a loop has no layers")
    return order


def _draw_towards_use(
    order: Sequence[int],
    after: Sequence[Sequence[int]],
    before: Sequence[Sequence[int]],
    ranks: list[int],
) -> None:
    """Move every box without a feed, and what only such boxes feed, next to its use."""
    movable = [False] * len(ranks)
    for box in order:
        movable[box] = bool(after[box]) and all(
            movable[one] and len(after[one]) == 1 for one in before[box]
        )
    for box in reversed(order):
        if movable[box]:
            ranks[box] = min(ranks[one] for one in after[box]) - 1


def _without_gaps(ranks: Sequence[int]) -> list[int]:
    kept = {rank: place for place, rank in enumerate(sorted(set(ranks)))}
    return [kept[rank] for rank in ranks]


def _with_bends(
    boxes: int, ties: Sequence[Tie], ranks: Sequence[int]
) -> tuple[tuple[tuple[int, ...], ...], list[list[int]]]:
    layers: list[list[int]] = [[] for _ in range(max(ranks, default=-1) + 1)]
    for box, rank in enumerate(ranks):
        layers[rank].append(box)
    chains: list[tuple[int, ...]] = []
    free = boxes
    for tie in ties:
        chain = [tie.source]
        for rank in range(ranks[tie.source] + 1, ranks[tie.target]):
            layers[rank].append(free)
            chain.append(free)
            free += 1
        chain.append(tie.target)
        chains.append(tuple(chain))
    return tuple(chains), layers


class _Order:
    """The order within layers, improved by sweeping barycentres to and fro."""

    def __init__(
        self,
        layers: list[list[int]],
        chains: Iterable[tuple[int, ...]],
        low: frozenset[int],
    ) -> None:
        self.layers = layers
        self._low = low
        self._before: dict[int, list[int]] = {}
        self._after: dict[int, list[int]] = {}
        for chain in chains:
            for one, other in itertools.pairwise(chain):
                self._after.setdefault(one, []).append(other)
                self._before.setdefault(other, []).append(one)
        self._start()

    def crossings(self) -> int:
        """Count the crossings between all neighbouring layers."""
        return sum(
            _crossings_between(left, right, self._after)
            for left, right in zip(self.layers, self.layers[1:], strict=False)
        )

    def improve(self) -> None:
        """Sweep until nothing gets better; the best order seen is kept."""
        best = [list(layer) for layer in self.layers]
        fewest = self.crossings()
        for sweep in range(SWEEPS):
            if fewest == 0:
                break
            self._sweep(rightwards=sweep % 2 == 0)
            crossings = self.crossings()
            if crossings < fewest:
                fewest = crossings
                best = [list(layer) for layer in self.layers]
        self.layers = best

    def _start(self) -> None:
        """Begin with the order in which a walk back from the last layer meets things."""
        met: dict[int, int] = {}
        for layer in reversed(self.layers):
            for start in layer:
                waiting = [start]
                while waiting:
                    here = waiting.pop()
                    if here not in met:
                        met[here] = len(met)
                        waiting.extend(reversed(self._before.get(here, ())))
        for layer in self.layers:
            layer.sort(key=lambda one: (one in self._low, met[one]))

    def _sweep(self, *, rightwards: bool) -> None:
        beside = self._before if rightwards else self._after
        layers = self.layers if rightwards else self.layers[::-1]
        for fixed, moved in itertools.pairwise(layers):
            place = {one: float(at) for at, one in enumerate(fixed)}
            own = {one: float(at) for at, one in enumerate(moved)}
            wanted = {
                one: _mean([place[other] for other in beside.get(one, ())], own[one])
                for one in moved
            }
            moved.sort(key=lambda one: (one in self._low, wanted[one], own[one]))


def _mean(values: Sequence[float], otherwise: float) -> float:
    return sum(values) / len(values) if values else otherwise


def _crossings_between(
    left: Sequence[int], right: Sequence[int], after: Mapping[int, Sequence[int]]
) -> int:
    """Count pairs of joints whose ends are in opposite order, in the left layer's order."""
    place = {one: at for at, one in enumerate(right)}
    seen: list[int] = []
    crossings = 0
    for one in left:
        ends = sorted(place[other] for other in after.get(one, ()))
        crossings += sum(len(seen) - bisect_right(seen, end) for end in ends)
        for end in ends:
            insort(seen, end)
    return crossings
