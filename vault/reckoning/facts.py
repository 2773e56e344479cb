"""The facts of a flow as flat arrays: weights, sayings, works and the edges between them.

Everything that the rows of the balance need is read off the items once, here; what follows works
on whole arrays. Positions are local to one `Facts`: items in the order of the flow, works in
the order of the daybook.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Process, Said
from vault.core.flow import Added, Work
from vault.core.items import Agreed, Item, Saying
from vault.core.knowledge import DECLARED, SETTLEMENT
from vault.core.metals import ALL_SYMBOLS
from vault.core.turns import in_turns
from vault.reckoning.guesses import (
    Guesses,
    fineness_u,
    spread_of,
    weight_u,
    weights_u,
)
from vault.reckoning.handbook import handbook
from vault.reckoning.oxides import is_lead, left_of
from vault.reckoning.residue_kinds import kinds_left

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

PROCESSES = tuple(Process)
METAL_CODE = {symbol: code for code, symbol in enumerate(ALL_SYMBOLS)}
KINDS: tuple[str, ...] = tuple(handbook("residues")["keep"])
_PROCESS_CODE = {process: code for code, process in enumerate(PROCESSES)}
_KIND_CODE = {kind: code for code, kind in enumerate(KINDS)}

# How a saying is known.
ASSAY, SETTLED, WORD = 0, 1, 2
NOBODY = -1
# A record set aside stays in the book and counts this many times less sure.
SET_ASIDE_TIMES = 1000.0
# Nothing is known better than to a millionth.
LEAST_SHARE_U = 1e-6


@dataclass(frozen=True, slots=True)
class Sayings:
    """Everything said of contents, one position per saying and metal.

    Attributes:
        item: the item's position.
        metal: code of the metal.
        share, u: fineness and its standard uncertainty, as fractions.
        relative: the part of u that is in proportion to the fineness, over it; 0 where the entry
            says u itself.
        source: ASSAY, SETTLED or WORD.
        entry: the entry that says it.
        gross_g: the weight it refers to, NaN where it is the item's own.
    """

    item: Ints
    metal: Ints
    share: Floats
    u: Floats
    relative: Floats
    source: Ints
    entry: Ints
    gross_g: Floats


@dataclass(frozen=True, slots=True)
class Wholes:
    """What settlements agreed of several items together, one position per settlement and metal.

    Attributes:
        metal: code of the metal.
        entry: the settlement.
        refs: its shipment's number.
        item, whole: the items of every whole.
        of, share, u: the shares agreed of every whole, as fractions; several add up.
        gross_g: the weight that a share refers to, NaN where it is that of all the items.
    """

    metal: Ints
    entry: Ints
    refs: tuple[str, ...]
    item: Ints
    whole: Ints
    of: Ints
    share: Floats
    u: Floats
    gross_g: Floats


@dataclass(frozen=True, slots=True)
class Additions:
    """Metal that things added carry, one position per thing and metal; NaN where not weighed."""

    work: Ints
    metal: Ints
    fine_g: Floats
    u_g: Floats


@dataclass(frozen=True, slots=True)
class Works:
    """The works, one position each.

    Attributes:
        number: their entries.
        process: code of the process.
        left_g: what the things added weigh after the fire, NaN where one was not weighed.
        cold_g: what they weighed when put in, NaN where one was not weighed.
        lead_g: lead added.
    """

    number: Ints
    process: Ints
    left_g: Floats
    cold_g: Floats
    lead_g: Floats


@dataclass(frozen=True, slots=True)
class Edges:
    """Items at one side of works, ordered by work and then as the entry names them."""

    item: Ints
    work: Ints


@dataclass(frozen=True, slots=True)
class Facts:
    """What the book says, as arrays.

    Attributes:
        tags, forms: of the items, in order.
        maker, user: position of the work that made or used an item, or `NOBODY`.
        kind: residue kind of an item as a product of its maker, or `NOBODY` for an aim.
        gross_g, gross_u_g: last weighing and its doubt, NaN where not weighed.
        gross_entry: entry of the last weighing, `NOBODY` where not weighed.
        used, made: the edges into works and out of them.
    """

    tags: tuple[str, ...]
    forms: tuple[str, ...]
    maker: Ints
    user: Ints
    kind: Ints
    gross_g: Floats
    gross_u_g: Floats
    gross_entry: Ints
    sayings: Sayings
    wholes: Wholes
    works: Works
    additions: Additions
    used: Edges
    made: Edges


def sums(groups: Ints, amounts: NDArray[Any], count: int) -> Floats:
    """Add amounts up by group, in the order in which they stand; no member gives nothing."""
    return np.bincount(groups, weights=amounts, minlength=count).astype(np.float64, copy=False)


def facts_of(items: Iterable[Item], works: Iterable[Work], guesses: Guesses) -> Facts:
    """Read items and works into arrays; both in the order of the daybook, and whole families."""
    listed = list(items)
    place_of = {item.tag: place for place, item in enumerate(in_turns(listed))}
    done = list(works)
    used = _edges(done, place_of, [work.used for work in done])
    made = _edges(done, place_of, [work.made for work in done])
    maker = np.full(len(listed), NOBODY, dtype=np.int64)
    user = maker.copy()
    maker[made.item] = made.work
    user[used.item] = used.work
    gross = _weights(listed, guesses)
    return Facts(
        tags=tuple(place_of),
        forms=tuple(item.form for item in listed),
        maker=maker,
        user=user,
        kind=_kinds(listed, done, place_of),
        gross_g=gross[0],
        gross_u_g=gross[1],
        gross_entry=gross[2].astype(np.int64),
        sayings=_sayings(listed, guesses),
        wholes=_wholes(listed, place_of, guesses),
        works=_works(done),
        additions=_additions(done),
        used=used,
        made=made,
    )


def _edges(done: list[Work], place_of: dict[str, int], sides: list[tuple[str, ...]]) -> Edges:
    item = np.fromiter((place_of[tag] for tags in in_turns(sides) for tag in tags), dtype=np.int64)
    sizes = np.fromiter((len(tags) for tags in sides), dtype=np.int64, count=len(done))
    return Edges(item, np.repeat(np.arange(len(done), dtype=np.int64), sizes))


def _weights(listed: list[Item], guesses: Guesses) -> Floats:
    """Give weight, doubt and entry of every item's last weighing, one row each."""
    found = np.full((3, len(listed)), np.nan)
    found[2] = NOBODY
    places = [place for place, item in enumerate(in_turns(listed)) if item.weighings]
    last = [listed[place].weighings[-1] for place in in_turns(places)]
    found[0, places] = np.array([one.gross.micrograms for one in in_turns(last)]) / 1e6
    told = [np.nan if one.u is None else one.u.micrograms for one in last]
    found[1, places] = np.array(told, dtype=np.float64) / 1e6
    found[2, places] = [one.entry for one in last]
    aside = np.isin(found[2], sorted(guesses.set_aside))
    unsaid = np.isnan(found[1]) & ~np.isnan(found[0])
    found[1, unsaid] = weights_u(found[0, unsaid])
    found[1, aside] *= SET_ASIDE_TIMES
    return found


