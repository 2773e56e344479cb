"""What forms of the bench ask the tables: names used lately, items by tag, works done lately.

Nothing here reads more of a large book than its last entries or one step of an index.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from vault.core.daybook import Said
from vault.core.fineness import Fineness
from vault.store.lists import ways_to_write

# What was done longer ago than so many entries says little about what is done now.
_LATELY_ENTRIES = 4_000
# Words are looked for among so many items made last; tags are found among all.
_LATELY_ITEMS = 20_000


@dataclass(frozen=True, slots=True)
class LateThing:
    """A thing added to works lately: how often, and what was said of it the last time."""

    name: str
    times: int
    gross_ug: int | None
    how: str
    contents: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class LateNames:
    """Names used lately, each list with what is used most first.

    Attributes:
        place_of: where things of a form were put the last time they came in or were made.
    """

    parties: list[str]
    places: list[str]
    forms: list[str]
    place_of: dict[str, str]
    added: list[LateThing]


def late_names(connection: Connection) -> LateNames:
    """Give the names in unstruck lines of the last entries.

    All counting is the database's: while Python goes through thousands of rows in one thread, the
    window's own thread waits.
    """
    last = connection.exec_driver_sql("SELECT max(number) FROM entry").scalar() or 0
    first = last - _LATELY_ENTRIES
    return LateNames(
        parties=_most_used(connection, "party", "1", first),
        places=_most_used(connection, "place", "1", first),
        forms=_most_used(connection, "form", _BRINGS_A_FORM, first),
        place_of=_places_of_forms(connection, first),
        added=_added(connection, first),
    )


_BRINGS_A_FORM = "role IN ('in', 'made', 'extra')"
_LATE = "entry > ? AND entry NOT IN (SELECT struck FROM strike)"


def _most_used(connection: Connection, column: str, clause: str, first: int) -> list[str]:
    rows = connection.exec_driver_sql(
        f"SELECT {column} FROM line WHERE {_LATE} AND {clause} AND {column} != '' "
        f"GROUP BY {column} ORDER BY count(*) DESC, max(entry) DESC",
        (first,),
    )
    return [row[0] for row in rows]


def _places_of_forms(connection: Connection, first: int) -> dict[str, str]:
    # With one max(), SQLite takes the other columns from the row that has it.
    rows = connection.exec_driver_sql(
        f"SELECT form, place, max(entry) FROM line WHERE {_LATE} AND {_BRINGS_A_FORM} "
        "AND form != '' AND place != '' GROUP BY form",
        (first,),
    )
    return {row[0]: row[1] for row in rows}


def _added(connection: Connection, first: int) -> list[LateThing]:
    rows = connection.exec_driver_sql(
        "SELECT form, count(*), max(entry), position, gross_ug, how FROM line "
        f"WHERE {_LATE} AND role = 'added' AND form != '' "
        "GROUP BY form ORDER BY count(*) DESC, max(entry) DESC",
        (first,),
    ).all()
    return [
        LateThing(row[0], row[1], row[4], row[5], _said_at(connection, row[2], row[3]))
        for row in rows
    ]


def _said_at(connection: Connection, entry: int, position: int) -> tuple[Said, ...]:
    rows = connection.exec_driver_sql(
        "SELECT metal, ppb, u_ppb FROM line_content WHERE entry = ? AND position = ?",
        (entry, position),
    )
    return tuple(
        Said(metal, Fineness(ppb), None if u_ppb is None else Fineness(u_ppb))
        for metal, ppb, u_ppb in rows
    )


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
