"""Lots straight from the tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class ListedLot:
    """A lot and the things that were received with it.

    Attributes:
        waiting: how many of its items are still on hand as they were received.
        forms: the forms that its items have, each once.
        entry: the first entry that received it.
        held_until: the last day on which something of it that waits becomes free, or None.
    """

    name: str
    party: str
    terms: str
    day: date
    items: int
    gross_ug: int
    not_weighed: int
    waiting: int
    forms: tuple[str, ...]
    entry: int
    held_until: date | None


_LOT = (
    "SELECT lot.name, lot.party, lot.terms, lot.day, count(i.id), coalesce(sum(i.gross_ug), 0), "
    "coalesce(sum(i.gross_ug IS NULL), 0), coalesce(sum(i.state = 'on hand'), 0), "
    "coalesce(group_concat(DISTINCT i.form), ''), lot.entry, "
    "max(CASE WHEN i.state = 'on hand' THEN i.hold_until END) "
    "FROM lot LEFT JOIN item i ON i.lot = lot.name AND i.lot != ''"
)


def lots_listed(connection: Connection) -> list[ListedLot]:
    """Give every lot, newest first."""
    rows = connection.exec_driver_sql(
        f"{_LOT} GROUP BY lot.name ORDER BY lot.day DESC, lot.entry DESC"
    )
    return [_listed(row) for row in rows]


def lot_listed(connection: Connection, name: str) -> ListedLot | None:
    """Give one lot, None where there is none of that name."""
    row = connection.exec_driver_sql(
        f"{_LOT} WHERE lot.name = ? GROUP BY lot.name", (name,)
    ).first()
    return None if row is None else _listed(row)


def last_lots(connection: Connection, most: int) -> list[str]:
    """Give the names of the lots received last, the last first."""
    rows = connection.exec_driver_sql(
        "SELECT name FROM lot ORDER BY day DESC, entry DESC LIMIT ?", (most,)
    )
    return [name for (name,) in rows]


def is_lot(connection: Connection, name: str) -> bool:
    """Tell whether a lot of this name was received."""
    return (
        connection.exec_driver_sql("SELECT 1 FROM lot WHERE name = ?", (name,)).first() is not None
    )


def tags_of_lot(connection: Connection, name: str) -> list[str]:
    """Give the tags of what was received with a lot, in order."""
    rows = connection.exec_driver_sql(
        "SELECT tag FROM item WHERE lot = ? AND lot != '' ORDER BY id", (name,)
    )
    return [tag for (tag,) in rows]


def waiting_tags_of_lot(connection: Connection, name: str) -> list[str]:
    """Give the tags of what is still on hand as it was received with a lot, in order."""
    rows = connection.exec_driver_sql(
        "SELECT tag FROM item WHERE lot = ? AND lot != '' AND state = 'on hand' ORDER BY id",
        (name,),
    )
    return [tag for (tag,) in rows]


def _listed(row: Sequence[Any]) -> ListedLot:
    return ListedLot(
        name=row[0],
        party=row[1],
        terms=row[2],
        day=date.fromordinal(row[3]),
        items=row[4],
        gross_ug=row[5],
        not_weighed=row[6],
        waiting=row[7],
        forms=tuple(row[8].split(",")) if row[8] else (),
        entry=row[9],
        held_until=None if row[10] is None else date.fromordinal(row[10]),
    )
