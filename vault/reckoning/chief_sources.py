"""The chief sources of every item in a table: the few that gave it most of its metal, and whose.

One walk along all works carries the shares by source of each mixture. A source that gave less than
a ten-thousandth is no longer carried by name but in one sum with its owner's others, so that the
most mixed bar stays short while whose the metal is stays right.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from vault.core.turns import in_turns
from vault.reckoning.edges import GROSS, NOBODY, Source, SourceKind
from vault.reckoning.mixing import EMPTY, MIXED, Look, Mixing, look_nowhere
from vault.reckoning.origins import Origins

LEAST_SHARE = 1e-4
# Mixtures are shortened only when they have grown to this many sources.
SHORT_ENOUGH = 48
NAMED = 3

Shares = dict[int, float]
# How much it counts, how its metal was mixed, and its shares by source.
Part = tuple[float, Mixing, Shares]


@dataclass(frozen=True, slots=True)
class ChiefSources:
    """What an item is mostly made of, all its metals together by their fine weight.

    Attributes:
        sources: at most three that gave most, largest first.
        more: how many further sources gave at least a ten-thousandth.
        owner: whose most of it is; None where nobody knows.
        owner_share: that one's share.
    """

    sources: tuple[Source, ...]
    more: int
    owner: str | None
    owner_share: float


def chief_sources(
    origins: Origins, tags: Iterable[str], look: Look = look_nowhere
) -> dict[str, ChiefSources]:
    """Give the chief sources of each item.

    An item as it was received is its lot's, whatever it holds. Another goes by the metals of which
    it is known how much there is; failing that by those that it may hold, each counting alike; and
    failing that by weight, without what was added. One of which nothing can be said is left out.

    Args:
        origins: where everything came from.
        tags: of the items.
        look: called time and again; it may end the walk by raising.
    """
    edges = origins.edges
    found: dict[str, ChiefSources] = {}
    wanted: set[int] = set()
    for tag in in_turns(tags):
        node = edges.place_of[tag]
        if edges.root[node] == NOBODY:
            wanted.add(node)
        else:
            source = edges.sources[edges.root[node]]
            found[tag] = ChiefSources((source,), 0, source.owner, 1.0)
    known: dict[int, list[Part]] = {}
    guessed: dict[int, list[Part]] = {}
    for metal in origins.metals:
        mixing = origins.mixing(metal)
        for node, shares in _Walk(mixing, wanted, look).mixtures():
            if not mixing.known[node]:
                guessed.setdefault(node, []).append((1.0, mixing, shares))
            elif mixing.grams[node] > 0:
                known.setdefault(node, []).append((mixing.grams[node], mixing, shares))
    parts = guessed | known
    parts |= _by_weight(origins, wanted - parts.keys(), look)
    for node, some in parts.items():
        look()
        found[edges.tags[node]] = _chief(some)
    return found


def _by_weight(origins: Origins, wanted: set[int], look: Look) -> dict[int, list[Part]]:
    if not wanted or not origins.can_weigh:
        return {}
    mixing = origins.mixing(GROSS)
    found: dict[int, list[Part]] = {}
    for node, shares in _Walk(mixing, wanted, look).mixtures():
        kept = {
            number: share
            for number, share in shares.items()
            if mixing.sources[_source(number)].kind is not SourceKind.ADDED
        }
        whole = sum(kept.values())
        if whole > 0:
            parts = {number: share / whole for number, share in kept.items()}
            found[node] = [(1.0, mixing, parts)]
    return found


class _Walk:
    """Carries mixtures along the works; negative keys are the sums of one owner's small parts."""

    def __init__(self, mixing: Mixing, wanted: set[int], look: Look) -> None:
        self.mixing = mixing
        self.look = look
        self.wanted = wanted
        owners = [one.owner for one in mixing.sources]
        first: dict[str | None, int] = {}
        # Stands for all small parts of an owner: minus one minus its first source's number.
        self.rest_of = [-1 - first.setdefault(one, at) for at, one in enumerate(owners)]

    def mixtures(self) -> list[tuple[int, Shares]]:
        """Give the shares by source of every wanted node that a work made."""
        edges = self.mixing.edges
        found: list[tuple[int, Shares]] = []
        made: dict[int, Shares] = {}
        left: dict[int, int] = {}
        for work, outs in enumerate(edges.outs):
            self.look()
            end = self.mixing.ends[work]
            if end == EMPTY:
                continue
            shares = self._stirred(work, made, left) if end == MIXED else {end: 1.0}
            made[work] = shares
            left[work] = sum(edges.user[node] != NOBODY for node in outs)
            found.extend((node, shares) for node in outs if node in self.wanted)
        return found

    def _stirred(self, work: int, made: dict[int, Shares], left: dict[int, int]) -> Shares:
        mixing = self.mixing
        shares: Shares = {}
        for node in mixing.edges.ins[work]:
            maker = mixing.edges.maker[node]
            if mixing.feeds[node]:
                self._add(shares, node, made.get(maker), mixing.parts[node])
            if maker in left:
                left[maker] -= 1
                if not left[maker]:  # the last that this mixture went into: forget it
                    del left[maker], made[maker]
        return self._shortened(shares) if len(shares) > SHORT_ENOUGH else shares

    def _add(self, shares: Shares, node: int, mixture: Shares | None, part: float) -> None:
        root = self.mixing.roots[node]
        if root != NOBODY:
            shares[root] = shares.get(root, 0.0) + part
        elif mixture is not None:
            for source, share in mixture.items():
                shares[source] = shares.get(source, 0.0) + part * share

    def _shortened(self, shares: Shares) -> Shares:
        kept: Shares = {}
        for source, share in shares.items():
            small = share < LEAST_SHARE and source >= 0
            key = self.rest_of[source] if small else source
            kept[key] = kept.get(key, 0.0) + share
        return kept


def _source(number: int) -> int:
    """Give a source's number, or that which stands for the small parts of its owner."""
    return number if number >= 0 else -1 - number


def _chief(parts: list[Part]) -> ChiefSources:
    whole = sum(counts for counts, _, _ in parts)
    by_source: dict[Source, float] = {}
    by_owner: dict[str | None, float] = {}
    for counts, mixing, shares in parts:
        for number, share in shares.items():
            source = mixing.sources[_source(number)]
            amount = counts * share / whole
            by_owner[source.owner] = by_owner.get(source.owner, 0.0) + amount
            if number >= 0:
                by_source[source] = by_source.get(source, 0.0) + amount
    ordered = sorted(by_source, key=lambda one: (-by_source[one], one.name))
    counted = [one for one in ordered if by_source[one] >= LEAST_SHARE]
    owner = max(by_owner, key=lambda one: (by_owner[one], one is not None, one or ""))
    chief = tuple(counted[:NAMED])
    return ChiefSources(chief, len(counted) - len(chief), owner, by_owner[owner])
