"""Origins and fate: which lots an item's metal came from, and where a lot's metal is now.

Shares are conventional: they assume that every melt was fully mixed (see `mixing`), metal by metal,
on the contents as now believed. What holds, always:

- the shares of an item's sources add up to one, or to less by what is "not known";
- what was received of a lot is on hand, gone, missing or lost, to the last digit. A loss is shared
  by the sources of what went in; so is a gain, which counts as a loss below zero.

The uncertainty of a share is its scatter when it is worked out anew for draws of all contents.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from vault.core.flow import Flow
from vault.core.items import Item, State
from vault.core.turns import in_turns
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents
from vault.reckoning.edges import (
    GROSS,
    NOBODY,
    Edges,
    Floats,
    Source,
    SourceKind,
    edges_of,
)
from vault.reckoning.mixing import DrawnParts, Look, Mixing, look_nowhere, mixing_of, scatter

# Enough to tell an uncertainty to 7 % (1/√(2·100)), which is better than its second digit needs.
DRAWS = 100
# Figures are the same in every run from the same facts.
SEED = 20310301

# Grams by item in the order of the flow, for each metal; NaN where not known, zero where none.
Masses = Mapping[str, Floats]


@dataclass(frozen=True, slots=True)
class Share:
    """One source's part in a metal of an item.

    Attributes:
        source: what it came from.
        fine_g: grams of it, None where the item's content or this part is not known.
        u_g: one standard uncertainty of those grams, None unless draws were given.
        share: its part of the item's metal, None where not known.
    """

    source: Source
    fine_g: float | None
    u_g: float | None
    share: float | None


class Whereabouts(Enum):
    """The parts into which a lot's metal falls: what is on hand in products comes first."""

    ON_HAND = "on hand"
    IN_RESIDUES = "in residues"
    OUT = "out"
    UNACCOUNTED = "unaccounted"


@dataclass(frozen=True, slots=True)
class Held:
    """Metal of a lot in an item that no work used up."""

    tag: str
    state: State
    fine_g: float


@dataclass(frozen=True, slots=True)
class Fate:
    """Where a lot's metal is.

    Attributes:
        received_g: what all its items together held.
        on_hand, gone, missing: items that hold some of it, most first: in the shop, sent or
            returned or sold, and not found at a count.
        lost_g: what works left over, signed; below zero where more came out than went in.
        parts: grams of each whereabouts; they add up to `received_g`. Unaccounted is what works
            lost and what is missing.
        parts_u: one standard uncertainty of each, None unless draws were given.
        received_u: the same of what was received, from the same draws.
        not_known: tags of items that hold metal of this lot, nobody knows how much.
    """

    received_g: float
    on_hand: tuple[Held, ...]
    gone: tuple[Held, ...]
    missing: tuple[Held, ...]
    lost_g: float
    parts: Mapping[Whereabouts, float]
    parts_u: Mapping[Whereabouts, float] | None
    received_u: float | None
    not_known: tuple[str, ...]


def masses_of(contents: Contents, tags: Iterable[str]) -> dict[str, Floats]:
    """Give the fine grams of every metal, and the weight, of items in the order of their tags.

    Grams are whole micrograms, the figures shown, so that what is shared out of them adds up.
    """
    places = contents.places(tags)
    masses = {GROSS: contents.gross_g[places]}
    for metal, balance in contents.balances.items():
        codes = balance.how[places]
        grams = np.where(codes == NOT_KNOWN_CODE, np.nan, balance.estimates[places])
        masses[metal] = np.where(codes == ABSENT, 0.0, np.round(grams, 6))
    return masses


