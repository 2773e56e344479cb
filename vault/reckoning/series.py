"""Stock over time: what was on hand on each day, by form, as it is now believed.

An item is on hand from the day on which it was made or received until the day on which it is used
up or leaves, and again from the day on which a count finds it. Its content is what all facts
together now say, also those that came later; what was believed at the time is in `reported`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Act, Entry
from vault.core.forms import is_residue, order_of
from vault.core.items import Item, State
from vault.core.metals import BY_SYMBOL
from vault.core.shop import Shop
from vault.core.turns import give_way, in_turns
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places
from vault.reckoning.edges import Floats
from vault.reckoning.micrograms import PER_GRAM, shown
from vault.reckoning.reported import Settled

MOST_DAYS = 120

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class StockSeries:
    """Stock of one metal over time.

    Attributes:
        days: rising; figures are those at the end of each day.
        forms: every form that ever held it, in stacking order.
        residues: which of them are residues.
        fine_g: one row of grams per form.
        total_g, u_g: the total and its standard uncertainty, with covariance.
        residues_g, residues_u_g: the same of all residues.
        not_known: how many items are left out on each day.
    """

    metal: str
    days: tuple[date, ...]
    forms: tuple[str, ...]
    residues: tuple[bool, ...]
    fine_g: tuple[tuple[float, ...], ...]
    total_g: tuple[float, ...]
    u_g: tuple[float, ...]
    residues_g: tuple[float, ...]
    residues_u_g: tuple[float, ...]
    not_known: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A day worth a line across the chart, with words."""

    day: date
    words: str
    entry: int


def sampled_days(shop: Shop, most: int = MOST_DAYS) -> tuple[date, ...]:
    """Give every day on which something happened, or as many days spread evenly if those are many.

    The first and the last day are always among them.
    """
    happened = sorted(
        {
            entry.when.day
            for entry in in_turns(shop.entries.values())
            if entry.number not in shop.struck and entry.act is not Act.STRIKE
        }
    )
    if len(happened) <= most:
        return tuple(happened)
    length = (happened[-1] - happened[0]).days
    steps = {round(at * length / (most - 1)) for at in range(most)}
    return tuple(happened[0] + timedelta(days=step) for step in sorted(steps))


def stays(item: Item, shop: Shop) -> Iterator[tuple[date, date | None]]:
    """Give the spans of days in which an item was on hand: from the first up to, without, the last.

    The last is None while it is on hand.
    """
    since: date | None = item.made_on
    for passage in item.passages:
        day = shop.entries[passage.entry].when.day
        if passage.state is State.ON_HAND:
            since = day
        elif since is not None:
            yield since, day
            since = None
    if since is not None:
        used_by = item.used_by
        yield since, None if used_by is None else shop.entries[used_by].when.day


def series_of(
    shop: Shop, contents: Contents, days: Sequence[date] | None = None
) -> dict[str, StockSeries]:
    """Give the stock of every metal over the given days, or over `sampled_days`."""
    chosen = sampled_days(shop) if days is None else tuple(days)
    presence = _Presence(shop, contents, chosen)
    return {metal: presence.of(metal) for metal in contents.metals} if chosen else {}


