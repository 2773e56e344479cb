"""The standing: what a replay gives, kept row by row as entries are written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from sqlalchemy import Connection

from vault.core.daybook import Act, Entry, Role
from vault.core.items import Item
from vault.core.shop import Shop
from vault.store.rows import put_many
from vault.store.tables import STANDING_TABLES

# An item's id is its making: the entry's number and the position of its line. So ids rise in the
# order of making, never change, and no counter has to be kept.
_POSITIONS = 1 << 20

_MAKING = frozenset({Role.IN, Role.MADE, Role.EXTRA})

# What is known of an item goes with it, so that no figure is left of a thing that is no more.
_TAKE_AWAY = (
    "DELETE FROM content WHERE item = (SELECT id FROM item WHERE tag = ?)",
    "DELETE FROM item_origin WHERE item = (SELECT id FROM item WHERE tag = ?)",
    "DELETE FROM item WHERE tag = ?",
)

_PUT_ITEM = (
    "INSERT INTO item (id, tag, form, lot, party, terms, made_by, made_on, used_by, gross_ug, "
    "gross_u_ug, place, state, is_residue, note, hold_until) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, "
    "?, ?, ?, ?, ?, ?) ON CONFLICT (tag) DO UPDATE SET used_by = excluded.used_by, "
    "gross_ug = excluded.gross_ug, gross_u_ug = excluded.gross_u_ug, place = excluded.place, "
    "state = excluded.state"
)


def item_id(made_by: int, position: int) -> int:
    """Give the id of the item made by a line."""
    return made_by * _POSITIONS + position


def keep_standing(connection: Connection, shop: Shop, entries: Sequence[Entry]) -> None:
    """Write the standing of all that these entries touch, as the shop has it after them."""
    touched = list(_with_struck(shop, entries))
    made_at = {
        line.tag: position
        for entry in touched
        for position, line in enumerate(entry.lines)
        if line.role in _MAKING
    }
    tags = dict.fromkeys(line.tag for entry in touched for line in entry.lines if line.tag)
    for statement in _TAKE_AWAY:
        put_many(connection, statement, _gone(shop, made_at))
    put_many(connection, _PUT_ITEM, _item_rows(shop, tags, made_at))
    put_many(
        connection,
        "INSERT INTO strike (struck, struck_by) VALUES (?, ?)",
        ((one.struck_number(), one.number) for one in entries if one.act is Act.STRIKE),
    )
    _keep_names(connection, shop, touched)
    _keep_bench(connection, shop, touched, entries)


def rebuild_standing(connection: Connection, shop: Shop) -> None:
    """Throw the standing away and write it anew from a replay of the whole book."""
    for table in STANDING_TABLES:
        connection.exec_driver_sql(f"DELETE FROM {table.name}")
    keep_standing(connection, shop, list(shop.entries.values()))


def _with_struck(shop: Shop, entries: Iterable[Entry]) -> Iterator[Entry]:
    for entry in entries:
        yield entry
        if entry.act is Act.STRIKE:
            yield shop.entries[entry.struck_number()]


def _gone(shop: Shop, made_at: dict[str, int]) -> Iterator[tuple[str]]:
    return ((tag,) for tag in made_at if tag not in shop.items)


def _item_rows(
    shop: Shop, tags: Iterable[str], made_at: dict[str, int]
) -> Iterator[tuple[object, ...]]:
    for tag in tags:
        item = shop.items.get(tag)
        if item is not None:
            # An item that is only updated keeps the id it has; any free number will do here.
            position = made_at.get(tag)
            number = -1 if position is None else item_id(item.made_by, position)
            yield item_row(item, number)


def item_row(item: Item, number: int) -> tuple[object, ...]:
    """Give the row of an item, in the order of the table's columns."""
    gross, gross_u = item.gross, item.gross_u
    return (
        number,
        item.tag,
        item.form,
        item.lot,
        item.party,
        item.terms,
        item.made_by,
        item.made_on.toordinal(),
        item.used_by,
        None if gross is None else gross.micrograms,
        None if gross_u is None else gross_u.micrograms,
        item.place,
        item.state.value,
        int(item.is_residue),
        item.note,
        None if item.hold_until is None else item.hold_until.toordinal(),
    )


