"""Writing entries into the book and reading them back."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from vault.core.daybook import (
    EMPTY_HEAD,
    Act,
    Entry,
    Recorded,
    When,
    next_seal,
    node_of,
)
from vault.core.items import Placing
from vault.core.shop import LotRecord, Shop
from vault.store.garbage import no_search_for_cycles
from vault.store.rows import (
    CONTENT_COLUMNS,
    ENTRY_COLUMNS,
    LINE_COLUMNS,
    content_rows,
    entries_from_rows,
    entry_row,
    line_rows,
    recorded_from,
    when_of,
)
from vault.store.seals import containers, passed_through, sealed_along, sealed_containers
from vault.store.standing import keep_standing


def _names(columns: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in columns)


def _insert(table: str, columns: Sequence[str]) -> str:
    return f"INSERT INTO {table} ({_names(columns)}) VALUES ({', '.join('?' * len(columns))})"


# A whole list is bound as one JSON text, so that no statement grows with what it asks for.
_LISTED = "IN (SELECT value FROM json_each(?))"
_SORTED = "ORDER BY entry, position"
_ENTRIES = f"SELECT {_names(ENTRY_COLUMNS)} FROM entry"
_LINES = f"SELECT {_names(LINE_COLUMNS)} FROM line"
_CONTENTS = f"SELECT {_names(CONTENT_COLUMNS)} FROM line_content"
# A ref is a shipment's number in these acts only; elsewhere it is a certificate, a metal, an entry.
_NAMED = (
    f"{_LINES} WHERE tag {_LISTED} UNION {_LINES} WHERE ref != '' AND ref {_LISTED} AND "
    f"(SELECT act FROM entry WHERE number = line.entry) IN ('send', 'settle') {_SORTED}"
)
_GIVEN = f"SELECT DISTINCT tag FROM line WHERE tag {_LISTED} AND role IN ('in', 'made', 'extra')"
_RECEIPTS = "SELECT DISTINCT made_by FROM item WHERE lot != '' AND lot = ? ORDER BY made_by"
# Rows are made and sent in batches, so that a daybook of a million lines needs no second copy.
_BATCH = 5_000


def append(
    connection: Connection,
    shop: Shop,
    entries: Sequence[tuple[Entry, str]],
    recorded_at: datetime,
    *,
    written_so_far: Callable[[int], None] | None = None,
) -> list[Recorded]:
    """Write entries that `shop` has taken already, in order, and the standing they leave.

    Args:
        connection: of a writing transaction.
        shop: the shop after all these entries; it must hold every item that they name.
        entries: each with its own key.
        recorded_at: the moment of recording, UTC.
        written_so_far: is told now and then how many are written, and may end it by raising.
    """
    with no_search_for_cycles():
        written = _sealed(connection, entries, recorded_at)
        for start in range(0, len(written), _BATCH):
            if written_so_far is not None:
                written_so_far(start)
            _write(connection, written[start : start + _BATCH])
        keep_standing(connection, shop, [entry for entry, _ in entries])
    return written


def _sealed(
    connection: Connection, entries: Sequence[tuple[Entry, str]], recorded_at: datetime
) -> list[Recorded]:
    head, seal = head_and_seal(connection)
    written: list[Recorded] = []
    for entry, key in entries:
        head = node_of(head, entry.leaf)
        seal = next_seal(seal, head, recorded_at, key)
        written.append(Recorded(entry, recorded_at, key, head, seal))
    return written


def _write(connection: Connection, batch: Sequence[Recorded]) -> None:
    lines = [row for one in batch for row in line_rows(one.entry)]
    contents = [row for one in batch for row in content_rows(one.entry)]
    connection.exec_driver_sql(_insert("entry", ENTRY_COLUMNS), [entry_row(one) for one in batch])
    if lines:
        connection.exec_driver_sql(_insert("line", LINE_COLUMNS), lines)
    if contents:
        connection.exec_driver_sql(_insert("line_content", CONTENT_COLUMNS), contents)


def head_and_seal(connection: Connection) -> tuple[bytes, bytes]:
    """Give the head of the chain and the seal, those of the empty book where there is no entry."""
    row = connection.exec_driver_sql(
        "SELECT head, seal FROM entry ORDER BY number DESC LIMIT 1"
    ).first()
    return (EMPTY_HEAD, EMPTY_HEAD) if row is None else (bytes(row[0]), bytes(row[1]))


def last_number(connection: Connection) -> int:
    """Give the number of the last entry, 0 where there is none."""
    return connection.exec_driver_sql("SELECT max(number) FROM entry").scalar() or 0


def recorded_under(connection: Connection, key: str) -> int | None:
    """Give the number of the entry recorded under a key, None where there is none."""
    number: int | None = connection.exec_driver_sql(
        "SELECT number FROM entry WHERE key = ?", (key,)
    ).scalar()
    return number


def load_entries(
    connection: Connection, *, first: int | None = None, last: int | None = None
) -> Iterator[Recorded]:
    """Give entries in order, from `first` to `last`, both included."""
    bounds = (0 if first is None else first, (1 << 62) if last is None else last)
    struck = _pairs(
        connection, "SELECT struck, struck_by FROM strike WHERE struck BETWEEN ? AND ?", bounds
    )
    for entry, row in entries_from_rows(
        _rows(connection, f"{_ENTRIES} WHERE number BETWEEN ? AND ? ORDER BY number", bounds),
        _rows(connection, f"{_LINES} WHERE entry BETWEEN ? AND ? ORDER BY entry, position", bounds),
        _rows(
            connection, f"{_CONTENTS} WHERE entry BETWEEN ? AND ? ORDER BY entry, position", bounds
        ),
    ):
        yield recorded_from(entry, row, struck.get(entry.number))


def load_entry(connection: Connection, number: int) -> Recorded | None:
    """Give one entry, None where there is none of that number."""
    return next(load_entries(connection, first=number, last=number), None)


def load_some(connection: Connection, numbers: Iterable[int]) -> list[Recorded]:
    """Give the entries of these numbers, in order."""
    listed = (json.dumps(sorted(set(numbers))),)
    return _recorded(
        connection,
        listed[0],
        _rows(connection, f"{_LINES} WHERE entry {_LISTED} {_SORTED}", listed),
    )


def load_prices(connection: Connection) -> Shop:
    """Give a shop that has taken nothing but the prices, with those struck marked as struck."""
    numbers = [
        number for (number,) in _rows(connection, "SELECT number FROM entry WHERE act = 'price'")
    ]
    shop = Shop()
    for recorded in load_some(connection, numbers):
        shop.take(recorded.entry)
        if recorded.struck_by is not None:
            shop.struck[recorded.entry.number] = recorded.struck_by
    return shop


def load_entries_naming(connection: Connection, tag: str) -> list[Entry]:
    """Give every unstruck entry that names an item, in order."""
    numbers = _rows(
        connection,
        "SELECT DISTINCT entry FROM line WHERE tag = ? "
        "AND entry NOT IN (SELECT struck FROM strike)",
        (tag,),
    )
    return [recorded.entry for recorded in load_some(connection, [one for (one,) in numbers])]


def load_shop(connection: Connection) -> Shop:
    """Replay the whole book; its entries kept the rules when they were recorded."""
    shop = Shop()
    with no_search_for_cycles():
        for recorded in load_entries(connection):
            shop.take(recorded.entry)
    return shop


def shop_for(connection: Connection, entry: Entry) -> Shop:
    """Give a shop that holds just what the rules ask about this one entry.

    Entries in it hold only the lines that name its items, except the one that a strike strikes.
    """
    shop = Shop()
    tags = {line.tag for line in entry.lines if line.tag}
    refs = {line.ref for line in entry.lines if line.ref and entry.act is Act.SETTLE}
    tags |= sealed_along(connection, entry)
    target = _struck_target(connection, entry)
    if target is not None:
        tags |= {line.tag for line in target.entry.lines if line.tag}
        tags |= passed_through(connection, target.entry)
        if target.entry.act in {Act.SEND, Act.SETTLE}:
            refs |= {line.ref for line in target.entry.lines if line.ref}
    for part in _entries_about(connection, tags, refs):
        if part.struck_by is None:
            shop.take(part.entry)
        else:
            shop.struck[part.entry.number] = part.struck_by
    if target is not None:
        shop.entries[target.entry.number] = target.entry
        if target.struck_by is not None:
            shop.struck[target.entry.number] = target.struck_by
    _fill_names(connection, shop, entry, target.entry if target else None, tags)
    return shop


def _struck_target(connection: Connection, entry: Entry) -> Recorded | None:
    if entry.act is not Act.STRIKE or len(entry.lines) != 1:
        return None
    ref = entry.lines[0].ref
    if not (ref.isascii() and ref.isdigit() and len(ref) <= 9):
        return None
    return load_entry(connection, int(ref))


def _entries_about(connection: Connection, tags: set[str], refs: set[str]) -> list[Recorded]:
    """Give every entry that names one of the tags or shipments, cut down to the lines that do."""
    names = (json.dumps(sorted(tags)), json.dumps(sorted(refs)))
    lines = list(_rows(connection, _NAMED, names))
    return _recorded(connection, json.dumps(sorted({line[0] for line in lines})), lines)


def _recorded(
    connection: Connection, numbers: str, lines: Iterable[Sequence[Any]]
) -> list[Recorded]:
    """Put entries together, listed by number as JSON text, from lines that were read already."""
    listed = (numbers,)
    struck = _pairs(
        connection, f"SELECT struck, struck_by FROM strike WHERE struck {_LISTED}", listed
    )
    found = entries_from_rows(
        _rows(connection, f"{_ENTRIES} WHERE number {_LISTED} ORDER BY number", listed),
        lines,
        _rows(connection, f"{_CONTENTS} WHERE entry {_LISTED} {_SORTED}", listed),
    )
    return [recorded_from(entry, row, struck.get(entry.number)) for entry, row in found]


def _fill_names(
    connection: Connection, shop: Shop, entry: Entry, target: Entry | None, tags: set[str]
) -> None:
    """Add what is known by name: given tags, lots, places, containers, the latest moment."""
    shop.last_number = last_number(connection)
    shop.latest = _latest(connection)
    named = (json.dumps(sorted(tags)),)
    shop.given |= {tag: None for (tag,) in _rows(connection, _GIVEN, named)}
    lots = {line.lot for one in (entry, target) if one for line in one.lines if line.lot}
    if lots:
        _fill_lots(connection, shop, lots, with_receipts=target is not None)
    acts = {entry.act, target.act if target else None}
    if not acts.isdisjoint((Act.MOVE, Act.SEAL, Act.WEIGH)):
        known = _rows(connection, f"SELECT name FROM place WHERE name {_LISTED}", named)
        shop.places |= {name for (name,) in known}
    sealed = sealed_containers(connection)
    if sealed or not acts.isdisjoint((Act.MOVE, Act.SEAL)):
        for name, place in containers(connection):
            shop.containers.setdefault(name, [Placing(0, place)])
    for name, sealing in sealed:
        shop.seals.setdefault(name, [sealing])


def _fill_lots(connection: Connection, shop: Shop, lots: set[str], *, with_receipts: bool) -> None:
    statement = f"SELECT name, party, terms FROM lot WHERE name {_LISTED}"
    for name, party, terms in list(_rows(connection, statement, (json.dumps(sorted(lots)),))):
        receipts = [number for (number,) in _rows(connection, _RECEIPTS, (name,))]
        shop.lots[name] = LotRecord(party, terms, receipts)
        for receipt in load_some(connection, receipts) if with_receipts else ():
            shop.entries.setdefault(receipt.entry.number, receipt.entry)


def _latest(connection: Connection) -> When | None:
    row = connection.exec_driver_sql(
        "SELECT day, max(at_us) FROM entry WHERE day = (SELECT max(day) FROM entry)"
    ).one()
    return None if row[0] is None else when_of(row[0], row[1])


def _rows(
    connection: Connection, statement: str, bound: tuple[Any, ...] = ()
) -> Iterator[Sequence[Any]]:
    """Give rows as the driver has them; a whole book is read in two thirds of the time so."""
    wire: Any = connection.connection.driver_connection
    return iter(wire.execute(statement, bound))


def _pairs(connection: Connection, statement: str, bound: tuple[Any, ...]) -> dict[int, int]:
    return dict(connection.exec_driver_sql(statement, bound).all())