class _Presence:
    """Which items were on hand on which day.

    Attributes:
        place, first, past: one span each: the item, the index of the first day on which it was
            there, and of the first on which it was no longer.
    """

    def __init__(self, shop: Shop, contents: Contents, days: tuple[date, ...]) -> None:
        self.contents = contents
        self.days = days
        ordinals = np.array([day.toordinal() for day in days])
        forms = sorted({item.form for item in in_turns(shop.items.values())}, key=order_of)
        number_of = {form: at for at, form in enumerate(forms)}
        self.forms = tuple(forms)
        self.form = np.zeros(len(contents.tags), dtype=np.int64)
        place: list[int] = []
        begun: list[int] = []
        ended: list[int] = []
        for item in in_turns(shop.items.values()):
            here = contents.place_of[item.tag]
            self.form[here] = number_of[item.form]
            for since, until in stays(item, shop):
                place.append(here)
                begun.append(since.toordinal())
                ended.append(date.max.toordinal() if until is None else until.toordinal())
        self.place = np.array(place, dtype=np.int64)
        self.first = np.searchsorted(ordinals, begun)
        self.past = np.searchsorted(ordinals, ended)
        self.is_residue = np.array([is_residue(form) for form in forms], dtype=np.bool_)

    def of(self, metal: str) -> StockSeries:
        """Give the series of one metal."""
        codes = self.contents.balances[metal].how
        known = (codes != ABSENT) & (codes != NOT_KNOWN_CODE)
        figures = shown(self.contents, metal)
        fine = self._summed(self.form[self.place], figures[self.place], len(self.forms))
        silent = self._summed(
            np.zeros_like(self.place), (codes == NOT_KNOWN_CODE)[self.place].astype(np.int64), 1
        )[0]
        used: Bools = np.any(fine, axis=1)
        u_g, residues_u_g = self._doubts(metal, known)
        residues = fine[self.is_residue].sum(axis=0)
        return StockSeries(
            metal=metal,
            days=self.days,
            forms=tuple(form for form, is_used in zip(self.forms, used, strict=True) if is_used),
            residues=tuple(bool(one) for one in self.is_residue[used]),
            fine_g=tuple(_grams(row) for row in fine[used]),
            total_g=_grams(fine.sum(axis=0)),
            u_g=u_g,
            residues_g=_grams(residues),
            residues_u_g=residues_u_g,
            not_known=tuple(silent.tolist()),
        )

    def _summed(self, row: Places, amounts: Places, rows: int) -> Places:
        """Sum amounts by row and day: each is added on its first day and taken off on its last."""
        changes = np.zeros((rows, len(self.days) + 1), dtype=np.int64)
        np.add.at(changes, (row, self.first), amounts)
        np.subtract.at(changes, (row, self.past), amounts)
        totals: Places = np.cumsum(changes, axis=1)[:, :-1]
        return totals

    def _doubts(self, metal: str, known: Bools) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Give the uncertainty of the total and of all residues on each day."""
        is_residue_at = self.is_residue[self.form] if len(self.forms) else known
        groups: list[Places] = []
        group_of: list[tuple[int, int]] = []
        numbers: dict[bytes, int] = {}
        for day in range(len(self.days)):
            give_way()
            there = np.zeros(len(known), dtype=np.bool_)
            there[self.place[(self.first <= day) & (day < self.past)]] = True
            pair = []
            for mask in (there & known, there & known & is_residue_at):
                # A day on which nothing came or went has the group of the day before.
                key = np.packbits(mask).tobytes()
                if key not in numbers:
                    numbers[key] = len(groups)
                    groups.append(np.flatnonzero(mask))
                pair.append(numbers[key])
            group_of.append((pair[0], pair[1]))
        doubts = np.sqrt(self.contents.balances[metal].variances_of(groups))
        return (
            tuple(float(doubts[one]) for one, _ in group_of),
            tuple(float(doubts[one]) for _, one in group_of),
        )


def marks_of(shop: Shop, settled: Mapping[int, Settled]) -> tuple[Mark, ...]:
    """Give what was sent and settled, in order, with words for the chart.

    Args:
        shop: the book.
        settled: what settlements agreed beside the shop's own estimates, by entry; a settlement
            that is not in it is named without the comparison.
    """
    found = []
    for entry in in_turns(shop.entries.values()):
        if entry.number in shop.struck:
            continue
        if entry.act is Act.SEND:
            found.append(Mark(entry.when.day, _sent_words(entry), entry.number))
        elif entry.act is Act.SETTLE:
            words = _settled_words(entry, settled.get(entry.number))
            found.append(Mark(entry.when.day, words, entry.number))
    return tuple(found)


def _sent_words(entry: Entry) -> str:
    first = entry.lines[0]
    count = len(entry.lines)
    return f"{first.ref or 'items'} sent to {first.party}, {count} item{'s' * (count != 1)}"


def _settled_words(entry: Entry, settled: Settled | None) -> str:
    ref = entry.lines[0].ref
    compared = [
        f"{BY_SYMBOL[metal].name} {100 * one.agreed_g / one.own_g:.0f} %"
        for metal, one in (settled.metals.items() if settled is not None else ())
        if one.own_g is not None and one.own_g > 0
    ]
    return f"{ref} settled: {', '.join(compared)} of own estimate" if compared else f"{ref} settled"


def _grams(micrograms: Places) -> tuple[float, ...]:
    grams: Floats = micrograms / PER_GRAM
    return tuple(grams.tolist())
