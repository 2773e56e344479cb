"""Lists of items straight from the tables: filtered, grouped and sorted by the database."""

from __future__ import annotations

import json
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection

from vault.core.forms import FORM_ORDER
from vault.core.items import State
from vault.core.words import searched_for

# Ids asked for in one statement; SQLite takes far more, but then its plan is no better.
_AT_ONCE = 500

_IN_FORM_ORDER = (
    "CASE i.form "
    + " ".join(f"WHEN '{form}' THEN {place}" for form, place in FORM_ORDER.items())
    + f" ELSE {len(FORM_ORDER)} END"
)
_FIRST_LOT = "substr(o.lots, 1, instr(o.lots || char(10), char(10)) - 1)"
_OWNER = "coalesce(o.owner, CASE i.terms WHEN 'toll' THEN i.party ELSE '' END)"

# Names of groups, each an expression; and what puts the groups in order.
GROUPS: dict[str, tuple[str, str]] = {
    "place": ("i.place", "i.place"),
    "lot": (f"coalesce(nullif(i.lot, ''), {_FIRST_LOT}, '')", "2"),
    "form": ("i.form", f"{_IN_FORM_ORDER}, i.form"),
    "metal": (
        (
            "coalesce((SELECT metal FROM content c WHERE c.item = i.id "
            "ORDER BY coalesce(c.fine_ug, -1) DESC LIMIT 1), '')"
        ),
        "2",
    ),
    "owner": (_OWNER, "2"),
    "nothing": ("''", "2"),
}
SORTS: dict[str, str] = {
    "tag": "i.tag",
    "form": f"{_IN_FORM_ORDER}, i.form",
    "gross": "i.gross_ug",
    "fine": "(SELECT max(c.fine_ug) FROM content c WHERE c.item = i.id{metal})",
    "place": "i.place",
    "owner": _OWNER,
    "since": "i.made_on",
}
SHOWN: dict[str, str] = {
    "on hand": "i.state = 'on hand'",
    "residues": "i.state = 'on hand' AND i.is_residue = 1",
    "gone": "i.state IN ('sent', 'returned', 'sold', 'missing')",
    # Named one by one, so that the indexes that begin with the state serve here too.
    "everything": f"i.state IN ({', '.join(repr(state.value) for state in State)})",
}
_NEEDS_ORIGIN = ("o.owner", "o.lots")


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which items to list, by the names of `SHOWN`, `GROUPS` and `SORTS`.

    Attributes:
        text: anything that stands in a tag, form, lot, party, place or note; empty for all.
        metal: only items that hold or may hold it; empty for all.
        sort_metal: the metal by which `fine` sorts; empty for the one of which there is most.
        place: only items that lie there; None for everywhere.
        limit: at most so many items; None for all.
    """

    shown: str
    group: str
    sort: str
    text: str = ""
    metal: str = ""
    sort_metal: str = ""
    descending: bool = False
    place: str | None = None
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class GroupSum:
    """What the items of one group weigh together; the fine metal is by metal."""

    name: str
    items: int
    gross_ug: int
    not_weighed: int
    fine_ug: dict[str, int]


@dataclass(frozen=True, slots=True)
class ListedItem:
    """The standing of one item, with whose it is as far as the figures tell."""

    id: int
    tag: str
    form: str
    gross_ug: int | None
    gross_u_ug: int | None
    place: str
    state: State
    made_on: date
    is_residue: bool
    lot: str
    party: str
    terms: str
    note: str
    owner: str | None
    owner_share_ppm: int | None
    lots: tuple[str, ...]
    more_lots: int
    hold_until: date | None


def ids_of(connection: Connection, wanted: Wanted) -> array[int]:
    """Give the ids of the items wanted, group after group, sorted within each."""
    name, group_order = GROUPS[wanted.group]
    sort = SORTS[wanted.sort]
    clauses, values = _clauses(wanted)
    if wanted.sort == "fine":
        sort = sort.format(metal=" AND c.metal = ?" if wanted.sort_metal else "")
        values += (wanted.sort_metal,) if wanted.sort_metal else ()
    direction = "DESC" if wanted.descending else "ASC"
    limit = "" if wanted.limit is None else f" LIMIT {wanted.limit}"
    statement = (
        f"SELECT i.id, {name} FROM item i{_joins(name, sort)} WHERE {clauses} "
        f"ORDER BY {group_order}, {sort} {direction}, i.tag{limit}"
    )
    rows = connection.exec_driver_sql(statement, values)
    return array("q", (row[0] for row in rows))


def groups_of(connection: Connection, wanted: Wanted) -> list[GroupSum]:
    """Give the groups of the items wanted in their order, with what they weigh."""
    name, group_order = GROUPS[wanted.group]
    # Ordered as the ids are; within the grouped rows the second column stands for the name.
    order = group_order if wanted.group in {"form", "place"} else "1"
    clauses, values = _clauses(wanted)
    source = f"FROM item i{_joins(name)} WHERE {clauses}"
    rows = connection.exec_driver_sql(
        f"SELECT {name}, count(*), coalesce(sum(i.gross_ug), 0), sum(i.gross_ug IS NULL) "
        f"{source} GROUP BY 1 ORDER BY {order}",
        values,
    ).all()
    fine: dict[str, dict[str, int]] = {}
    for group, metal, fine_ug in connection.exec_driver_sql(
        f"SELECT {name}, k.metal, sum(k.fine_ug) "
        f"FROM item i{_joins(name)} JOIN content k ON k.item = i.id WHERE {clauses} "
        "AND k.fine_ug IS NOT NULL GROUP BY 1, 2",
        values,
    ):
        fine.setdefault(group, {})[metal] = fine_ug
    return [GroupSum(row[0], row[1], row[2], row[3], fine.get(row[0], {})) for row in rows]


def group_sizes(
    connection: Connection, wanted: Wanted, ids: Sequence[int]
) -> list[tuple[str, int]]:
    """Give the groups of these items in their order, with how many of these each holds."""
    name, group_order = GROUPS[wanted.group]
    order = group_order if wanted.group in {"form", "place"} else "1"
    rows = connection.exec_driver_sql(
        f"SELECT {name}, count(*) FROM item i{_joins(name)} "
        f"WHERE i.id IN (SELECT value FROM json_each(?)) GROUP BY 1 ORDER BY {order}",
        (json.dumps(list(ids)),),
    )
    return [(row[0], row[1]) for row in rows]


def items_of(connection: Connection, ids: Sequence[int]) -> list[ListedItem]:
    """Give items by their ids, in the order asked for; ids that are gone are left out."""
    found: dict[int, ListedItem] = {}
    for start in range(0, len(ids), _AT_ONCE):
        some = list(ids[start : start + _AT_ONCE])
        marks = ", ".join("?" * len(some))
        for row in connection.exec_driver_sql(f"{_ITEM} WHERE i.id IN ({marks})", tuple(some)):
            found[row[0]] = _listed(row)
    return [found[one] for one in ids if one in found]


def tags_of(connection: Connection, ids: Sequence[int]) -> list[str]:
    """Give the tags of items by their ids, in the order asked for."""
    found: dict[int, str] = {}
    for start in range(0, len(ids), _AT_ONCE):
        some = tuple(ids[start : start + _AT_ONCE])
        marks = ", ".join("?" * len(some))
        rows = connection.exec_driver_sql(f"SELECT id, tag FROM item WHERE id IN ({marks})", some)
        found.update(rows.all())
    return [found[one] for one in ids if one in found]


def item_of(connection: Connection, tag: str) -> ListedItem | None:
    """Give the item of a tag, None where there is none."""
    row = connection.exec_driver_sql(f"{_ITEM} WHERE i.tag = ?", (tag,)).first()
    return None if row is None else _listed(row)


def names_like(connection: Connection, text: str, most: int) -> list[tuple[str, str]]:
    """Give what a typed word could mean, exact tags first: (`item`, `lot` or `party`; name)."""
    begins = text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_") + "%"
    found: list[tuple[str, str]] = []
    for kind, statement in (
        ("item", "SELECT tag FROM item WHERE tag = ? COLLATE NOCASE AND ?2 != ''"),
        ("lot", "SELECT name FROM lot WHERE name LIKE ?2 ESCAPE '\\' AND ?1 != '' ORDER BY name"),
        ("item", "SELECT tag FROM item WHERE tag LIKE ?2 ESCAPE '\\' AND ?1 != '' ORDER BY tag"),
        (
            "party",
            (
                "SELECT DISTINCT party FROM lot WHERE party LIKE '%' || ?2 ESCAPE '\\' "
                "AND ?1 != '' ORDER BY party"
            ),
        ),
    ):
        rows = connection.exec_driver_sql(f"{statement} LIMIT {most}", (text, begins))
        found += [(kind, row[0]) for row in rows]
    return list(dict.fromkeys(found))[:most]


_ITEM = (
    "SELECT i.id, i.tag, i.form, i.gross_ug, i.gross_u_ug, i.place, i.state, i.made_on, "
    "i.is_residue, i.lot, i.party, i.terms, i.note, o.owner, o.owner_share_ppm, o.lots, "
    "o.more_lots, i.hold_until FROM item i LEFT JOIN item_origin o ON o.item = i.id"
)


def _listed(row: Any) -> ListedItem:  # noqa: ANN401 - a row as the driver gives it
    return ListedItem(
        id=row[0],
        tag=row[1],
        form=row[2],
        gross_ug=row[3],
        gross_u_ug=row[4],
        place=row[5],
        state=State(row[6]),
        made_on=date.fromordinal(row[7]),
        is_residue=bool(row[8]),
        lot=row[9],
        party=row[10],
        terms=row[11],
        note=row[12],
        owner=row[13],
        owner_share_ppm=row[14],
        lots=tuple(row[15].split("\n")) if row[15] else (),
        more_lots=row[16] or 0,
        hold_until=None if row[17] is None else date.fromordinal(row[17]),
    )


def _joins(*expressions: str) -> str:
    if any(needed in one for one in expressions for needed in _NEEDS_ORIGIN):
        return " LEFT JOIN item_origin o ON o.item = i.id"
    return ""


def _clauses(wanted: Wanted) -> tuple[str, tuple[str, ...]]:
    clauses = [SHOWN[wanted.shown]]
    values: tuple[str, ...] = ()
    if wanted.place is not None:
        clauses.append("i.place = ?")
        values += (wanted.place,)
    if wanted.metal:
        clauses.append(
            "EXISTS (SELECT 1 FROM content c WHERE c.item = i.id AND c.metal = ? "
            "AND (c.fine_ug IS NULL OR c.fine_ug > 0))"
        )
        values += (wanted.metal,)
    for word in searched_for(wanted.text):
        ways = ways_to_write(word)
        clauses.append("(" + " OR ".join([_CONTAINS] * len(ways)) + ")")
        values += ways
    return " AND ".join(clauses), values


_CONTAINS = (
    "instr(lower(i.tag || char(10) || i.form || char(10) || i.lot || char(10) || i.party "
    "|| char(10) || i.place || char(10) || i.note), ?)"
)


def ways_to_write(word: str) -> tuple[str, ...]:
    """Give a word small, and where it has letters beyond ASCII, whose case SQLite leaves, large."""
    small = word.lower()
    if small.isascii():
        return (small,)
    large = "".join(one if one.isascii() else one.upper() for one in small)
    return tuple(dict.fromkeys((small, large)))
