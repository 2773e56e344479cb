"""What goes out and what went out, straight from the tables: things, containers, shipments."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from vault.core.daybook import Role
from vault.core.items import State

_STANDS = "NOT IN (SELECT struck FROM strike)"
_LISTED = "IN (SELECT value FROM json_each(?))"
_INSIDE = (
    "WITH RECURSIVE inside(name) AS (VALUES(?) UNION SELECT c.name FROM container c "
    "JOIN inside ON c.place = inside.name) SELECT name FROM inside"
)


@dataclass(frozen=True, slots=True)
class PackedThing:
    """An item as packing asks for it."""

    tag: str
    form: str
    gross_ug: int | None
    place: str
    state: State
    is_residue: bool


@dataclass(frozen=True, slots=True)
class ContainerWeighing:
    """What a container weighed the last time, without the container itself.

    Attributes:
        entry, day: of the entry that says it.
        gross_u_ug, tare_ug: None where nothing was said.
        scale: the scale's name; empty where the weight was typed.
    """

    entry: int
    day: date
    gross_ug: int
    gross_u_ug: int | None
    tare_ug: int | None
    scale: str


def things_in(connection: Connection, container: str) -> list[PackedThing]:
    """Give what lies on hand in a container, through all that lies in it in turn."""
    places = [name for (name,) in connection.exec_driver_sql(_INSIDE, (container,))]
    return _things(connection, "state = 'on hand' AND place", places)


def things_of(connection: Connection, tags: Sequence[str]) -> list[PackedThing]:
    """Give items by their tags, in that order; a tag that names nothing is left out."""
    found = {one.tag: one for one in _things(connection, "tag", tags)}
    return [found[tag] for tag in tags if tag in found]


def _things(connection: Connection, column: str, names: Iterable[str]) -> list[PackedThing]:
    rows = connection.exec_driver_sql(
        "SELECT tag, form, gross_ug, place, state, is_residue FROM item "
        f"WHERE {column} {_LISTED} ORDER BY tag",
        (json.dumps(list(names)),),
    )
    return [
        PackedThing(tag, form, gross_ug, place, State(state), bool(is_residue))
        for tag, form, gross_ug, place, state, is_residue in rows
    ]


def weighings_of(
    connection: Connection, containers: Iterable[str], up_to: int | None = None
) -> dict[str, ContainerWeighing]:
    """Give what these containers weighed last, as far as entries up to a number say."""
    # With one max(), SQLite takes the other columns from the row that has it.
    rows = connection.exec_driver_sql(
        "SELECT line.tag, max(line.entry), entry.day, gross_ug, gross_u_ug, tare_ug, scale "
        "FROM line JOIN entry ON entry.number = line.entry "
        f"WHERE line.tag {_LISTED} AND entry.act = 'weigh' AND entry.number <= ? "
        f"AND entry.number {_STANDS} GROUP BY line.tag",
        (json.dumps(list(containers)), (1 << 62) if up_to is None else up_to),
    )
    return {row[0]: ContainerWeighing(row[1], date.fromordinal(row[2]), *row[3:7]) for row in rows}


def seals_at(connection: Connection, containers: Iterable[str], up_to: int) -> dict[str, str]:
    """Give the number of the unbroken seal on each container once an entry was recorded."""
    rows = connection.exec_driver_sql(
        "SELECT line.tag, line.ref, line.role, max(line.entry) "
        "FROM line JOIN entry ON entry.number = line.entry "
        f"WHERE line.tag {_LISTED} AND entry.act = 'seal' AND entry.number <= ? "
        f"AND entry.number {_STANDS} GROUP BY line.tag",
        (json.dumps(list(containers)), up_to),
    )
    return {tag: ref for tag, ref, role, _ in rows if role != Role.BROKEN.value}


def went_through_since(connection: Connection, container: str, entry: int) -> bool:
    """Tell whether something was put into a container or taken out of it after an entry."""
    places = json.dumps([name for (name,) in connection.exec_driver_sql(_INSIDE, (container,))])
    row = connection.exec_driver_sql(
        f"SELECT 1 FROM line WHERE entry > ? AND entry {_STANDS} AND (place {_LISTED} OR "
        "((place != '' OR role IN ('used', 'out', 'missing')) "
        f"AND tag IN (SELECT tag FROM line WHERE place {_LISTED}))) LIMIT 1",
        (entry, places, places),
    ).first()
    return row is not None


def shipment_numbers(connection: Connection, most: int) -> list[str]:
    """Give the numbers of the shipments sent last, the last first; struck ones too."""
    rows = connection.exec_driver_sql(
        "SELECT ref FROM line WHERE ref != '' AND entry IN "
        "(SELECT number FROM entry WHERE act = 'send' ORDER BY number DESC LIMIT ?) "
        "GROUP BY ref ORDER BY max(entry) DESC",
        (most,),
    )
    return [ref for (ref,) in rows]


def is_shipment(connection: Connection, ref: str) -> bool:
    """Tell whether anything was ever sent under a number, struck entries too."""
    row = connection.exec_driver_sql(
        "SELECT 1 FROM line JOIN entry ON entry.number = line.entry "
        "WHERE line.ref = ? AND line.ref != '' AND entry.act = 'send' LIMIT 1",
        (ref,),
    ).first()
    return row is not None


def sent_to(connection: Connection) -> list[str]:
    """Give who was ever sent anything, the last first."""
    rows = connection.exec_driver_sql(
        "SELECT party FROM line WHERE entry IN (SELECT number FROM entry WHERE act = 'send' "
        f"AND number {_STANDS}) GROUP BY party ORDER BY max(entry) DESC"
    )
    return [party for (party,) in rows]


def residues_by_place(connection: Connection) -> dict[str, int]:
    """Count the residues on hand in every place that holds any, those without a place left out."""
    rows = connection.exec_driver_sql(
        "SELECT place, count(*) FROM item WHERE state = 'on hand' AND is_residue = 1 "
        "AND place != '' GROUP BY place ORDER BY place"
    )
    return dict(rows.all())


def entries_of_shipment(connection: Connection, ref: str) -> list[tuple[int, str]]:
    """Give number and act of the entries that sent or settled a shipment and stand."""
    rows = connection.exec_driver_sql(
        "SELECT DISTINCT entry.number, entry.act FROM line JOIN entry "
        "ON entry.number = line.entry WHERE line.ref = ? AND line.ref != '' "
        f"AND entry.act IN ('send', 'settle') AND entry.number {_STANDS} ORDER BY entry.number",
        (ref,),
    )
    return [(number, act) for number, act in rows]


@dataclass(frozen=True, slots=True)
class SentPart:
    """What one entry sent under a number in one container, or outside of any.

    Attributes:
        ref, entry, day, party, terms: of the entry.
        container: its place name; empty for single items.
        items: how many.
        gross_ug: weight of those that were weighed by themselves.
        not_weighed: how many were not.
    """

    ref: str
    entry: int
    day: date
    party: str
    terms: str
    container: str
    items: int
    gross_ug: int
    not_weighed: int


@dataclass(frozen=True, slots=True)
class SettledPart:
    """What one entry settled under a number.

    Attributes:
        ref, entry, day: of the entry.
        alone: how many items it agrees a content of by themselves.
        whole: whether it agrees a content of all the rest.
    """

    ref: str
    entry: int
    day: date
    alone: int
    whole: bool


def sent_parts(connection: Connection) -> list[SentPart]:
    """Give all that was sent under a number and is not struck, in the order of sending."""
    rows = connection.exec_driver_sql(
        "SELECT line.ref, line.entry, entry.day, line.party, line.terms, line.place, count(*), "
        "coalesce(sum(item.gross_ug), 0), sum(item.gross_ug IS NULL) "
        "FROM line JOIN entry ON entry.number = line.entry JOIN item ON item.tag = line.tag "
        f"WHERE entry.act = 'send' AND entry.number {_STANDS} AND line.ref != '' "
        "GROUP BY line.entry, line.ref, line.place ORDER BY line.entry, line.place = '', line.place"
    )
    return [SentPart(ref, at, date.fromordinal(on), *more) for ref, at, on, *more in rows]


def unnumbered(connection: Connection) -> list[tuple[int, date, str, int]]:
    """Give what was sent without a number and is not struck: entry, day, to whom, how many."""
    rows = connection.exec_driver_sql(
        "SELECT line.entry, entry.day, max(line.party), count(*) "
        "FROM line JOIN entry ON entry.number = line.entry "
        f"WHERE entry.act = 'send' AND entry.number {_STANDS} AND line.ref = '' AND line.tag != '' "
        "GROUP BY line.entry ORDER BY line.entry DESC"
    )
    return [(entry, date.fromordinal(on), party, many) for entry, on, party, many in rows]


def settled_parts(connection: Connection) -> list[SettledPart]:
    """Give what was settled under each number and is not struck, in the order of settling."""
    has_contents = (
        "EXISTS (SELECT 1 FROM line_content WHERE line_content.entry = line.entry "
        "AND line_content.position = line.position)"
    )
    rows = connection.exec_driver_sql(
        "SELECT line.ref, line.entry, entry.day, "
        f"sum(line.tag != '' AND {has_contents}), max(line.tag = '' AND {has_contents}) "
        "FROM line JOIN entry ON entry.number = line.entry "
        f"WHERE entry.act = 'settle' AND entry.number {_STANDS} AND line.ref != '' "
        "GROUP BY line.entry, line.ref ORDER BY line.entry"
    )
    return [
        SettledPart(ref, at, date.fromordinal(on), alone, bool(whole))
        for ref, at, on, alone, whole in rows
    ]


def sent_tags(connection: Connection, ref: str) -> tuple[str, ...]:
    """Give the tags of all that was sent under a number and is not struck, in that order."""
    rows = connection.exec_driver_sql(
        "SELECT line.tag FROM line JOIN entry ON entry.number = line.entry "
        f"WHERE line.ref = ? AND entry.act = 'send' AND entry.number {_STANDS} "
        "ORDER BY line.entry, line.position",
        (ref,),
    )
    return tuple(tag for (tag,) in rows)
