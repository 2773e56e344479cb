"""Figures as they were known: the same reckoning, with only the facts up to a day.

A settlement changes what is believed of every cupel that went before. What was reported before it
stays as it was: these figures are worked out once, kept, and never overwritten.

Everything here comes one by one from a generator, for it takes a whole reckoning each time: who
asks can show how far it is, and stop by asking no more.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from vault.core.daybook import Act, Entry
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.core.shop import Shop
from vault.reckoning.contents import Contents, LearnedFactor, Total
from vault.reckoning.facts import Facts, Ints, facts_of
from vault.reckoning.guesses import DEFAULT
from vault.reckoning.micrograms import micrograms
from vault.reckoning.rows import said_weights
from vault.reckoning.stock import Stock, on_hand, stock_of
from vault.reckoning.weights import Weights
from vault.reckoning.wholes import agreed_grams

Reckon = Callable[[Flow], Contents]


@dataclass(frozen=True, slots=True)
class Report:
    """What was known at the end of a day.

    Attributes:
        day: that day.
        last_entry: the last entry that was known, 0 before the first.
        stock: what was on hand.
        factors: what residues were believed to keep.
        first_figures: by tag and metal, the figures of items on hand that no earlier report
            gave; only metals of which something was known.
    """

    day: date
    last_entry: int
    stock: Stock
    factors: tuple[LearnedFactor, ...]
    first_figures: Mapping[str, Mapping[str, Figure]]


@dataclass(frozen=True, slots=True)
class Agreement:
    """What a settlement agreed of a metal, beside what the shop believed just before it.

    Attributes:
        agreed_g, agreed_u_g: content of the items that the settlement speaks of.
        own_g, own_u_g: the same as believed before, None where nothing was known of one of them.
    """

    agreed_g: float
    agreed_u_g: float
    own_g: float | None
    own_u_g: float | None


@dataclass(frozen=True, slots=True)
class Settled:
    """One settlement: the shipment, and what was agreed of each metal."""

    entry: int
    day: date
    ref: str
    metals: Mapping[str, Agreement]


def month_ends(first: date, last: date) -> tuple[date, ...]:
    """Give the last day of every month that ended from the first day up to the last one."""
    ends = []
    here = first
    while (end := here.replace(day=monthrange(here.year, here.month)[1])) <= last:
        ends.append(end)
        here = end + timedelta(days=1)
    return tuple(ends)


def reports(
    entries: Iterable[Entry],
    days: Sequence[date],
    reckon: Reckon,
    already: Iterable[str] = (),
) -> Iterator[Report]:
    """Give what was known at the end of each of some days, one report after another.

    Args:
        entries: the whole daybook in order, struck entries and strikes too; an entry counts from
            the day on which it happened, and a strike from its own day.
        days: rising.
        reckon: works out the contents of a flow.
        already: tags whose figures an earlier report gave.
    """
    shop = Shop()
    waiting = iter(entries)
    pending = next(waiting, None)
    seen = set(already)
    for day in days:
        while pending is not None and pending.when.day <= day:
            shop.take(pending)
            pending = next(waiting, None)
        contents = reckon(flow_of(shop))
        yield Report(
            day=day,
            last_entry=shop.last_number,
            stock=stock_of(shop.items.values(), contents),
            factors=contents.house_factors,
            first_figures=_first_figures(shop, contents, seen),
        )


def _first_figures(shop: Shop, contents: Contents, seen: set[str]) -> dict[str, dict[str, Figure]]:
    found: dict[str, dict[str, Figure]] = {}
    for item in on_hand(shop.items.values()):
        if item.tag in seen:
            continue
        figures = {
            metal: Figure(micrograms(one.fine_g), micrograms(one.u_g), one.how)
            for metal, one in contents.of(item.tag).items()
            if one.determinable
        }
        if figures:
            seen.add(item.tag)
            found[item.tag] = figures
    return found


def settlements(
    entries: Iterable[Entry], reckon: Reckon, already: Iterable[int] = ()
) -> Iterator[Settled]:
    """Give what each settlement agreed beside what was believed just before, one after another.

    Args:
        entries: the whole daybook in order.
        reckon: works out the contents of a flow.
        already: settlements, by entry, that need not be looked at again.
    """
    done = set(already)
    shop = Shop()
    for entry in entries:
        looked_at = entry.act is Act.SETTLE and entry.number not in done
        if not (looked_at and any(line.contents for line in entry.lines)):
            shop.take(entry)
            continue
        contents = reckon(flow_of(shop))
        shop.take(entry)
        metals = {
            metal: compared(agreed, contents, metal)
            for metal, agreed in agreed_in(entry, shop, contents).items()
        }
        if metals:
            yield Settled(entry.number, entry.when.day, entry.lines[0].ref, metals)


@dataclass(frozen=True, slots=True)
class Agreed:
    """What one settlement agreed of a metal, line by line and as a whole, added up.

    Attributes:
        grams, u_g: the sum and one standard uncertainty.
        tags: the items that it is the metal of.
    """

    grams: float
    u_g: float
    tags: tuple[str, ...]


def agreed_in(entry: Entry, shop: Shop, contents: Contents) -> dict[str, Agreed]:
    """Give what a settlement that the shop has taken agreed of each metal.

    On the refinery's weight or else on the shop's own, with the doubts that the balance gives them.
    """
    refs = dict.fromkeys(line.ref for line in entry.lines)
    tags = [tag for ref in refs for tag in shop.shipment(ref)]
    facts = facts_of((shop.items[tag] for tag in tags), (), DEFAULT)
    places, weighed = contents.places(facts.tags), ~np.isnan(facts.gross_g)
    weights = Weights(
        np.where(weighed, facts.gross_g, contents.gross_g[places]),
        np.where(weighed, facts.gross_u_g, contents.gross_u_g[places]),
        weighed,
    )
    parts: dict[str, list[tuple[float, float, Ints]]] = {}
    for (grams, u), one, item in _parts(facts, weights, entry.number):
        if not np.isnan(grams):
            parts.setdefault(ALL_SYMBOLS[one], []).append((grams, u, item))
    return {
        metal: Agreed(
            grams=sum(grams for grams, _, _ in told),
            u_g=float(np.linalg.norm([u for _, u, _ in told])),
            tags=tuple(facts.tags[at] for at in np.unique(np.concatenate([x for _, _, x in told]))),
        )
        for metal, told in parts.items()
    }


def _parts(
    facts: Facts, weights: Weights, entry: int
) -> Iterator[tuple[tuple[float, float], int, Ints]]:
    """Give grams with their doubt, code of the metal and items of all that an entry agreed."""
    said, wholes = facts.sayings, facts.wholes
    gross, gross_u = said_weights(facts, weights)
    grams, u = gross * said.share, np.hypot(gross * said.u, said.share * gross_u)
    for at in np.flatnonzero(said.entry == entry).tolist():
        yield (float(grams[at]), float(u[at])), int(said.metal[at]), said.item[at : at + 1]
    grams, u = agreed_grams(facts, weights)
    for at in np.flatnonzero(wholes.entry == entry).tolist():
        items = wholes.item[wholes.whole == at]
        yield (float(grams[at]), float(u[at])), int(wholes.metal[at]), items


def compared(agreed: Agreed, contents: Contents, metal: str) -> Agreement:
    """Set what was agreed beside what is believed in some contents."""
    own = known_total(contents, agreed.tags, metal)
    return Agreement(
        agreed_g=agreed.grams,
        agreed_u_g=agreed.u_g,
        own_g=None if own is None else own.fine_g,
        own_u_g=None if own is None else own.u_g,
    )


def known_total(contents: Contents, tags: Sequence[str], metal: str) -> Total | None:
    """Give the metal of several items together; None where nothing is known of one of them.

    An item of which only other metals are known is taken to bring none of this one.
    """
    total = contents.total(tags, metal)
    if total.not_known or not total.items:
        return None
    silent = (
        not any(one.determinable for one in said.values())
        for said in map(contents.of, tags)
        if metal not in said
    )
    return None if any(silent) else total
