"""The daybook: every entry, what it says, the proof that none was altered, and the findings."""

from __future__ import annotations

import json
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from vault.application.book import Book
from vault.application.queries.answers.daybook import (
    ChainProof,
    DaybookQuery,
    DaybookRow,
    EntryDetail,
    FindingRow,
)
from vault.application.queries.scales import scale_findings
from vault.application.wording import PLAIN, Numbers, entry_in_words, line_in_words
from vault.core.daybook import Act, Entry, Line, Recorded, Role
from vault.core.errors import VaultError
from vault.store.entries import load_entry, load_some, shop_for
from vault.store.figures import findings_told
from vault.store.integrity import Progress, prove
from vault.store.journal import EntriesWanted, numbers_of, reasons_of


class NoSuchEntry(VaultError):
    """A number that is no entry in the book."""


def entry_numbers(book: Book, query: DaybookQuery) -> tuple[int, ...]:
    """Give the numbers of all entries that a query wants, in its order."""
    wanted = EntriesWanted(
        text=query.text,
        act=query.act.value if query.act is not None else "",
        struck_too=query.struck_too,
        newest_first=query.newest_first,
    )
    with book.file.reading() as connection:
        return tuple(numbers_of(connection, wanted))


def daybook_rows(
    book: Book, numbers: tuple[int, ...], style: Numbers = PLAIN
) -> tuple[DaybookRow, ...]:
    """Give the rows of entries by their numbers, in the order asked for."""
    zone = book.zone
    with book.file.reading() as connection:
        recorded = {one.entry.number: one for one in load_some(connection, numbers)}
        reasons = reasons_of(connection, recorded.values())
    return tuple(
        _row(recorded[number], style, zone, reasons) for number in numbers if number in recorded
    )


def entry_detail(book: Book, number: int, style: Numbers = PLAIN) -> EntryDetail:
    """Give one entry in full.

    Raises:
        NoSuchEntry: when there is none of that number.
    """
    zone = book.zone
    with book.file.reading() as connection:
        recorded = load_entry(connection, number)
        if recorded is None:
            raise NoSuchEntry(f"There is no entry {number} in this book.")
        entry = recorded.entry
        reasons = reasons_of(connection, [recorded])
        leaning: list[int] = []
        if recorded.struck_by is None and entry.act is not Act.STRIKE:
            leaning = shop_for(connection, strike_asked_for(entry)).leaning_on(number)
    return EntryDetail(
        row=_row(recorded, style, zone, reasons),
        lines=tuple(line_in_words(entry, line, style) for line in entry.lines),
        recorded_at=recorded.recorded_at.astimezone(zone),
        head=recorded.head.hex(),
        leaned_on_by=tuple(leaning),
    )


def chain_proof(book: Book, progress: Progress | None = None) -> ChainProof:
    """Prove that no entry was altered; reads the whole book."""
    proof = prove(book.file, progress)
    if proof.broken:
        more = len(proof.broken) - 1
        words = f"{proof.broken[0]} And {more} more." if more else proof.broken[0]
    else:
        words = f"All {proof.entries} entries are as they were recorded."
    return ChainProof(proof.entries, proof.head.hex(), not proof.broken, words)


def findings(book: Book) -> tuple[FindingRow, ...]:
    """Give what does not add up, weightiest first, and what a bad scale weighed."""
    with book.file.reading() as connection:
        told = [json.loads(one) for one in findings_told(connection)]
    reckoned = (
        FindingRow(
            words=one["sentence"],
            metal=one["metal"],
            tags=tuple(one["tags"]),
            entries=tuple(one["entries"]),
            severity=one["severity"],
            more=tuple(one["proposed"]),
        )
        for one in told
    )
    return (*reckoned, *scale_findings(book))


def _row(
    recorded: Recorded, style: Numbers, zone: ZoneInfo, reasons: Mapping[int, str]
) -> DaybookRow:
    entry = recorded.entry
    is_strike = entry.act is Act.STRIKE
    at = entry.when.at
    return DaybookRow(
        number=entry.number,
        day=entry.when.day,
        at=None if at is None else at.astimezone(zone),
        by=entry.by,
        act=entry.act,
        words=entry_in_words(entry, style),
        tags=tuple(dict.fromkeys(line.tag for line in entry.lines if line.tag)),
        struck_by=recorded.struck_by,
        strikes=entry.struck_number() if is_strike else None,
        reason=entry.lines[0].note if is_strike else reasons.get(recorded.struck_by or 0, ""),
    )


def strike_asked_for(entry: Entry) -> Entry:
    """Give the strike that would strike an entry, to ask the rules what leans on it."""
    line = Line(Role.NONE, ref=str(entry.number), note="asked only")
    return Entry(entry.number + 1, entry.when, entry.by, Act.STRIKE, (line,))