def _sayings(listed: list[Item], guesses: Guesses) -> Sayings:
    rows: list[tuple[int, int, float, float, float, int, int, float]] = []
    for place, item in enumerate(in_turns(listed)):
        for saying in item.sayings:
            source = _source_of(saying)
            gross = np.nan if saying.gross is None else saying.gross.micrograms / 1e6
            times = SET_ASIDE_TIMES if saying.entry in guesses.set_aside else 1.0
            relative = spread_of(saying.how, item.form)[1] * times
            rows.extend(
                (
                    place,
                    METAL_CODE[said.metal],
                    said.fineness.share,
                    _doubt_of(said, saying.how, item.form, times),
                    relative if said.u is None else 0.0,
                    source,
                    saying.entry,
                    gross,
                )
                for said in saying.contents
            )
    table = np.array(rows, dtype=float).reshape(-1, 8).T
    whole = table[[0, 1, 5, 6]].astype(np.int64)
    return Sayings(
        item=whole[0],
        metal=whole[1],
        share=table[2],
        u=table[3],
        relative=table[4],
        source=whole[2],
        entry=whole[3],
        gross_g=table[7],
    )


def _wholes(listed: list[Item], place_of: dict[str, int], guesses: Guesses) -> Wholes:
    met: dict[tuple[int, int, str], Agreed] = {
        (one.entry, METAL_CODE[one.metal], one.ref): one
        for item in in_turns(listed)
        for one in item.agreed
    }
    agreed = [met[key] for key in sorted(met)]
    parts = [np.array([place_of[tag] for tag in one.tags], dtype=np.int64) for one in agreed]
    rows = [
        (at, said.fineness.share, u, np.nan if saying.gross is None else saying.gross.grams)
        for at, one in enumerate(agreed)
        for saying in one.sayings
        for said in saying.contents
        if said.metal == one.metal
        for times in [SET_ASIDE_TIMES if one.entry in guesses.set_aside else 1.0]
        for u in [_doubt_of(said, saying.how, "", times)]
    ]
    table = np.array(rows, dtype=float).reshape(-1, 4).T
    return Wholes(
        metal=np.array([METAL_CODE[one.metal] for one in agreed], dtype=np.int64),
        entry=np.array([one.entry for one in agreed], dtype=np.int64),
        refs=tuple(one.ref for one in agreed),
        item=np.concatenate([np.zeros(0, dtype=np.int64), *parts]),
        whole=np.repeat(np.arange(len(agreed)), [len(one) for one in parts]),
        of=table[0].astype(np.int64),
        share=table[1],
        u=table[2],
        gross_g=table[3],
    )


