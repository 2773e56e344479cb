"""Which entries there are, found by word, act and whether they are struck."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection

from vault.core.daybook import WORDS, Recorded
from vault.core.words import searched_for
from vault.store.entries import load_some
from vault.store.lists import ways_to_write


@dataclass(frozen=True, slots=True)
class EntriesWanted:
    """Which entries to find.

    Attributes:
        text: words that must each stand somewhere in the entry or its lines; empty for all.
        act: only this act; empty for all.
        struck_too: whether struck entries, and the strikes themselves, are among them.
        newest_first: the order.
    """

    text: str = ""
    act: str = ""
    struck_too: bool = True
    newest_first: bool = True


# Everything written in an entry that a person may look for.
_ENTRY_WORDS = 'e.number || char(10) || e."by" || char(10) || e.act || char(10) || e.process'
_LINE_WORDS = " || char(10) || ".join(f"l.{name}" for name in WORDS if name != "terms")
_HOLDS = (
    f"instr(lower({_ENTRY_WORDS}), ?) OR EXISTS (SELECT 1 FROM line l "
    f"WHERE l.entry = e.number AND instr(lower({_LINE_WORDS}), ?))"
)


def numbers_of(connection: Connection, wanted: EntriesWanted) -> list[int]:
    """Give the numbers of the entries wanted, in order."""
    clauses = ["1"]
    values: list[str] = []
    if wanted.act:
        clauses.append("e.act = ?")
        values.append(wanted.act)
    if not wanted.struck_too:
        clauses.append("e.act != 'strike' AND e.number NOT IN (SELECT struck FROM strike)")
    for word in searched_for(wanted.text):
        ways = ways_to_write(word)
        clauses.append("(" + " OR ".join([_HOLDS] * len(ways)) + ")")
        values += [one for way in ways for one in (way, way)]
    direction = "DESC" if wanted.newest_first else "ASC"
    rows = connection.exec_driver_sql(
        f"SELECT e.number FROM entry e WHERE {' AND '.join(clauses)} ORDER BY e.number {direction}",
        tuple(values),
    )
    return [number for (number,) in rows]


def reasons_of(connection: Connection, recorded: Iterable[Recorded]) -> dict[int, str]:
    """Give, by the number of a strike, why it struck one of these entries."""
    strikes = [one.struck_by for one in recorded if one.struck_by is not None]
    return {one.entry.number: one.entry.lines[0].note for one in load_some(connection, strikes)}
