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

from vault.core.daybook import Act, Entry
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import Figure
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.micrograms import micrograms
from vault.reckoning.stock import Stock, on_hand, stock_of

Reckon = Callable[[Flow], Contents]


@dataclass(frozen=True, slots=True)
class Report:
    """What was known at the end of a day.

    Attributes:
        day: that day.
        last_entry: the last entry that was known, 0 before the first.
        stock: what was on hand.
        first_figures: by tag and metal, the figures of items on hand that no earlier report
            gave; only metals of which something was known.
    """

    day: date
    last_entry: int
    stock: Stock
    first_figures: Mapping[str, Mapping[str, Figure]]


@dataclass(frozen=True, slots=True)
class Agreement:
    """What a settlement agreed of a metal, beside what the shop believed just before it.

    Attributes:
        agreed_g: content of the items that the settlement speaks of.
        own_g, own_u_g: the same as believed before, None where nothing was known of one of them.
    """

    agreed_g: float
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
        if entry.act is Act.SETTLE and entry.number not in done:
            agreed = _agreed(entry, shop)
            if agreed:
                metals = _compared(agreed, reckon(flow_of(shop)))
                yield Settled(entry.number, entry.when.day, entry.lines[0].ref, metals)
        shop.take(entry)


def _agreed(entry: Entry, shop: Shop) -> dict[str, dict[str, float]]:
    """Give agreed grams by metal and tag, on the refinery's weight or else on the shop's own."""
    agreed: dict[str, dict[str, float]] = {}
    for line in entry.lines:
        if not line.tag or not line.contents:
            continue
        gross = line.gross if line.gross is not None else shop.items[line.tag].gross
        if gross is None:
            continue
        for said in line.contents:
            agreed.setdefault(said.metal, {})[line.tag] = gross.grams * said.fineness.share
    return agreed


def _compared(
    agreed: Mapping[str, Mapping[str, float]], contents: Contents
) -> dict[str, Agreement]:
    compared = {}
    for metal, by_tag in agreed.items():
        total = contents.total(by_tag, metal)
        known = total.items == len(by_tag)
        compared[metal] = Agreement(
            agreed_g=sum(by_tag.values()),
            own_g=total.fine_g if known else None,
            own_u_g=total.u_g if known else None,
        )
    return compared
