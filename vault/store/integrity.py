"""Proof that a book is whole: the file, the chain, the rules, and the tables that follow from them.

Every fault is told; the proof never stops at the first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from vault.core.daybook import EMPTY_HEAD, Entry, Recorded, Role, next_seal, node_of
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.store.book_file import BookFile
from vault.store.entries import load_entries
from vault.store.standing import item_id, item_row
from vault.store.tables import CONTAINER, ITEM, LOT, STRIKE

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
    """Check file, chain, seal, rules and standing of a book."""
    with book.wire() as wire:
        broken = list(_file_faults(wire))
    with book.reading() as connection:
        try:
            chain = _Chain(progress)
            for recorded in load_entries(connection):
                chain.follow(recorded)
            broken += chain.broken
            broken += _orphans(connection)
            broken += _standing_faults(connection, chain.shop)
            return Proof(chain.entries, chain.head, tuple(broken))
        except (KeyError, ValueError, TypeError, OverflowError) as trouble:
            broken.append(f"An entry cannot be read at all ({trouble}); its row was altered.")
            return Proof(0, EMPTY_HEAD, tuple(broken))


class _Chain:
    """Follows the entries, working out what their heads and seals must be."""

    def __init__(self, progress: Progress | None) -> None:
        self.shop = Shop()
        self.head = EMPTY_HEAD
        self.seal = EMPTY_HEAD
        self.entries = 0
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
        elif seal != recorded.seal:
            self.broken.append(
                f"Entry {entry.number} does not keep its seal: when or under which key it was "
                "recorded has been altered."
            )
        self._judge(entry)
        # On with what is written, so that one altered entry is told once and not with all after.
        self.head, self.seal = recorded.head, recorded.seal
        self.entries += 1
        if self._progress is not None and self.entries % 1000 == 0:
            self._progress(self.entries, 0)

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


def _orphans(connection: Connection) -> Iterator[str]:
    """Find contents whose line or entry is not there; reading passes over them."""
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
    expected: Mapping[Any, tuple[object, ...]],
    found: Mapping[Any, tuple[object, ...]],
) -> Iterator[str]:
    for name in expected.keys() | found.keys():
        if expected.get(name) != found.get(name):
            yield (
                f"The table “{table}” does not say of {name} what a replay of the daybook gives; "
                "it can be made anew from the daybook."
            )