def _doubt_of(said: Said, how: str, form: str, times: float) -> float:
    """Give the standard uncertainty of a fineness as a fraction, as its entry says it or not."""
    share = said.fineness.share
    u = fineness_u(how, form, share) if said.u is None else said.u.share
    return max(u, LEAST_SHARE_U) * times


def _source_of(saying: Saying) -> int:
    if saying.how == DECLARED:
        return WORD
    return SETTLED if saying.how == SETTLEMENT else ASSAY


def _kinds(listed: list[Item], done: list[Work], place_of: dict[str, int]) -> Ints:
    kinds = np.full(len(listed), NOBODY, dtype=np.int64)
    for tag, kind in kinds_left(done, {item.tag: item.form for item in in_turns(listed)}):
        kinds[place_of[tag]] = _KIND_CODE[kind]
    return kinds


def _works(done: list[Work]) -> Works:
    grams = np.zeros((3, len(done)))
    for place, work in enumerate(in_turns(done)):
        for added in work.added:
            gross = np.nan if added.gross is None else added.gross.micrograms / 1e6
            grams[0, place] += gross * left_of(added.form)
            grams[1, place] += gross
            if is_lead(added.form) and added.gross is not None:
                grams[2, place] += gross
    return Works(
        number=np.fromiter((work.number for work in done), dtype=np.int64, count=len(done)),
        process=np.fromiter(
            (_PROCESS_CODE[work.process] for work in done), dtype=np.int64, count=len(done)
        ),
        left_g=grams[0],
        cold_g=grams[1],
        lead_g=grams[2],
    )


def _additions(done: list[Work]) -> Additions:
    rows: list[tuple[int, int, float, float]] = []
    for place, work in enumerate(in_turns(done)):
        for added in work.added:
            rows.extend((place, *one) for one in _carried(added))
    table = np.array(rows, dtype=float).reshape(-1, 4).T
    whole = table[:2].astype(np.int64)
    return Additions(whole[0], whole[1], table[2], table[3])


def _carried(added: Added) -> list[tuple[int, float, float]]:
    found = []
    for said in added.contents:
        share = said.fineness.ppb / 1e9
        # What is bought with a trace in it, such as lead with 2 g/t, is said to be nearly free of
        # it; so the trace is no less sure than itself, and not as wide as a customer's word.
        u = min(fineness_u(added.how or DECLARED, added.form, share), share)
        if said.u is not None:
            u = said.u.ppb / 1e9
        gross = np.nan if added.gross is None else added.gross.micrograms / 1e6
        u_g = hypot(gross * u, share * weight_u(gross)) if added.gross is not None else np.nan
        found.append((METAL_CODE[said.metal], gross * share, u_g))
    return found
