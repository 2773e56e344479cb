"""What the house has learnt: its factors over time, what moved them, and whether they hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.learning import (
    FactorDrift,
    FactorMark,
    FactorPoint,
    Learning,
    LearntFactor,
)
from vault.application.reckoned import Reckoned
from vault.core.daybook import Act, Entry
from vault.core.flow import Flow
from vault.core.knowledge import DECLARED
from vault.core.shop import Shop
from vault.reckoning.contents import LearnedFactor
from vault.reckoning.drift import Drift, Look, looks_of
from vault.reckoning.residue_kinds import kinds_within
from vault.reckoning.solved_metal import SolvedMetal
from vault.store.figures import ReportedFactor, reported_factors

_PPB = 1e9
_NOT_MEASURED = Look("", 0, is_enough=False, drift=None)

Told = Mapping[date, list[ReportedFactor]]


def learning(book: Book) -> Learning:
    """Give every house factor from its first guess to today."""
    reckoned = book.reckoned
    if reckoned is None:
        return Learning(())
    with book.file.reading() as connection:
        told = reported_factors(connection)
    looks = dict(_looks(reckoned))
    marks = _measurements(reckoned.flow, reckoned.shop)
    latest = reckoned.shop.latest
    today = book.today() if latest is None else max(book.today(), latest.day)
    return Learning(
        tuple(
            LearntFactor(
                kind=one.kind,
                metal=one.metal,
                guess=one.guess,
                guess_u=one.guess_u,
                source=one.source,
                points=(*_points(one, told, today), FactorPoint(today, one.now, one.now_u)),
                marks=tuple(
                    mark for kind, metals, mark in marks if one.metal in metals and one.kind == kind
                ),
                measured=look.measured,
                is_enough=look.is_enough,
                drift=_drift(look.drift, reckoned.shop),
            )
            for one in reckoned.contents.house_factors
            for look in [looks.get((one.kind, one.metal), _NOT_MEASURED)]
        )
    )


def _points(factor: LearnedFactor, told: Told, today: date) -> Iterator[FactorPoint]:
    for day, factors in told.items():
        for one in factors:
            if day < today and (one.kind, one.metal) == (factor.kind, factor.metal):
                yield FactorPoint(day, one.now_ppb / _PPB, one.now_u_ppb / _PPB)


def _looks(reckoned: Reckoned) -> Iterator[tuple[tuple[str, str], Look]]:
    for metal, balance in reckoned.contents.balances.items():
        if isinstance(balance, SolvedMetal):
            yield from (((one.kind, metal), one) for one in looks_of(balance))


def _drift(found: Drift | None, shop: Shop) -> FactorDrift | None:
    if found is None:
        return None
    since = shop.entries[found.since].when.day
    return FactorDrift(
        since=since,
        entry=found.since,
        before=FactorPoint(since, found.before, found.before_u),
        after=FactorPoint(since, found.after, found.after_u),
        chance=found.chance,
        measured=found.measured,
    )


def _measurements(flow: Flow, shop: Shop) -> list[tuple[str, set[str], FactorMark]]:
    """Give kind, metals and mark of every assay and settlement of residues, in order.

    What a blend of residues was found to hold measures every kind that went into it.
    """
    metals: dict[tuple[int, str], set[str]] = {}
    first: dict[int, str] = {}
    for tag, kinds in kinds_within(flow).items():
        item = flow.items[tag]
        told = [
            (one.entry, said.metal)
            for one in item.sayings
            if one.how != DECLARED
            for said in one.contents
        ]
        for entry, metal in [*told, *((one.entry, one.metal) for one in item.agreed)]:
            first.setdefault(entry, tag)
            for kind in kinds:
                metals.setdefault((entry, kind), set()).add(metal)
    return [
        (kind, metals[number, kind], _mark(shop.entries[number], first[number]))
        for number, kind in sorted(metals)
    ]


def _mark(entry: Entry, tag: str) -> FactorMark:
    is_settlement = entry.act is Act.SETTLE
    words = f"{entry.lines[0].ref} settled" if is_settlement else f"assay of {tag}"
    return FactorMark(entry.when.day, words, entry.number, is_settlement)
