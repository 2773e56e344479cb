"""Turnover: what of each class of residues was kept, came and was moved on in a calendar year.

A class is a form: spent cupels, slag, dust, crucibles. For each class and calendar year

    S1 = S0 + G − R − otherwise,

S0 the stock on 1 January, G what was made, received or found, R what was moved on: sent, sold or
worked up here. What went back to customers, what is missing, and what cold work (crushing,
blending, dividing …) took from the class and did not give back to it, went otherwise: it is no
longer there, and nobody can show that its metal was won. A rule against keeping residues for ever
asks for a share of S0 that R must come to within the year.

Only weights off a scale count; what was never weighed is counted by number beside them. A thing has
one weight in every year, its last: so one year ends with what the next one begins with, also where
something was weighed again. A day is that of the shop's own calendar. What was struck never was.

Source of the shape: US 40 CFR 261.1(c)(8) and 266.70(c), read in copies of states; a class counts
by itself, R = S0 + G − S1, at least 0.75·S0 in the calendar year. The law differs by place.

Example: of 120 kg kept on 1 January and 60 kg made, 60 kg are left at the end.

>>> kilos = [Amount(1, one * 1_000_000_000, 0) for one in (120, 60, 120, 60)]
>>> year = ClassYear("slag", 2031, date(2031, 12, 31), *kilos)
>>> year.share, judged(year, Fraction(3, 4), date(2032, 1, 1))
(Fraction(1, 1), <Judgement.MET: 'met'>)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction

from vault.core.daybook import Act, Entry, Role
from vault.core.forms import RESIDUE_FORMS
from vault.core.items import Item, State
from vault.core.shop import Shop
from vault.core.turnover import NOTHING, Amount, ClassYear, Judgement
from vault.reckoning.guesses import COLD


def judged(year: ClassYear, needed: Fraction, today: date) -> Judgement:
    """Say whether a class met a share of S0; things not weighed never help it to meet it.

    With nothing kept on 1 January there is nothing to move on, and it is met.
    """
    opening, share = year.opening, year.share
    if opening.items == 0:
        return Judgement.MET
    if share is not None and share >= needed:
        # What was kept unweighed may be more than was moved on.
        return Judgement.NOT_SAID if opening.not_weighed else Judgement.MET
    if today <= date(year.year, 12, 31):
        return Judgement.OPEN
    is_sure = share is not None and not year.moved_on.not_weighed
    return Judgement.NOT_MET if is_sure else Judgement.NOT_SAID


def still_to_move_ug(year: ClassYear, needed: Fraction) -> int:
    """Give what is still to be moved on to come to a share of S0, weighed things alone."""
    return max(0, round(needed * year.opening.gross_ug) - year.moved_on.gross_ug)


def told_until(shop: Shop, today: date) -> date:
    """Give the last day to be told: today, or that of the last entry if it is dated later."""
    return today if shop.latest is None else max(today, shop.latest.day)


def turnover(shop: Shop, until: date) -> dict[str, tuple[ClassYear, ...]]:
    """Give the years of every class that was ever kept, the first year first.

    Args:
        shop: the book.
        until: the last day to be told; what happens later is left out.
    """
    reshaped = frozenset(_reshapings(shop))
    flows: dict[str, dict[int, dict[str, Amount]]] = {}
    for item in shop.items.values():
        if not item.is_residue:
            continue
        weight = amount_of(item)
        for day, way in _ways(item, shop, reshaped):
            if day <= until:
                year = flows.setdefault(item.form, {}).setdefault(day.year, {})
                year[way] = year.get(way, NOTHING) + weight
    return {
        form: tuple(_years(form, flows[form], until)) for form in RESIDUE_FORMS if form in flows
    }


def first_dates(shop: Shop, tags: Iterable[str]) -> dict[str, date]:
    """Give since when residues have been kept, by tag, for these and what went into them.

    What cold work made of residues is as old as the oldest of its class that went in.
    """
    found: dict[str, date] = {}
    for tag in tags:
        # A stack, since a drum can be blended with what was left of it any number of times.
        waiting = [tag]
        while waiting:
            item = shop.items[waiting[-1]]
            before = _reshaped_into(item, shop)
            first = [one for one in before if one not in found]
            if first:
                waiting += first
            else:
                found[waiting.pop()] = min((item.made_on, *(found[one] for one in before)))
    return found


def _years(
    form: str, flows: Mapping[int, Mapping[str, Amount]], until: date
) -> Iterator[ClassYear]:
    opening = NOTHING
    for year in range(min(flows), until.year + 1):
        told = {way: flows.get(year, {}).get(way, NOTHING) for way in _WAYS}
        reshaped = told.pop("reshaped from") - told.pop("reshaped into")
        gained = told.pop("gained")
        moved_on = told["sent"] + told["sold"] + told["worked"]
        closing = opening + gained - moved_on - told["returned"] - told["missing"] - reshaped
        last = min(until, date(year, 12, 31))
        yield ClassYear(
            form, year, last, opening, gained, moved_on, closing, **told, reshaped=reshaped
        )
        opening = closing


_WAYS = (
    "gained", "reshaped into",
    "sent", "sold", "worked", "returned", "missing", "reshaped from",
)  # fmt: skip
_LEFT = {
    State.SENT: "sent",
    State.SOLD: "sold",
    State.RETURNED: "returned",
    State.MISSING: "missing",
    State.ON_HAND: "gained",
}


def _ways(
    item: Item, shop: Shop, reshaped: frozenset[tuple[int, str]]
) -> Iterator[tuple[date, str]]:
    """Give each day on which an item came or went, and how."""
    is_from_cold = (item.made_by, item.form) in reshaped
    yield item.made_on, "reshaped into" if is_from_cold else "gained"
    for passage in item.passages:
        yield shop.entries[passage.entry].when.day, _LEFT[passage.state]
    if item.used_by is not None:
        goes_on = (item.used_by, item.form) in reshaped
        day = shop.entries[item.used_by].when.day
        yield day, "reshaped from" if goes_on else "worked"


def _reshapings(shop: Shop) -> Iterator[tuple[int, str]]:
    """Give every cold work with the classes that it took from and gave to."""
    for entry in shop.entries.values():
        if entry.act is Act.WORK and entry.process in COLD and entry.number not in shop.struck:
            made = {line.form for line in entry.lines if line.role is Role.MADE}
            used = {one.form for one in _used(entry, shop)}
            yield from ((entry.number, form) for form in made & used if form in RESIDUE_FORMS)


def _reshaped_into(item: Item, shop: Shop) -> list[str]:
    """Give the tags of what cold work took from the class of an item to make it."""
    entry = shop.entries[item.made_by]
    if not item.is_residue or entry.act is not Act.WORK or entry.process not in COLD:
        return []
    return [one.tag for one in _used(entry, shop) if one.form == item.form]


def _used(work: Entry, shop: Shop) -> Iterator[Item]:
    return (shop.items[line.tag] for line in work.lines if line.role is Role.USED)


def amount_of(item: Item) -> Amount:
    """Give one item as an amount."""
    gross = item.gross
    return Amount(1, 0, 1) if gross is None else Amount(1, gross.micrograms, 0)