class Origins:
    """Answers where metal came from and went, for one state of the book.

    Attributes:
        flow, edges: the items and works, as they are and as numbers.
    """

    def __init__(self, flow: Flow, masses: Masses, edges: Edges | None = None) -> None:
        """Take the flow and the grams of each metal in its items, in the flow's order."""
        self.flow = flow
        self.edges = edges_of(flow) if edges is None else edges
        self._masses = masses
        self._mixings: dict[str, Mixing] = {}
        self._lots = {
            source.name: number
            for number, source in enumerate(self.edges.sources)
            if source.kind is SourceKind.LOT
        }

    def records(self) -> list[object]:
        """Give the very many records that it holds, one beside the other."""
        edges, mixings = self.edges, self._mixings.values()
        lists = [one for mixing in mixings for one in (mixing.grams, mixing.parts, mixing.ends)]
        return [*edges.ins, *edges.outs, *edges.nodes_of, *edges.sources, *lists]

    @property
    def lots(self) -> tuple[str, ...]:
        """The lots that were received, in order."""
        return tuple(self._lots)

    @property
    def metals(self) -> tuple[str, ...]:
        """The metals that can be asked for."""
        return tuple(metal for metal in self._masses if metal != GROSS)

    @property
    def can_weigh(self) -> bool:
        """Whether weight on the scale can be asked for like a metal, as `GROSS`."""
        return GROSS in self._masses

    def mixing(self, metal: str) -> Mixing:
        """Give how the works mixed a metal; worked out when first asked for."""
        found = self._mixings.get(metal)
        if found is None:
            gross = None if metal == GROSS else self._masses.get(GROSS)
            found = mixing_of(self.edges, self._masses[metal], metal, gross)
            self._mixings[metal] = found
        return found

    def items_of(self, lot: str) -> tuple[str, ...]:
        """Give the tags of all that was received of a lot, in order."""
        return tuple(self.edges.tags[node] for node in self.edges.nodes_of[self._lots[lot]])

    def drawn(self, metal: str, draws: Floats) -> DrawnParts:
        """Prepare draws of all contents, shape (draws, items), for the questions below."""
        return DrawnParts(self.mixing(metal), draws)

    def drawn_from(
        self, contents: Contents, metal: str, count: int = DRAWS, look: Look = look_nowhere
    ) -> DrawnParts:
        """Draw all contents of a metal, the same in every run, for the questions below."""
        draws = contents.draws(metal, count, SEED)
        places = contents.places(self.edges.tags)
        u_g = contents.balances[metal].uncertainties[places]
        return DrawnParts(self.mixing(metal), draws[:, places], u_g, look)

    def of_item(self, tag: str, metal: str, drawn: DrawnParts | None = None) -> list[Share]:
        """Give the sources of an item's metal, largest first, what is not known last.

        Empty where no metal of that kind ever went into it.
        """
        mixing = self.mixing(metal)
        node = self.edges.place_of[tag]
        shares = mixing.back_from({node: 1.0}, mixing.parts)
        doubts: Mapping[int, float] = {}
        if drawn is not None and mixing.known[node]:
            doubts = drawn.scatters(mixing.back_from({node: drawn.uncut(node)}, drawn), node)
        whole = float(self._masses[metal][node])
        parts = [
            _share(mixing.sources[one], share, whole, doubts.get(one))
            for one, share in shares.items()
        ]
        return sorted(parts, key=_largest_first)

    def of_many(self, tags: Iterable[str], metal: str) -> dict[str, list[Share]]:
        """Give the sources of each of several items."""
        return {tag: self.of_item(tag, metal) for tag in tags}

    def by_source(self, tags: Iterable[str], metal: str) -> dict[Source, float]:
        """Give how many grams of several items together came from each source.

        Items of unknown content are left out; none of the items may have been made from another.
        """
        mixing = self.mixing(metal)
        grams = self._masses[metal]
        start: dict[int, float] = {}
        for tag in in_turns(tags):
            node = self.edges.place_of[tag]
            if mixing.known[node]:
                start[node] = float(grams[node])
        found = mixing.back_from(start, mixing.parts)
        return {mixing.sources[one]: amount for one, amount in found.items()}

    def by_source_drawn(self, tags: Iterable[str], drawn: DrawnParts) -> dict[Source, Floats]:
        """Give the same as `by_source`, for each draw."""
        mixing = drawn.mixing
        nodes = [self.edges.place_of[tag] for tag in tags]
        start = {node: drawn.uncut(node) for node in nodes if mixing.known[node]}
        found = mixing.back_from(start, drawn)
        return {mixing.sources[one]: amounts for one, amounts in found.items()}

    def fate_of(self, lot: str, metal: str, drawn: DrawnParts | None = None) -> Fate:
        """Give where a lot's metal is now.

        Raises:
            KeyError: when no such lot was received.
        """
        mixing = self.mixing(metal)
        source = self._lots[lot]
        shares, works = mixing.forward_from(source, mixing.parts, 1.0)
        items = len(self.edges.tags)
        held = {
            node: share * mixing.grams[node]
            for node, share in shares.items()
            if node < items and self.edges.user[node] == NOBODY
        }
        lost = sum(self._left_over(mixing, work, shares) for work in works)
        own = self.edges.nodes_of[source]
        parts = self._parts(held)
        parts[Whereabouts.UNACCOUNTED] += lost
        parts_u, received_u = self._doubts(source, own, drawn)
        return Fate(
            received_g=sum(mixing.grams[node] for node in own),
            on_hand=self._held(held, {State.ON_HAND}),
            gone=self._held(held, {State.SENT, State.RETURNED, State.SOLD}),
            missing=self._held(held, {State.MISSING}),
            lost_g=lost,
            parts=parts,
            parts_u=parts_u,
            received_u=received_u,
            not_known=self._not_known(mixing, [*own, *shares]),
        )

    def _left_over(self, mixing: Mixing, work: int, shares: Mapping[int, float]) -> float:
        """Give what a work leaves over of a source: what went in of it less what came out."""
        edges, grams = self.edges, mixing.grams
        into = sum(shares[node] * grams[node] for node in edges.ins[work] if node in shares)
        out = sum(shares[node] * grams[node] for node in edges.outs[work] if node in shares)
        return into - out

    def _parts(self, held: Mapping[int, float]) -> dict[Whereabouts, float]:
        parts = dict.fromkeys(Whereabouts, 0.0)
        for node, amount in held.items():
            parts[whereabouts(self._item(node))] += amount
        return parts

    def _doubts(
        self, source: int, own: list[int], drawn: DrawnParts | None
    ) -> tuple[dict[Whereabouts, float] | None, float | None]:
        if drawn is None:
            return None, None
        mixing = drawn.mixing
        shares, _ = mixing.forward_from(source, drawn, np.ones(drawn.count))
        nothing = np.zeros(drawn.count)
        parts = dict.fromkeys(Whereabouts, nothing)
        for node, share in shares.items():
            if node < len(self.edges.tags) and self.edges.user[node] == NOBODY:
                where = whereabouts(self._item(node))
                parts[where] = parts[where] + share * drawn.grams(node)
        received = sum((drawn.grams(node) for node in own), start=nothing)
        del parts[Whereabouts.UNACCOUNTED]  # what is missing is part of what is left over
        parts[Whereabouts.UNACCOUNTED] = received - sum(parts.values(), start=nothing)
        return {where: scatter(amounts) for where, amounts in parts.items()}, scatter(received)

    def _item(self, node: int) -> Item:
        return self.flow.items[self.edges.tags[node]]

    def _held(self, held: Mapping[int, float], states: set[State]) -> tuple[Held, ...]:
        found = [
            Held(self.edges.tags[node], state, amount)
            for node, amount in held.items()
            if amount > 0 and (state := self._item(node).state) in states
        ]
        return tuple(sorted(found, key=lambda one: (-one.fine_g, one.tag)))

    def _not_known(self, mixing: Mixing, nodes: Iterable[int]) -> tuple[str, ...]:
        tags = self.edges.tags
        return tuple(
            tags[node] for node in sorted(set(nodes)) if node < len(tags) and not mixing.known[node]
        )


def whereabouts(item: Item) -> Whereabouts:
    """Tell in which part of an account an item stands that no work used up."""
    if item.state is State.ON_HAND:
        return Whereabouts.IN_RESIDUES if item.is_residue else Whereabouts.ON_HAND
    return Whereabouts.UNACCOUNTED if item.state is State.MISSING else Whereabouts.OUT


def _share(source: Source, share: float, whole: float, doubt: float | None) -> Share:
    if source.kind is SourceKind.NOT_KNOWN:
        return Share(source, None, None, None)
    if np.isnan(whole):
        return Share(source, None, None, share)
    return Share(source, share * whole, doubt, share)


def _largest_first(share: Share) -> tuple[float, str]:
    return 1.0 if share.share is None else -share.share, share.source.name
