"""Accounts: the book's balance, a lot's account, and whose the metal on hand is.

All are in whole micrograms of the figures shown and close exactly:

    book  received + added + found = on hand + sent + returned + sold + missing + lost
    lot   received = on hand in products + in residues + out + unaccounted

What is not known is left out of both sides and named. Unaccounted is what works lost (signed: a
gain counts below zero) and what a count found missing.

Whose metal is follows from its origins: a toll lot's metal stays its customer's through every
melt; bought and own lots, things added and things found are the house's. The uncertainty of such
parts is their scatter over draws of all contents, since both an item's content and its shares
move, and move together; the covariance alone would leave the shares fixed and state too little.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from vault.core.items import State
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.core.turns import in_turns
from vault.reckoning.contents import NOT_KNOWN_CODE, Contents
from vault.reckoning.edges import HOUSE, NOBODY, Edges, Source, SourceKind
from vault.reckoning.micrograms import (
    at_best_worked_out,
    figure_of,
    micrograms,
    shared_out,
    shown,
    sum_of,
)
from vault.reckoning.mixing import Amount, DrawnParts, scale_to, scatter
from vault.reckoning.origins import Fate, Origins, Whereabouts
from vault.reckoning.stock import on_hand

_NO_DRAWS = np.zeros(1)


@dataclass(frozen=True, slots=True)
class BookBalance:
    """All of one metal that ever came, and where it is; whole micrograms.

    Attributes:
        received, added, found: in lots, in things put into works, and at counts.
        on_hand, sent, returned, sold, missing: in items that no work used up.
        lost: what works left over, each reckoned by itself and added up.
        unaccounted_u: one standard uncertainty of `unaccounted`, None unless draws were given.
        not_known: tags of items that came or ended and are in none of the figures.
    """

    received: int
    added: int
    found: int
    on_hand: int
    sent: int
    returned: int
    sold: int
    missing: int
    lost: int
    unaccounted_u: int | None
    not_known: tuple[str, ...]

    @property
    def out(self) -> int:
        """What left the shop."""
        return self.sent + self.returned + self.sold

    @property
    def unaccounted(self) -> int:
        """What works lost and what a count found missing."""
        return self.lost + self.missing

    @property
    def difference(self) -> int:
        """What came less where it is; zero, or the book is not one flow."""
        came = self.received + self.added + self.found
        return came - self.on_hand - self.out - self.unaccounted


@dataclass(frozen=True, slots=True)
class LotAccount:
    """Where one metal of a lot is now; the four parts add up to what was received.

    Attributes:
        received: what its items held; `NOTHING_KNOWN` where none of them is known.
        on_hand: in products on hand; `in_residues` is what lies in slag, cupels and dust.
        out: sent, returned and sold.
        unaccounted: lost in works or missing; `NOTHING_KNOWN` where not all that was received is
            known, since nothing can be said then.
        yield_share: on hand in products or out, over received; None where that is not known.
        fate: the items that hold it, and those of which nobody knows how much they hold.
    """

    metal: str
    received: Figure
    on_hand: Figure
    in_residues: Figure
    out: Figure
    unaccounted: Figure
    yield_share: float | None
    fate: Fate


@dataclass(frozen=True, slots=True)
class Ownership:
    """Whose one metal on hand is; all parts add up to the total shown.

    Attributes:
        owners: by customer, `HOUSE` for the shop, None for what cannot be told.
        owed: all customers together.
        ours: the house's.
        unclear: of unknown origin.
    """

    owners: Mapping[str | None, Figure]
    owed: Figure
    ours: Figure
    unclear: Figure


def book_balance(
    origins: Origins, contents: Contents, metal: str, drawn: DrawnParts | None = None
) -> BookBalance:
    """Draw up the balance of the whole book for one metal."""
    edges = origins.edges
    figures, unknown = _node_figures(edges, contents, metal)
    came = dict.fromkeys(SourceKind, 0)
    left = dict.fromkeys(State, 0)
    silent: list[str] = []
    signs = np.zeros(len(edges.tags))
    for place, tag in enumerate(edges.tags):
        root, is_end = edges.root[place], edges.user[place] == NOBODY
        state = origins.flow.items[tag].state
        if root != NOBODY:
            came[edges.sources[root].kind] += figures[place]
        if is_end:
            left[state] += figures[place]
        if not unknown[place]:
            signs[place] = (root != NOBODY) - (is_end and state is not State.MISSING)
        elif is_end or root != NOBODY:
            silent.append(tag)
    return BookBalance(
        received=came[SourceKind.LOT],
        added=sum(figures[len(edges.tags) :]),
        found=came[SourceKind.FOUND],
        on_hand=left[State.ON_HAND],
        sent=left[State.SENT],
        returned=left[State.RETURNED],
        sold=left[State.SOLD],
        missing=left[State.MISSING],
        lost=sum(
            sum(figures[node] for node in inside) - sum(figures[node] for node in outside)
            for inside, outside in zip(edges.ins, edges.outs, strict=True)
        ),
        unaccounted_u=None if drawn is None else micrograms(scatter(drawn.combined(signs))),
        not_known=tuple(silent),
    )


def _node_figures(edges: Edges, contents: Contents, metal: str) -> tuple[list[int], list[bool]]:
    places = contents.places(edges.tags)
    found = shown(contents, metal)[places].tolist()
    added = np.nan_to_num(edges.added_grams(metal)).tolist()
    unknown = contents.balances[metal].how[places] == NOT_KNOWN_CODE
    return found + [micrograms(grams) for grams in added], unknown.tolist()


def lot_account(
    origins: Origins,
    contents: Contents,
    lot: str,
    metal: str,
    drawn: DrawnParts | None = None,
) -> LotAccount:
    """Draw up a lot's account of one metal; without draws its parts carry no uncertainty.

    Raises:
        KeyError: when no such lot was received.
    """
    fate = origins.fate_of(lot, metal, drawn)
    total = contents.total(origins.items_of(lot), metal)
    received_ug = micrograms(fate.received_g)
    how = at_best_worked_out(total.how)
    doubts = _doubts(fate, total.u_g)
    parts = {
        where: Figure(amount, doubts[where], how)
        for where, amount in shared_out(fate.parts, received_ug).items()
    }
    recovered = fate.parts[Whereabouts.ON_HAND] + fate.parts[Whereabouts.OUT]
    certain = not total.not_known
    return LotAccount(
        metal=metal,
        received=figure_of(total, received_ug),
        on_hand=parts[Whereabouts.ON_HAND],
        in_residues=parts[Whereabouts.IN_RESIDUES],
        out=parts[Whereabouts.OUT],
        unaccounted=parts[Whereabouts.UNACCOUNTED] if certain else NOTHING_KNOWN,
        yield_share=recovered / fate.received_g if certain and fate.received_g > 0 else None,
        fate=fate,
    )


def _doubts(fate: Fate, exact_u_g: float) -> dict[Whereabouts, int | None]:
    """Give each part's doubt from the draws, stretched by what they are off for what was received.

    A lot that lies untouched then carries the same doubt on hand as when it was received.
    """
    if fate.parts_u is None or fate.received_u is None:
        return dict.fromkeys(Whereabouts)
    scale = exact_u_g / fate.received_u if fate.received_u > 0 else 1.0
    return {where: micrograms(scale * u_g) for where, u_g in fate.parts_u.items()}


def ownership(
    origins: Origins,
    contents: Contents,
    metal: str,
    drawn: DrawnParts | None = None,
) -> Ownership:
    """Tell whose one metal on hand is; without draws the parts carry no uncertainty."""
    here = [item.tag for item in on_hand(origins.flow.items.values())]
    total = contents.total(here, metal)
    if total.how is How.NOT_KNOWN:
        return Ownership({}, NOTHING_KNOWN, NOTHING_KNOWN, NOTHING_KNOWN)
    figures = shown(contents, metal)
    parts = _by_owner(origins.by_source(here, metal))
    whole = shared_out(parts, sum_of(figures, contents.places(here)))
    how = at_best_worked_out(total.how)
    draws = {} if drawn is None else _by_owner(origins.by_source_drawn(here, drawn))
    scale = scale_to(total.u_g, sum(draws.values(), start=_NO_DRAWS)) if draws else 1.0

    def figure(owners: Iterable[str | None]) -> Figure:
        some = [one for one in owners if one in whole]
        amounts = [draws[one] for one in some if one in draws]
        u_ug = micrograms(scale * scatter(sum(amounts, start=_NO_DRAWS))) if amounts else None
        return Figure(sum(whole[one] for one in some), u_ug if some else 0, how)

    return Ownership(
        owners={one: figure([one]) for one in whole},
        owed=figure(one for one in whole if one is not None and one != HOUSE),
        ours=figure([HOUSE]),
        unclear=figure([None]),
    )


def _by_owner(sources: Mapping[Source, Amount]) -> dict[str | None, Amount]:
    owners: dict[str | None, Amount] = {}
    for source, amount in in_turns(sources.items()):
        owner = source.owner
        owners[owner] = owners[owner] + amount if owner in owners else amount
    return owners
