"""Proof that a book is whole: the file, the chain, the rules, and the tables that follow from them.

Every fault is told; the proof never stops at the first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Connection, create_engine, func, select
from sqlalchemy.exc import DBAPIError
from sqlcipher3 import dbapi2

from vault.core.daybook import EMPTY_HEAD, Entry, Recorded, Role, next_seal, node_of
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.store.book_file import BookFile, lay_out
from vault.store.entries import load_entries
from vault.store.errors import StoreError
from vault.store.garbage import let_go, no_search_for_cycles
from vault.store.standing import item_id, item_row, photo_rows, scale_check_rows, seal_rows
from vault.store.tables import (
    CONTAINER,
    ENTRY,
    ITEM,
    LOT,
    PHOTO,
    PLACE,
    SCALE_CHECK,
    SEAL,
    STRIKE,
)

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Proof:
    """What a check of the whole book found.

    Attributes:
        entries: how many entries were read.
        head: the head of the chain, as worked out from the facts.
        broken: what does not hold, one sentence each; empty where all holds.
    """

    entries: int
    head: bytes
    broken: tuple[str, ...]


def prove(book: BookFile, progress: Progress | None = None) -> Proof:
    """Check file, schema, chain, seal, rules and standing of a book."""
    chain = _Chain(progress)
    try:
        with book.wire() as wire:
            chain.broken += _file_faults(wire)
            chain.broken += _schema_faults(wire)
        with book.reading() as connection:
            _follow_all(connection, chain)
            chain.broken += _orphans(connection)
            chain.broken += _standing_faults(connection, chain.shop)
    except StoreError as trouble:
        chain.broken.append(str(trouble))
    except (DBAPIError, dbapi2.Error) as trouble:
        told = getattr(trouble, "orig", None) or trouble
        chain.broken.append(f"The file cannot be read as a book: {told}.")
    finally:
        records = chain.shop.records()
        chain.shop = Shop()
        let_go(records)
    return Proof(chain.entries, chain.head, tuple(dict.fromkeys(chain.broken)))


# A book so broken that this many entries cannot be read is not read to its end.
_MOST_UNREADABLE = 20
# A word where a number belongs, or the other way round, shows as any of these.
_UNREADABLE = (AttributeError, KeyError, ValueError, TypeError, OverflowError, dbapi2.Error)


def _follow_all(connection: Connection, chain: _Chain) -> None:
    """Follow every entry, beginning anew after each that cannot be read."""
    chain.of = connection.scalar(select(func.count()).select_from(ENTRY)) or 0
    for _ in range(_MOST_UNREADABLE):
        try:
            with no_search_for_cycles():
                for recorded in load_entries(connection, first=chain.last + 1):
                    chain.follow(recorded)
        except _UNREADABLE as trouble:
            if not _pass_over(connection, chain, trouble):
                return
        else:
            return
    chain.broken.append("Too many entries cannot be read; those after them were not looked at.")


def _pass_over(connection: Connection, chain: _Chain, trouble: Exception) -> bool:
    """Tell of the entry that cannot be read and go on behind it; False where there is none."""
    row = connection.execute(
        select(ENTRY.c.number, ENTRY.c.head, ENTRY.c.seal)
        .where(ENTRY.c.number > chain.last)
        .order_by(ENTRY.c.number)
        .limit(1)
    ).first()
    if row is None:
        chain.broken.append(f"Rows behind the last entry cannot be read ({trouble}).")
        return False
    chain.broken.append(
        f"Entry {row.number} or the one after it cannot be read; its rows were altered ({trouble})."
    )
    chain.last, chain.head, chain.seal = row.number, bytes(row.head), bytes(row.seal)
    return True


class _Chain:
    """Follows the entries, working out what their heads and seals must be.

    Attributes:
        head: of the chain, after the entries followed so far.
        last: number of the last of them.
        of: how many entries there are to follow.
    """

    def __init__(self, progress: Progress | None) -> None:
        self.shop = Shop()
        self.head = EMPTY_HEAD
        self.seal = EMPTY_HEAD
        self.last = 0
        self.entries = 0
        self.of = 0
        self.broken: list[str] = []
        self._progress = progress

    def follow(self, recorded: Recorded) -> None:
        """Take one entry, and note what does not hold for it."""
        entry = recorded.entry
        head = node_of(self.head, entry.leaf)
        seal = next_seal(self.seal, recorded.head, recorded.recorded_at, recorded.key)
        if head != recorded.head:
            self.broken.append(
                f"Entry {entry.number} is not as it was recorded: it does not fit its place in "
                "the chain."
            )
        if seal != recorded.seal:
            self.broken.append(
                f"Entry {entry.number} does not keep its seal: its place in the chain, when or "
                "under which key it was recorded has been altered."
            )
        self._judge(entry)
        # On with what is written, so that one altered entry is told once and not with all after.
        self.head, self.seal, self.last = recorded.head, recorded.seal, entry.number
        self.entries += 1
        if self._progress is not None and self.entries % 1000 == 0:
            self._progress(self.entries, self.of)

    def _judge(self, entry: Entry) -> None:
        faults = faults_of(entry, self.shop)
        for fault in faults:
            self.broken.append(f"Entry {entry.number} breaks a rule: {fault.sentence}")
        if not faults:
            self.shop.take(entry)


def _file_faults(wire: Any) -> Iterator[str]:  # noqa: ANN401 - the driver has no types
    for (said,) in wire.execute("PRAGMA integrity_check"):
        if said != "ok":
            yield f"The file is damaged: {said}."
    for row in wire.execute("PRAGMA foreign_key_check"):
        yield f"A row of the table {row[0]} refers to a row of {row[2]} that is not there."


def _schema_faults(wire: Any) -> Iterator[str]:  # noqa: ANN401 - the driver has no types
    """Compare tables, indexes and triggers with those that this program makes."""
    found, expected = schema_of(wire), _schema_as_made()
    for name in sorted(found.keys() | expected.keys()):
        if found.get(name) != expected.get(name):
            yield f"The {name} of the file is not as this program makes it."


@cache
def _schema_as_made() -> dict[str, str]:
    engine = create_engine("sqlite://", module=dbapi2, creator=lambda: dbapi2.connect(":memory:"))
    with engine.begin() as connection:
        lay_out(connection)
        made = schema_of(connection.connection.driver_connection)
    engine.dispose()
    return made


def schema_of(wire: Any) -> dict[str, str]:  # noqa: ANN401 - the driver has no types
    """Give what the file says of each table, index and trigger, by kind and name."""
    rows = wire.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {f"{kind} “{name}”": " ".join(said.split()) for kind, name, said in rows}


def _orphans(connection: Connection) -> Iterator[str]:
    """Find what reading passes over: rows whose line or entry is not there, and spare words."""
    for number, position in connection.exec_driver_sql(
        "SELECT entry, position FROM line_content EXCEPT SELECT entry, position FROM line"
    ):
        yield f"A content of entry {number}, line {position + 1} has lost its line."
    for (number,) in connection.exec_driver_sql(
        "SELECT entry FROM line EXCEPT SELECT number FROM entry"
    ):
        yield f"Lines of entry {number} are there without the entry."
    for (number,) in connection.exec_driver_sql(
        "SELECT entry FROM line GROUP BY entry HAVING max(position) + 1 != count(*) "
        "OR min(position) != 0"
    ):
        yield f"Lines of entry {number} are missing or numbered anew."

    for (number,) in connection.exec_driver_sql(
        "SELECT DISTINCT entry FROM line WHERE money_millionths IS NULL AND currency != ''"
    ):
        yield f"A line of entry {number} names a currency without an amount."


def _standing_faults(connection: Connection, shop: Shop) -> Iterator[str]:
    yield from _differences(
        "item", _items_of(shop), {row[1]: tuple(row) for row in connection.execute(select(ITEM))}
    )
    yield from _differences(
        "lot",
        {
            name: (name, lot.party, lot.terms, *_first_receipt(shop, lot.received_by))
            for name, lot in shop.lots.items()
        },
        {row[0]: tuple(row) for row in connection.execute(select(LOT))},
    )
    yield from _differences(
        "strike",
        {struck: (struck, by) for struck, by in shop.struck.items()},
        {row[0]: tuple(row) for row in connection.execute(select(STRIKE))},
    )
    yield from _differences(
        "container",
        {
            name: (name, placings[-1].place if placings else "")
            for name, placings in shop.containers.items()
        },
        {row[0]: tuple(row) for row in connection.execute(select(CONTAINER))},
    )
    yield from _differences(
        "place",
        {name: (name,) for name in shop.places},
        {row[0]: tuple(row) for row in connection.execute(select(PLACE))},
    )
    yield from _bench_differences(connection, shop)


def _bench_differences(connection: Connection, shop: Shop) -> Iterator[str]:
    sealed = {*shop.seals, *(tag for tag, item in shop.items.items() if item.seals)}
    yield from _differences(
        "seal",
        {row[0]: row for row in seal_rows(shop, sealed)},
        {row[0]: tuple(row) for row in connection.execute(select(SEAL))},
    )
    for table, rows_of in ((PHOTO, photo_rows), (SCALE_CHECK, scale_check_rows)):
        expected = {
            f"entry {number}": rows
            for number, entry in shop.entries.items()
            if number not in shop.struck and (rows := tuple(rows_of(entry)))
        }
        found: dict[str, tuple[tuple[object, ...], ...]] = {}
        for row in connection.execute(select(table).order_by(*table.primary_key)):
            name = f"entry {row[0]}"
            found[name] = (*found.get(name, ()), tuple(row))
        yield from _differences(table.name, expected, found)


def _items_of(shop: Shop) -> dict[str, tuple[object, ...]]:
    made_at = {
        (entry.number, line.tag): position
        for entry in shop.entries.values()
        for position, line in enumerate(entry.lines)
        if line.role in {Role.IN, Role.MADE, Role.EXTRA}
    }
    return {
        tag: item_row(item, item_id(item.made_by, made_at[item.made_by, tag]))
        for tag, item in shop.items.items()
    }


def _first_receipt(shop: Shop, received_by: list[int]) -> tuple[int, int]:
    first = received_by[0]
    return shop.entries[first].when.day.toordinal(), first


def _differences(
    table: str,
    expected: dict[Any, Any],
    found: dict[Any, Any],
) -> Iterator[str]:
    """Tell what is not as expected; both are taken apart by it, row by row (see `let_go`)."""
    different: list[Any] = []
    while expected:
        name, row = expected.popitem()
        if found.pop(name, None) != row:
            different.append(name)
    while found:
        different.append(found.popitem()[0])
    # In a file whose tables were swapped, numbers and words stand where one of them belongs.
    for name in sorted(different, key=str):
        yield (
            f"The table “{table}” does not say of {name} what a replay of the daybook gives; "
            "it can be made anew from the daybook."
        )
