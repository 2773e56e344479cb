"""The flow of items as plain numbers: who feeds which work, what it makes, and where it all began.

A *node* is an item or a thing added to a work. Items come first, in the order of the flow, so that
a node below `len(tags)` is also an item's place; things added follow. Each node is made at most
once and used at most once, so a node alone names the edge that leads out of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Terms
from vault.core.flow import Added, Flow
from vault.core.items import Item
from vault.core.turns import in_turns

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

NOBODY = -1
HOUSE = ""
# Asks for weight on the scale in place of a metal.
GROSS = ""


class SourceKind(Enum):
    """What metal can have come from."""

    LOT = "lot"
    ADDED = "added"
    FOUND = "found"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Source:
    """What metal came from.

    Attributes:
        kind: a lot, something added to a work, something found at a count, or not known.
        name: the lot's name, or in words what else it was ("added: silver, entry 12").
        owner: the customer whose metal it is, `HOUSE` for the shop's own, None where that cannot
            be told.
        entry: the work to which it was added or at which it is lost from sight, None otherwise.
    """

    kind: SourceKind
    name: str
    owner: str | None
    entry: int | None = None


@dataclass(frozen=True, slots=True)
class Edges:
    """A flow as numbers.

    Attributes:
        tags: the tag of every item's place.
        place_of: the place of every tag.
        numbers: the entry of every work, rising; works are known by their position here.
        ins, outs: the nodes that each work uses and makes, never none.
        maker, user: by node the work that made it and that used it, or `NOBODY`.
        sources: where metal can have come from; a lot stands here once.
        root: by node the source that it is, or `NOBODY` where a work made it.
        nodes_of: by source the nodes that are it.
        added: the things added, in the order of their nodes after the items.
    """

    tags: tuple[str, ...]
    place_of: Mapping[str, int]
    numbers: tuple[int, ...]
    ins: list[tuple[int, ...]]
    outs: list[tuple[int, ...]]
    maker: list[int]
    user: list[int]
    sources: tuple[Source, ...]
    root: list[int]
    nodes_of: list[list[int]]
    added: tuple[Added, ...]

    @property
    def nodes(self) -> int:
        """How many nodes there are."""
        return len(self.root)

    def added_grams(self, metal: str) -> Floats:
        """Give grams of a metal (or `GROSS`) in every thing added, NaN where not weighed."""
        return np.array([_carried(one, metal) for one in self.added], dtype=np.float64)

    def name_of(self, node: int) -> str:
        """Give an item's tag, or what the thing added is."""
        if node < len(self.tags):
            return self.tags[node]
        return self.added[node - len(self.tags)].form

    def alone(self, label: list[int], *, counts: list[bool]) -> tuple[list[int], list[int]]:
        """Find works and nodes that everything with one and the same label leads to.

        Args:
            label: a number by source, such as its owner.
            counts: by node whether it can carry any of the metal at all.

        Returns:
            By work and by node that label, or `NOBODY` where several meet.
        """
        of_node = [label[one] if one >= 0 else NOBODY for one in self.root]
        of_work: list[int] = []
        for inside, outside in in_turns(zip(self.ins, self.outs, strict=True)):
            found = {of_node[node] for node in inside if counts[node]}
            only = found.pop() if len(found) == 1 else NOBODY
            of_work.append(only)
            for node in outside:
                of_node[node] = only
        return of_work, of_node


def edges_of(flow: Flow) -> Edges:
    """Lay a flow out as numbers, in one pass over its works."""
    place_of = {tag: place for place, tag in enumerate(flow.items)}
    maker = [NOBODY] * len(place_of)
    user = [NOBODY] * len(place_of)
    ins: list[tuple[int, ...]] = []
    outs: list[tuple[int, ...]] = []
    added: list[Added] = []
    added_to: list[int] = []
    for at, work in enumerate(in_turns(flow.works.values())):
        used = [place_of[tag] for tag in work.used]
        made = tuple(place_of[tag] for tag in work.made)
        for node in used:
            user[node] = at
        for node in made:
            maker[node] = at
        for one in work.added:
            used.append(len(place_of) + len(added))
            added.append(one)
            added_to.append(work.number)
            user.append(at)
        ins.append(tuple(used))
        outs.append(made)
    maker += [NOBODY] * len(added)
    sources, root = _sources_of(flow, maker, list(zip(added, added_to, strict=True)))
    return Edges(
        tags=tuple(place_of),
        place_of=place_of,
        numbers=tuple(flow.works),
        ins=ins,
        outs=outs,
        maker=maker,
        user=user,
        sources=sources,
        root=root,
        nodes_of=_nodes_by_source(root, len(sources)),
        added=tuple(added),
    )


def _sources_of(
    flow: Flow, maker: list[int], added: list[tuple[Added, int]]
) -> tuple[tuple[Source, ...], list[int]]:
    sources: list[Source] = []
    number_of: dict[str, int] = {}
    root: list[int] = []
    for item, made_at in in_turns(zip(flow.items.values(), maker, strict=False)):
        if made_at != NOBODY:
            root.append(NOBODY)
            continue
        source = source_of(item)
        if source.name not in number_of:
            number_of[source.name] = len(sources)
            sources.append(source)
        root.append(number_of[source.name])
    for one, entry in added:
        root.append(len(sources))
        name = f"added: {one.form}, entry {entry}"
        sources.append(Source(SourceKind.ADDED, name, HOUSE, entry))
    return tuple(sources), root


def _nodes_by_source(root: list[int], sources: int) -> list[list[int]]:
    nodes: list[list[int]] = [[] for _ in range(sources)]
    for node, source in enumerate(in_turns(root)):
        if source != NOBODY:
            nodes[source].append(node)
    return nodes


def source_of(item: Item) -> Source:
    """Give the source that an item is which no work made: its lot, or a find at a count.

    Only metal received on toll terms stays its customer's; all else is the house's.
    """
    if item.lot and item.terms:
        owner = item.party if item.terms == Terms.TOLL.value else HOUSE
        return Source(SourceKind.LOT, item.lot, owner)
    return Source(SourceKind.FOUND, f"found: {item.tag}", HOUSE)


def _carried(added: Added, metal: str) -> float:
    if metal == GROSS:
        return float("nan") if added.gross is None else added.gross.grams
    for said in added.contents:
        if said.metal == metal:
            return float("nan") if added.gross is None else added.gross.grams * said.fineness.share
    return 0.0
