"""Tags that were ever given, struck or not, straight from the facts."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection

# Longer numbers are no numbers of ours, and a whole number of the database holds no more.
_LONGEST = 12


def last_number(connection: Connection, prefix: str, *, after: int = 0) -> int:
    """Give the highest number behind `prefix-` in the lines after an entry; 0 where there is none.

    After entry 0 this walks the index of tags, later only the lines that came since: a line once
    written is never altered, so what was found before holds.
    """
    begins = len(prefix) + 2
    # A plus keeps the index of tags out of it, where few lines are to be looked at.
    looked_at = "tag >= ? AND tag < ?" if after == 0 else "entry > ? AND +tag >= ? AND +tag < ?"
    # "0" to ":" is where digits stand in the order of characters.
    values: tuple[object, ...] = (f"{prefix}-0", f"{prefix}-:")
    found = connection.exec_driver_sql(
        f"SELECT max(CAST(substr(tag, {begins}) AS INTEGER)) FROM line WHERE {looked_at} "
        f"AND substr(tag, {begins}) NOT GLOB '*[^0-9]*' AND length(tag) < {begins + _LONGEST}",
        values if after == 0 else (after, *values),
    ).scalar()
    return 0 if found is None else int(found)


def last_entry(connection: Connection) -> int:
    """Give the number of the last entry; 0 in an empty book."""
    found = connection.exec_driver_sql("SELECT max(number) FROM entry").scalar()
    return 0 if found is None else int(found)


def was_given(connection: Connection, tag: str) -> bool:
    """Tell whether any line ever named this tag."""
    return (
        connection.exec_driver_sql("SELECT 1 FROM line WHERE tag = ? LIMIT 1", (tag,)).first()
        is not None
    )


# Without the plus signs the index of forms is walked for the grouping, all items through.
RESIDUES_IN = (
    "SELECT form, note FROM item WHERE state = 'on hand' AND place = ? "
    "AND is_residue = 1 GROUP BY +form, +note ORDER BY +form, +note"
)


# What cold work made of residues is as old as the oldest of its form that went in.
_KEPT = (
    "WITH RECURSIVE kept(form, made_by, made_on) AS ("
    "SELECT form, made_by, made_on FROM item WHERE {begin} UNION "
    "SELECT i.form, i.made_by, i.made_on FROM kept "
    "JOIN entry e ON e.number = kept.made_by "
    "AND e.process IN (SELECT value FROM json_each(?)) "
    "JOIN item i ON i.used_by = kept.made_by AND i.form = kept.form) "
    "SELECT min(made_on) FROM kept"
)


@dataclass(frozen=True, slots=True)
class Residues:
    """What lies in a place of what work leaves behind.

    Attributes:
        first_day: since when the oldest of it has been kept, as an ordinal; None where none lies
            there.
        forms, notes: their forms and notes, each once.
    """

    first_day: int | None
    forms: tuple[str, ...]
    notes: tuple[str, ...]


def residues_in(connection: Connection, place: str, cold: Iterable[str]) -> Residues:
    """Give the residues on hand that lie in a place; `cold` names the processes of cold work."""
    rows = connection.exec_driver_sql(RESIDUES_IN, (place,)).all()
    begin = "state = 'on hand' AND place = ? AND is_residue = 1"
    first_day = connection.exec_driver_sql(
        _KEPT.format(begin=begin), (place, json.dumps(sorted(cold)))
    ).scalar()
    return Residues(
        first_day=None if first_day is None else int(first_day),
        forms=tuple(dict.fromkeys(row[0] for row in rows)),
        notes=tuple(dict.fromkeys(row[1] for row in rows if row[1])),
    )


def kept_since(connection: Connection, tag: str, cold: Iterable[str]) -> int | None:
    """Give since when a residue has been kept, as an ordinal; None where the tag names nothing."""
    found = connection.exec_driver_sql(
        _KEPT.format(begin="tag = ?"), (tag, json.dumps(sorted(cold)))
    ).scalar()
    return None if found is None else int(found)
