"""Entries and lines as rows, there and back; the only place that knows both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection

from vault.core.daybook import Act, Entry, Line, Process, Recorded, Role, Said, When
from vault.core.fineness import Fineness
from vault.core.masses import Mass
from vault.core.metals import ALL_SYMBOLS
from vault.core.money import Money
from vault.core.turns import in_turns

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)

ENTRY_COLUMNS = (
    "number", "day", "at_us", "by", "act", "process", "recorded_at_us", "key", "head", "seal",
)  # fmt: skip
LINE_COLUMNS = (
    "entry", "position", "role", "tag", "form", "lot", "party", "terms", "place", "gross_ug",
    "gross_u_ug", "how", "ref", "money_millionths", "currency", "note", "tare_ug", "nominal_ug",
    "hold_until", "scale", "witness", "furnace",
)  # fmt: skip
CONTENT_COLUMNS = ("entry", "position", "metal", "ppb", "u_ppb")

_ACTS = {act.value: act for act in Act}
_ROLES = {role.value: role for role in Role}
_PROCESSES: dict[str, Process | None] = {
    "": None,
    **{process.value: process for process in Process},
}
_ENTRY_NUMBER = itemgetter(0)
# Rows lie sorted by symbol; a line says its metals in the order of the daybook's columns.
_METAL_ORDER = {symbol: place for place, symbol in enumerate(ALL_SYMBOLS)}
# Larger ones are no quicker, and hold every other thread while they are handed over.
_BATCH = 1_000


def put_many(connection: Connection, statement: str, rows: Iterable[tuple[object, ...]]) -> None:
    """Run one statement over many rows, in batches so that they are never all in memory."""
    waiting: list[tuple[object, ...]] = []
    for row in in_turns(rows):
        waiting.append(row)
        if len(waiting) == _BATCH:
            connection.exec_driver_sql(statement, waiting)
            waiting.clear()
    if waiting:
        connection.exec_driver_sql(statement, waiting)


def instant_to_us(instant: datetime) -> int:
    """Give microseconds since 1970, exact."""
    return (instant - _EPOCH) // _MICROSECOND


def us_to_instant(microseconds: int) -> datetime:
    """Give the instant of microseconds since 1970, in UTC."""
    return _EPOCH + timedelta(microseconds=microseconds)


def entry_row(recorded: Recorded) -> tuple[object, ...]:
    """Give the row of an entry, in the order of `ENTRY_COLUMNS`."""
    entry = recorded.entry
    at = entry.when.at
    return (
        entry.number,
        entry.when.day.toordinal(),
        None if at is None else instant_to_us(at),
        entry.by,
        entry.act.value,
        entry.process.value if entry.process is not None else "",
        instant_to_us(recorded.recorded_at),
        recorded.key,
        recorded.head,
        recorded.seal,
    )


def line_rows(entry: Entry) -> Iterator[tuple[object, ...]]:
    """Give the rows of an entry's lines, in the order of `LINE_COLUMNS`."""
    for position, line in enumerate(entry.lines):
        yield (
            entry.number,
            position,
            line.role.value,
            line.tag,
            line.form,
            line.lot,
            line.party,
            line.terms,
            line.place,
            None if line.gross is None else line.gross.micrograms,
            None if line.gross_u is None else line.gross_u.micrograms,
            line.how,
            line.ref,
            None if line.money is None else line.money.millionths,
            "" if line.money is None else line.money.currency,
            line.note,
            None if line.tare is None else line.tare.micrograms,
            None if line.nominal is None else line.nominal.micrograms,
            None if line.hold_until is None else line.hold_until.toordinal(),
            line.scale,
            line.witness,
            line.furnace,
        )


def content_rows(entry: Entry) -> Iterator[tuple[object, ...]]:
    """Give the rows of what an entry says of contents, in the order of `CONTENT_COLUMNS`."""
    for position, line in enumerate(entry.lines):
        for said in line.contents:
            u_ppb = None if said.u is None else said.u.ppb
            yield (entry.number, position, said.metal, said.fineness.ppb, u_ppb)


def entries_from_rows(
    entries: Iterable[Sequence[Any]],
    lines: Iterable[Sequence[Any]],
    contents: Iterable[Sequence[Any]],
) -> Iterator[tuple[Entry, Sequence[Any]]]:
    """Put entries together from three runs of rows, each sorted by entry and position.

    Gives each entry with its own row, for what stands there beside the facts.

    Raises:
        KeyError: when an act, a role or a process is none that was ever written.
    """
    said = _Following(groupby(contents, _ENTRY_NUMBER))
    told = _Following(groupby(lines, _ENTRY_NUMBER))
    for row in entries:
        number = row[0]
        by_position: dict[int, list[Said]] = {}
        for _, position, metal, ppb, u_ppb in said.up_to(number):
            u = None if u_ppb is None else Fineness(u_ppb)
            by_position.setdefault(position, []).append(Said(metal, Fineness(ppb), u))
        entry = Entry(
            number=number,
            when=when_of(row[1], row[2]),
            by=row[3],
            act=_ACTS[row[4]],
            process=_PROCESSES[row[5]],
            lines=tuple(_line(one, by_position.get(one[1], ())) for one in told.up_to(number)),
        )
        yield entry, row


def recorded_from(entry: Entry, row: Sequence[Any], struck_by: int | None) -> Recorded:
    """Give an entry as the book keeps it, from the entry and its own row."""
    return Recorded(
        entry=entry,
        recorded_at=us_to_instant(row[6]),
        key=row[7],
        head=bytes(row[8]),
        seal=bytes(row[9]),
        struck_by=struck_by,
    )


def when_of(day: int, at_us: int | None) -> When:
    """Give the moment that a row's day and instant stand for."""
    return When(date.fromordinal(day), None if at_us is None else us_to_instant(at_us))


def _line(row: Sequence[Any], said: Sequence[Said]) -> Line:
    gross, gross_u, money, tare, nominal, hold = row[9], row[10], row[13], *row[16:19]
    return Line(
        role=_ROLES[row[2]],
        tag=row[3],
        form=row[4],
        lot=row[5],
        party=row[6],
        terms=row[7],
        place=row[8],
        gross=None if gross is None else Mass(gross),
        gross_u=None if gross_u is None else Mass(gross_u),
        contents=tuple(said) if len(said) < 2 else tuple(sorted(said, key=_metal_place)),
        how=row[11],
        ref=row[12],
        money=None if money is None else Money(money, row[14]),
        note=row[15],
        tare=None if tare is None else Mass(tare),
        nominal=None if nominal is None else Mass(nominal),
        hold_until=None if hold is None else date.fromordinal(hold),
        scale=row[19],
        witness=row[20],
        furnace=row[21],
    )


def _metal_place(said: Said) -> tuple[int, str]:
    return _METAL_ORDER.get(said.metal, len(_METAL_ORDER)), said.metal


class _Following:
    """Walks grouped rows beside the entries they belong to, without holding them all."""

    def __init__(self, groups: Iterator[tuple[Any, Iterator[Sequence[Any]]]]) -> None:
        self._groups = groups
        self._waiting = next(groups, None)

    def up_to(self, number: int) -> Iterator[Sequence[Any]]:
        """Give the rows of one entry; rows of entries that are not there are passed over."""
        while self._waiting is not None and self._waiting[0] < number:
            self._waiting = next(self._groups, None)
        if self._waiting is not None and self._waiting[0] == number:
            yield from self._waiting[1]
            self._waiting = next(self._groups, None)
