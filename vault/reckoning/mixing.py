"""Perfect mixing: each work stirs what went in, and all that comes out is of that one mixture.

With x the fine grams of a metal and a its shares by source, at each work

    a_out = Σ_in x_i a_i / Σ_in x_i        part_i = x_i / Σ_in x_i

Every item is made before it is used, so shares follow by one walk along the works, without solving
anything: backward from an item to its sources, forward from a source to where it is now.

What the mixture of a work is cannot always be told, and is then never guessed:

- Grams below zero count as none, for shares only.
- Where all that went in leads back to one and the same source, the mixture is that source,
  whatever the amounts.
- Where an item of unknown content went in, it brought what is known to have come out beyond what
  is known to have gone in. That part of the mixture is called "not known" and named after the
  item, unless the unknown items of this work all lead back to one and the same source.
  It cannot have brought more than it weighs.
- Where no such rest is left, unknown items that weigh no more than a twentieth of the metal known
  to have gone in are counted at half their weight: they held something between nothing and all of
  it, and no share of the others is off by more than a fortieth. A bead of a fifth of a gram must
  not hide where a bar of a kilogram came from.
- Where they weigh more, or metal came out where none went in, all that comes out is of an unknown
  mixture, named after what went in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from vault.core.turns import in_turns
from vault.reckoning.edges import (
    GROSS,
    HOUSE,
    NOBODY,
    Edges,
    Floats,
    Places,
    Source,
    SourceKind,
)

# Marks a work in which the metal takes no part; all others are mixed, or have one source.
MIXED = -1
EMPTY = -2
# Unknown items up to this part of the metal known to have gone in hide nothing.
_LITTLE = 0.05

Amount = TypeVar("Amount", float, Floats)
Amount_co = TypeVar("Amount_co", float, Floats, covariant=True)
Bools = NDArray[np.bool_]
# Called time and again in a long walk: the one who asked may pause or end it there.
Look = Callable[[], None]


def look_nowhere() -> None:
    """Let a walk go on to its end."""


class Rows(Protocol[Amount_co]):
    """Amounts by node: a plain number each, or one number for each of many draws."""

    def __getitem__(self, node: int, /) -> Amount_co:
        """Give the amount of a node."""


@dataclass(frozen=True, slots=True)
class Mixing:
    """How the works of a book mixed one metal.

    Attributes:
        edges: the flow.
        grams: by node, cut at zero, zero where not known.
        known: by node whether its content is known.
        parts: by node its share in the feed of the work that used it.
        feeds: by node whether that share is above zero.
        sources: those of the flow, and after them what is not known.
        roots: by node the source at which a walk backward ends, or `NOBODY`.
        ends: by work the source that it is wholly of, or `MIXED`, or `EMPTY`.
        ended: the works that are wholly of one source, by that source.
    """

    edges: Edges
    grams: list[float]
    known: list[bool]
    parts: list[float]
    feeds: list[bool]
    sources: tuple[Source, ...]
    roots: list[int]
    ends: list[int]
    ended: Mapping[int, list[int]]

    def back_from(self, start: Mapping[int, Amount], parts: Rows[Amount]) -> dict[int, Amount]:
        """Lead amounts in some nodes back to their sources.

        Args:
            start: amounts by node; a node in it must not stand upstream of another.
            parts: `self.parts`, or the same for many draws.

        Returns:
            Amounts by source; they add up to what was asked, but for what went through works
            that the metal takes no part in.
        """
        found: dict[int, Amount] = {}
        waiting: dict[int, Amount] = {}
        for node, amount in in_turns(start.items()):
            root = self.edges.root[node]
            if root == NOBODY:
                waiting[node] = amount
            else:
                found[root] = found[root] + amount if root in found else amount
        for work in in_turns(self._works_behind(waiting)):
            taken = [waiting.pop(node) for node in self.edges.outs[work] if node in waiting]
            whole = sum(taken[1:], start=taken[0])
            end = self.ends[work]
            if end >= 0:
                found[end] = found[end] + whole if end in found else whole
            elif end == MIXED:
                self._pass_back(work, whole, parts, waiting, found)
        return found

    def _pass_back(
        self,
        work: int,
        whole: Amount,
        parts: Rows[Amount],
        waiting: dict[int, Amount],
        found: dict[int, Amount],
    ) -> None:
        for node in self.edges.ins[work]:
            if self.feeds[node]:
                amount = whole * parts[node]
                root = self.roots[node]
                if root == NOBODY:
                    waiting[node] = amount
                else:
                    found[root] = found[root] + amount if root in found else amount

    def _works_behind(self, nodes: Iterable[int]) -> list[int]:
        """Give every work that a walk backward meets, last first."""
        maker, roots, feeds = self.edges.maker, self.roots, self.feeds
        met = {maker[node] for node in nodes}
        waiting = [work for work in met if self.ends[work] == MIXED]
        while waiting:
            for node in self.edges.ins[waiting.pop()]:
                work = maker[node]
                if work not in met and feeds[node] and roots[node] == NOBODY:
                    met.add(work)
                    if self.ends[work] == MIXED:
                        waiting.append(work)
        return sorted(met, reverse=True)

    def forward_from(
        self, source: int, parts: Rows[Amount], whole: Amount
    ) -> tuple[dict[int, Amount], list[int]]:
        """Give the share that a source has in every node that it reached.

        Args:
            source: its number, of a source that the flow itself has.
            parts: `self.parts`, or the same for many draws.
            whole: one, or as many ones as there are draws.

        Returns:
            Shares by node, and the works met, in order.
        """
        own = self.edges.nodes_of[source]
        shares = {node: whole for node in own if self.roots[node] == source}
        works = self._works_ahead(shares, source)
        for work in works:
            end = self.ends[work]
            if end == source:
                share = whole
            elif end == MIXED:
                share = 0.0 * whole
                for node in self.edges.ins[work]:
                    if node in shares and self.feeds[node]:
                        share = share + shares[node] * parts[node]
            else:
                continue
            for node in self.edges.outs[work]:
                if self.roots[node] == NOBODY:
                    shares[node] = share
        return shares, works

    def _works_ahead(self, nodes: Iterable[int], source: int) -> list[int]:
        user, outs, roots = self.edges.user, self.edges.outs, self.roots
        met = {user[node] for node in nodes} | set(self.ended.get(source, ()))
        met.discard(NOBODY)
        waiting = list(met)
        while waiting:
            here = waiting.pop()
            if self.ends[here] not in {MIXED, source}:
                continue
            for node in outs[here]:
                work = user[node]
                if work != NOBODY and work not in met and roots[node] == NOBODY:
                    met.add(work)
                    waiting.append(work)
        return sorted(met)


def mixing_of(edges: Edges, fine_g: Floats, metal: str, gross_g: Floats | None = None) -> Mixing:
    """Work out how a metal was mixed, in one pass over the edges.

    Args:
        edges: the flow.
        fine_g: grams by place, NaN where not known, zero where there is none.
        metal: its symbol, for what things added carry of it.
        gross_g: weight by place in grams, NaN where not known: the most that an unknown item can
            hold. Without it nothing bounds them.
    """
    weights = np.full(len(fine_g), np.nan) if gross_g is None else gross_g
    return _Stirring(
        edges,
        np.concatenate([fine_g, edges.added_grams(metal)]),
        np.concatenate([weights, edges.added_grams(GROSS)]),
    ).mixing()


class _Stirring:
    """Works out a `Mixing`; the plain works by whole arrays, those with something unknown singly.

    Attributes:
        fed, out: grams known to have gone into and come out of each work.
        most: by node the most that it can hold, infinite where nobody knows.
    """

    def __init__(self, edges: Edges, grams: Floats, gross_g: Floats) -> None:
        self.edges = edges
        self.most = np.where(np.isnan(gross_g), np.inf, gross_g)
        self.raw = grams
        self.unknown = np.isnan(grams)
        self.grams = np.where(self.unknown, 0.0, np.maximum(grams, 0.0))
        self.weights = self.grams.copy()
        self.sources = list(edges.sources)
        self.roots = edges.root.copy()
        self.in_nodes, in_starts = flat(edges.ins)
        self.out_nodes, out_starts = flat(edges.outs)
        self.fed = summed(self.grams[self.in_nodes], in_starts)
        self.out = summed(self.grams[self.out_nodes], out_starts)
        self.blind = summed(self.unknown[self.in_nodes].astype(float), in_starts) > 0
        stirs = summed(np.nan_to_num(np.abs(grams))[self.out_nodes], out_starts) > 0
        self.ends = np.where(self.fed > 0, MIXED, EMPTY)
        self.odd = np.flatnonzero(self.blind | ((self.fed == 0) & stirs))

    def mixing(self) -> Mixing:
        if self.odd.size:
            self._settle_odd_works()
        fed = self.fed[np.array(self.edges.user, dtype=np.int64)] if self.fed.size else self.raw
        used = (np.array(self.edges.user) != NOBODY) & (fed > 0)
        parts = np.divide(self.weights, fed, out=np.zeros_like(self.weights), where=used)
        return Mixing(
            edges=self.edges,
            grams=self.grams.tolist(),
            known=(~self.unknown).tolist(),
            parts=parts.tolist(),
            feeds=(parts > 0).tolist(),
            sources=tuple(self.sources),
            roots=self.roots,
            ends=self.ends.tolist(),
            ended=self._ended(),
        )

    def _ended(self) -> dict[int, list[int]]:
        ended: dict[int, list[int]] = {}
        for work in in_turns(np.flatnonzero(self.ends >= 0).tolist()):
            end = int(self.ends[work])
            ended.setdefault(end, []).append(work)
        return ended

    def _settle_odd_works(self) -> None:
        may_carry = (self.unknown | (self.raw != 0)).tolist()
        itself = list(range(len(self.edges.sources)))
        of_work, of_node = self.edges.alone(itself, counts=may_carry)
        names = sorted({one.owner or HOUSE for one in self.edges.sources})
        number_of = {name: number for number, name in enumerate(names)}
        owners = [number_of[one.owner or HOUSE] for one in self.edges.sources]
        owner_of_work, owner_of_node = self.edges.alone(owners, counts=may_carry)
        called: dict[int, str | None] = {NOBODY: None, **dict(enumerate(names))}
        for work in in_turns(self.odd.tolist()):
            strangers = [node for node in self.edges.ins[work] if self.unknown[node]]
            brought = self._brought(work, strangers)
            if of_work[work] != NOBODY:
                self.ends[work] = of_work[work]
            elif brought > 0:
                self._bring(work, strangers, brought)
                one_source = {of_node[node] for node in strangers}
                if len(one_source) > 1 or NOBODY in one_source:
                    for node in strangers:
                        self._cut(node, work, called[owner_of_node[node]])
            else:
                self.ends[work] = self._lose_sight(work, called[owner_of_work[work]])

    def _brought(self, work: int, strangers: list[int]) -> float:
        """Give what the unknown items of a work brought, zero where that cannot be told."""
        most = float(self.most[strangers].sum())
        rest = float(self.out[work] - self.fed[work])
        if strangers and rest > 0:
            return min(rest, most)
        return most / 2 if most <= _LITTLE * self.fed[work] else 0.0

    def _bring(self, work: int, strangers: list[int], brought: float) -> None:
        """Let the unknown items of a work have brought so much, each by what it can hold."""
        most = self.most[strangers]
        even = np.full(len(strangers), 1.0 / len(strangers))
        self.weights[strangers] = brought * (most / most.sum() if np.isfinite(most.sum()) else even)
        self.fed[work] += brought
        self.ends[work] = MIXED

    def _cut(self, node: int, work: int, owner: str | None) -> None:
        """Make an unknown item a source of its own."""
        name = f"not known: {self.edges.name_of(node)}"
        self.roots[node] = len(self.sources)
        self.sources.append(Source(SourceKind.NOT_KNOWN, name, owner, self.edges.numbers[work]))

    def _lose_sight(self, work: int, owner: str | None) -> int:
        names = [self.edges.name_of(node) for node in self.edges.ins[work]]
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        entry = self.edges.numbers[work]
        name = f"not known: {', '.join(names[:3])}{more}, entry {entry}"
        self.sources.append(Source(SourceKind.NOT_KNOWN, name, owner, entry))
        return len(self.sources) - 1


class DrawnParts:
    """The parts of a mixing for many draws of its contents, worked out where they are asked for.

    What is not known, and a feed that a draw leaves without any metal, keep the parts of the
    estimate; the known ones share what is left. Rows are by draw.
    """

    def __init__(
        self,
        mixing: Mixing,
        draws: Floats,
        u_g: Floats | None = None,
        look: Look = look_nowhere,
    ) -> None:
        """Prepare the parts.

        Args:
            mixing: how the metal was mixed.
            draws: of all items, shape (draws, places).
            u_g: their exact doubts, if known.
            look: called time and again while they are asked for; it may end that by raising.
        """
        self.mixing = mixing
        self._look = look
        self._u_g = u_g
        self.count = len(draws)
        # All at once: item by item, telling what is no number took a third of a large book's sums.
        self._drawn = np.nan_to_num(np.array(draws.T, order="C"), copy=False)
        self._feeds: dict[int, Floats] = {}
        self._items = len(mixing.edges.tags)

    def grams(self, node: int) -> Floats:
        """Give the grams of a node, cut at zero, by draw."""
        if node >= self._items or not self.mixing.known[node]:
            return np.full(self.count, self.mixing.grams[node])
        cut: Floats = np.maximum(self._drawn[node], 0.0)
        return cut

    def uncut(self, node: int) -> Floats:
        """Give the grams of an item, by draw, below zero where they fall there."""
        grams: Floats = self._drawn[node]
        return grams

    def combined(self, weights: Floats) -> Floats:
        """Give Σ weight × grams over all items, uncut, by draw."""
        total: Floats = weights @ self._drawn
        return total

    def scatters(self, amounts: Mapping[int, Floats], node: int) -> dict[int, float]:
        """Give the scatter of what came from each source, of what an item holds.

        A hundred draws tell a scatter to 7 % only. Scaled by what they are off for the whole
        item, a source that gave all of it carries exactly the item's own uncertainty.
        """
        exact = None if self._u_g is None else float(self._u_g[node])
        scale = scale_to(exact, self.uncut(node))
        return {one: scale * scatter(some) for one, some in amounts.items()}

    def __getitem__(self, node: int) -> Floats:
        self._look()
        mixing = self.mixing
        parts = np.full(self.count, mixing.parts[node])
        if not mixing.known[node]:
            return parts
        work = mixing.edges.user[node]
        inside = mixing.edges.ins[work]
        feed = self._feeds.get(work)
        if feed is None:
            feed = np.zeros(self.count)
            for one in inside:
                feed += self.grams(one)
            self._feeds[work] = feed
        # What unknown items brought keeps its part; the known ones share the rest draw by draw.
        rest = 1.0 - sum(mixing.parts[one] for one in inside if not mixing.known[one])
        np.divide(rest * self.grams(node), feed, out=parts, where=feed > 0)
        return parts


def scatter(amounts: Floats) -> float:
    """Give the standard deviation of draws."""
    return float(np.std(amounts, ddof=1))


def scale_to(exact: float | None, whole: Floats) -> float:
    """Give by what the scatter of draws of a whole must be stretched to be the exact one."""
    drawn = scatter(whole)
    return 1.0 if exact is None or np.isnan(exact) or drawn <= 0 else exact / drawn


def flat(lists: list[tuple[int, ...]]) -> tuple[Places, Places]:
    """Give lists one after another, and where each begins."""
    lengths = np.fromiter(map(len, lists), dtype=np.int64, count=len(lists))
    starts = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int64)
    values = (node for one in lists for node in one)
    return np.fromiter(values, dtype=np.int64, count=int(lengths.sum())), starts


def summed(values: Floats, starts: Places) -> Floats:
    """Sum runs of values, none of them empty, that begin at the given places."""
    return np.add.reduceat(values, starts) if len(values) else np.zeros(0)