def _keep_names(connection: Connection, shop: Shop, entries: Sequence[Entry]) -> None:
    lots: dict[str, None] = {}
    places: dict[str, None] = {}
    containers: dict[str, None] = {}
    for entry in entries:
        for line in entry.lines:
            if line.role is Role.IN:
                lots[line.lot] = None
            if line.place:
                places[line.place] = None
            if entry.act is Act.MOVE and line.tag in shop.containers:
                containers[line.tag] = None
    put_many(
        connection,
        "DELETE FROM lot WHERE name = ?",
        ((name,) for name in lots if name not in shop.lots),
    )
    put_many(connection, _PUT_LOT, _lot_rows(shop, lots, entries))
    put_many(
        connection, "INSERT OR IGNORE INTO place (name) VALUES (?)", ((one,) for one in places)
    )
    put_many(
        connection,
        "INSERT INTO container (name, place) VALUES (?, ?) "
        "ON CONFLICT (name) DO UPDATE SET place = excluded.place",
        (
            (name, shop.containers[name][-1].place if shop.containers[name] else "")
            for name in containers
        ),
    )


_PUT_LOT = (
    "INSERT INTO lot (name, party, terms, day, entry) VALUES (?, ?, ?, ?, ?) "
    "ON CONFLICT (name) DO UPDATE SET party = excluded.party, terms = excluded.terms, "
    "day = excluded.day, entry = excluded.entry"
)


def _lot_rows(
    shop: Shop, lots: Iterable[str], entries: Iterable[Entry]
) -> Iterator[tuple[object, ...]]:
    days = {entry.number: entry.when.day for entry in entries}
    for name in lots:
        lot = shop.lots.get(name)
        if lot is None:
            continue
        first = lot.received_by[0]
        entry = shop.entries.get(first)
        day = days.get(first) or (entry.when.day if entry is not None else None)
        if day is not None:
            yield (name, lot.party, lot.terms, day.toordinal(), first)


def _keep_bench(
    connection: Connection, shop: Shop, touched: Sequence[Entry], entries: Sequence[Entry]
) -> None:
    """Keep photos, seals and checks of scales."""
    struck = [(one.number,) for one in touched if one.number in shop.struck]
    standing = [one for one in entries if one.number not in shop.struck]
    for table, rows_of in (("photo", photo_rows), ("scale_check", scale_check_rows)):
        put_many(connection, f"DELETE FROM {table} WHERE entry = ?", struck)
        rows = [row for entry in standing for row in rows_of(entry)]
        if rows:
            marks = ", ".join("?" * len(rows[0]))
            put_many(connection, f"INSERT INTO {table} VALUES ({marks})", rows)
    sealed = dict.fromkeys(
        line.tag for entry in touched if entry.act is Act.SEAL for line in entry.lines
    )
    put_many(connection, "DELETE FROM seal WHERE name = ?", ((name,) for name in sealed))
    put_many(connection, "INSERT INTO seal VALUES (?, ?, ?, ?, ?)", seal_rows(shop, sealed))


def photo_rows(entry: Entry) -> Iterator[tuple[object, ...]]:
    """Give the rows of an entry's photos, in the order of the table's columns."""
    for position, line in enumerate(entry.lines):
        if entry.act is Act.PHOTO:
            yield entry.number, position, line.tag, line.ref, line.note


def scale_check_rows(entry: Entry) -> Iterator[tuple[object, ...]]:
    """Give the rows of an entry's checks of scales, in the order of the table's columns."""
    for position, line in enumerate(entry.lines):
        if entry.act is Act.SCALE_CHECK and line.nominal is not None and line.gross is not None:
            yield (
                entry.number,
                position,
                line.scale,
                entry.when.day.toordinal(),
                line.nominal.micrograms,
                line.gross.micrograms,
            )


def seal_rows(shop: Shop, names: Iterable[str]) -> Iterator[tuple[object, ...]]:
    """Give the rows of the unbroken seals on these, in the order of the table's columns."""
    for name in names:
        last = shop.seal_on(name)
        if last is not None:
            yield name, last.number, last.entry, last.role.value, last.witness
