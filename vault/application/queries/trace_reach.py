"""What a trace reaches: works and nodes between an item or a lot and its origins, or its fate.

Nodes and works are the numbers of `vault.reckoning.edges`. *Near* is towards what was asked for,
*far* is away from it, whichever way the trace looks.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

from vault.reckoning.edges import NOBODY
from vault.reckoning.mixing import Amount, Mixing, Rows

# A thing added that carries less than this part of a work's feed (the silver in assay lead) is
# left out of the picture; it is in every figure all the same.
LEAST_ADDED = 0.0005


class Way(Enum):
    """Which way a trace looks."""

    BACK = "back"
    AHEAD = "ahead"


@dataclass(frozen=True, slots=True)
class Reach:
    """Everything that a trace could show one way.

    Attributes:
        way: which way.
        starts: the nodes asked for.
        works: nearest first; a work never stands before one that is nearer on a path.
        near, far: by work its nodes on either side, those that carry none of the metal left out.
        beside: looking back, what a work made that leads elsewhere; empty looking ahead.
        grams: by node what of it concerns the start: looking back how much of the start came
            through it, looking ahead how much of the start is in it.
        work_grams: the same by work.
    """

    way: Way
    starts: tuple[int, ...]
    works: tuple[int, ...]
    near: Mapping[int, tuple[int, ...]]
    far: Mapping[int, tuple[int, ...]]
    beside: Mapping[int, tuple[int, ...]]
    grams: Mapping[int, float]
    work_grams: Mapping[int, float]

    def next_work(self, node: int, mixing: Mixing) -> int:
        """Give the work beyond a node, or `NOBODY` where the trace ends."""
        edges = mixing.edges
        work = (edges.maker if self.way is Way.BACK else edges.user)[node]
        return work if work in self.far else NOBODY


def reach_back(mixing: Mixing, start: int) -> Reach:
    """Follow an item back to everything it came from."""
    edges = mixing.edges
    works = _met([start], edges.maker, edges.ins, mixing, newest_first=True)
    grams = {start: mixing.grams[start] or 1.0}
    work_grams: dict[int, float] = {}
    near: dict[int, tuple[int, ...]] = {}
    far: dict[int, tuple[int, ...]] = {}
    beside: dict[int, tuple[int, ...]] = {}
    for work in works:
        near[work] = tuple(node for node in edges.outs[work] if node in grams)
        beside[work] = tuple(
            node for node in edges.outs[work] if node not in grams and carries(mixing, node)
        )
        far[work] = _feeding(mixing, work)
        work_grams[work] = sum(grams[node] for node in near[work])
        for node in far[work]:
            grams[node] = work_grams[work] * mixing.parts[node]
    return Reach(Way.BACK, (start,), works, near, far, beside, grams, work_grams)


def reach_ahead(mixing: Mixing, starts: Iterable[int]) -> Reach:
    """Follow items ahead to everything that their metal went into."""
    edges = mixing.edges
    starts = tuple(starts)
    works = _met(starts, edges.user, edges.outs, mixing, newest_first=False)
    parts = parts_ahead(mixing, dict.fromkeys(starts, 1.0), mixing.parts, 1.0, works)
    grams = {node: part * mixing.grams[node] for node, part in parts.items()}
    near = {
        work: tuple(node for node in edges.ins[work] if node in parts and carries(mixing, node))
        for work in works
    }
    far = {
        work: tuple(node for node in edges.outs[work] if carries(mixing, node)) for work in works
    }
    work_grams = {work: sum(grams[node] for node in near[work]) for work in works}
    return Reach(Way.AHEAD, starts, works, near, far, {}, grams, work_grams)


def parts_ahead(
    mixing: Mixing,
    starts: Mapping[int, Amount],
    parts: Rows[Amount],
    whole: Amount,
    works: Iterable[int] | None = None,
) -> dict[int, Amount]:
    """Give, by node, the part of its metal that came from the start.

    Args:
        mixing: how the works mixed the metal.
        starts: nodes that are wholly of the start, each with `whole`.
        parts: `mixing.parts`, or the same for many draws.
        whole: one, or as many ones as there are draws.
        works: those that `starts` reaches, in order, where the caller has them.
    """
    edges = mixing.edges
    found = dict(starts)
    if works is None:
        works = _met(tuple(starts), edges.user, edges.outs, mixing, newest_first=False)
    own = set(starts)
    for work in works:
        inside = [node for node in edges.ins[work] if carries(mixing, node)]
        if inside and own.issuperset(inside):
            # Whatever the amounts, all of it is of the start.
            own.update(edges.outs[work])
            part = whole
        else:
            part = 0.0 * whole
            for node in inside:
                if node in found and mixing.feeds[node]:
                    part = part + found[node] * parts[node]
        for node in edges.outs[work]:
            found[node] = part
    return found


def carries(mixing: Mixing, node: int) -> bool:
    """Tell whether a node holds any of the metal, or may hold some."""
    return mixing.grams[node] > 0 or not mixing.known[node]


def _met(
    starts: Iterable[int],
    beyond: list[int],
    nodes_of: list[tuple[int, ...]],
    mixing: Mixing,
    *,
    newest_first: bool,
) -> tuple[int, ...]:
    """Give every work met from the starts on, in the order of the daybook or against it."""
    items = len(mixing.edges.tags)
    met: set[int] = set()
    waiting = list(starts)
    while waiting:
        node = waiting.pop()
        work = beyond[node]
        if work == NOBODY or work in met:
            continue
        met.add(work)
        waiting += [one for one in nodes_of[work] if one < items and carries(mixing, one)]
    return tuple(sorted(met, reverse=newest_first))


def _feeding(mixing: Mixing, work: int) -> tuple[int, ...]:
    items = len(mixing.edges.tags)
    inside = mixing.edges.ins[work]
    least = LEAST_ADDED * sum(mixing.grams[node] for node in inside)
    return tuple(
        node
        for node in inside
        if carries(mixing, node) and (node < items or mixing.grams[node] >= least)
    )
