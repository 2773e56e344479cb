"""What forms of the bench ask the tables: names used lately, items by tag, works done lately.

Nothing here reads more of a large book than its last entries or one step of an index.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from vault.core.daybook import Role, Said
from vault.core.fineness import Fineness
from vault.store.lists import ways_to_write

# What was done longer ago than so many entries says little about what is done now.
_LATELY_ENTRIES = 4_000
# Words are looked for among so many items made last; tags are found among all.
_LATELY_ITEMS = 20_000


@dataclass(frozen=True, slots=True)
class LateLine:
    """One line of a late entry that names a form, a place or a party."""

    role: Role
    form: str
    party: str
    place: str
    gross_ug: int | None
    how: str
    contents: tuple[Said, ...]


def late_lines(connection: Connection) -> list[LateLine]:
    """Give the unstruck lines of the last entries, the last first."""
    last = connection.exec_driver_sql("SELECT max(number) FROM entry").scalar() or 0
    first = last - _LATELY_ENTRIES
    said: dict[tuple[int, int], list[Said]] = {}
    for entry, position, metal, ppb, u_ppb in connection.exec_driver_sql(
        "SELECT c.entry, c.position, c.metal, c.ppb, c.u_ppb FROM line_content c "
        "JOIN line l ON l.entry = c.entry AND l.position = c.position "
        "WHERE c.entry > ? AND l.role = 'added'",
        (first,),
    ):
        u = None if u_ppb is None else Fineness(u_ppb)
        said.setdefault((entry, position), []).append(Said(metal, Fineness(ppb), u))
    rows = connection.exec_driver_sql(
        "SELECT entry, position, role, form, party, place, gross_ug, how FROM line "
        "WHERE entry > ? AND (form != '' OR party != '' OR place != '') "
        "AND entry NOT IN (SELECT struck FROM strike) ORDER BY entry DESC, position",
        (first,),
    )
    return [
        LateLine(Role(row[2]), row[3], row[4], row[5], row[6], row[7], tuple(said.get(row[:2], ())))
        for row in map(tuple, rows)
    ]


def parties_of_lots(connection: Connection) -> list[str]:
    """Give everybody who ever brought a lot, who brought most first."""
    rows = connection.exec_driver_sql(
        "SELECT party FROM lot WHERE party != '' GROUP BY party ORDER BY count(*) DESC, party"
    )
    return [row[0] for row in rows]


def all_places(connection: Connection) -> list[str]:
    """Give every place that anything was ever put in, by name."""
    return [row[0] for row in connection.exec_driver_sql("SELECT name FROM place ORDER BY name")]


def works_lately(connection: Connection, most: int) -> list[int]:
    """Give the numbers of the last unstruck works, the last first."""
    rows = connection.exec_driver_sql(
        "SELECT number FROM entry WHERE act = 'work' "
        f"AND number NOT IN (SELECT struck FROM strike) ORDER BY number DESC LIMIT {most}"
    )
    return [row[0] for row in rows]


def weights_of(connection: Connection, tags: Sequence[str]) -> dict[str, int | None]:
    """Give what items weighed last, by tag."""
    rows = connection.exec_driver_sql(
        "SELECT tag, gross_ug FROM item WHERE tag IN (SELECT value FROM json_each(?))",
        (json.dumps(list(tags)),),
    )
    return {row[0]: row[1] for row in rows}


def ids_of_tags(connection: Connection, tags: Sequence[str]) -> list[int]:
    """Give the ids of items by their tags; tags that name nothing are left out."""
    rows = connection.exec_driver_sql(
        "SELECT id FROM item WHERE tag IN (SELECT value FROM json_each(?))",
        (json.dumps(list(tags)),),
    )
    return [row[0] for row in rows]


def on_hand_like(connection: Connection, text: str, most: int) -> list[int]:
    """Give ids of items on hand whose tag begins with a text, then those that hold its words.

    An empty text gives those made last.
    """
    found: list[int] = []
    word = text.strip()
    for begins in dict.fromkeys((word, word.upper())):
        if begins:
            rows = connection.exec_driver_sql(
                "SELECT id FROM item WHERE tag >= ? AND tag < ? AND state = 'on hand' "
                f"ORDER BY tag LIMIT {most}",
                (begins, begins + chr(0x10FFFF)),
            )
            found += [row[0] for row in rows]
    clauses, values = _words(word)
    rows = connection.exec_driver_sql(
        "SELECT id FROM (SELECT * FROM item WHERE state = 'on hand' "
        f"ORDER BY made_on DESC, id DESC LIMIT {_LATELY_ITEMS}) i WHERE {clauses} LIMIT {most}",
        values,
    )
    found += [row[0] for row in rows]
    return list(dict.fromkeys(found))[:most]


def _words(text: str) -> tuple[str, tuple[str, ...]]:
    clauses = ["1"]
    values: tuple[str, ...] = ()
    for word in text.split():
        ways = ways_to_write(word)
        clauses.append("(" + " OR ".join([_CONTAINS] * len(ways)) + ")")
        values += ways
    return " AND ".join(clauses), values


_CONTAINS = (
    "instr(lower(i.tag || char(10) || i.form || char(10) || i.lot || char(10) || i.party "
    "|| char(10) || i.place || char(10) || i.note), ?)"
)


def lying_in(connection: Connection, place: str) -> tuple[list[str], str, list[str]]:
    """Give the containers in a place, the place it lies in itself, and the items on hand in it.

    Both go through all that lies in it in turn.
    """
    inside = connection.exec_driver_sql(
        "WITH RECURSIVE inside(name) AS (VALUES(?) UNION SELECT c.name FROM container c "
        "JOIN inside ON c.place = inside.name) SELECT name FROM inside",
        (place,),
    )
    places = [name for (name,) in inside]
    around = connection.exec_driver_sql("SELECT place FROM container WHERE name = ?", (place,))
    tags = connection.exec_driver_sql(
        "SELECT tag FROM item WHERE state = 'on hand' AND place IN (SELECT value FROM json_each(?))"
        " ORDER BY tag",
        (json.dumps(places),),
    )
    return places[1:], around.scalar() or "", [tag for (tag,) in tags]


def around(connection: Connection, place: str) -> list[str]:
    """Give a place and the places it lies in, innermost first."""
    rows = connection.exec_driver_sql(
        "WITH RECURSIVE around(name, depth) AS (VALUES(?, 0) UNION "
        "SELECT c.place, depth + 1 FROM container c JOIN around ON c.name = around.name "
        "WHERE c.place != '' AND depth < 50) SELECT name FROM around ORDER BY depth",
        (place,),
    )
    return [name for (name,) in rows if name]
