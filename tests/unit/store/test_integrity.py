"""That no altered byte of an entry escapes the check."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError
from sqlcipher3 import dbapi2

from builders import (
    assayed,
    counted,
    moved,
    photographed,
    priced,
    received,
    returned,
    scale_checked,
    sealed,
    sent,
    settled,
    sold,
    struck,
    thing,
    weighed,
    worked,
)
from random_shop import RandomShop
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.core.daybook import EMPTY_HEAD, Entry, Recorded, Role
from vault.store.book_file import BookFile
from vault.store.entries import load_entries
from vault.store.errors import StoreError
from vault.store.integrity import Proof, prove
from vault.store.tables import FACTS, METADATA, STANDING_TABLES

Value = int | str | bytes | None

ENTRIES = (
    received(
        1,
        thing("R-1", "filings", "512.40 ± 0.02", "Ag 600 ± 60, Au 2", place="bench", note="moist"),
        thing("R-2", "scrap", "80"),
    ),
    worked(
        2,
        "cupel",
        used="R-1",
        added=[thing("", "lead", "350", "Ag 0.1")],
        made=[thing("B-1", "bead", "300", place="tray"), thing("C-1", "spent cupel")],
    ),
    assayed(3, "B-1", "Ag 991 ± 0.4, Au 3", ref="F-7"),
    weighed(4, "B-1", "299.98 ± 0.01"),
    moved(5, "tray", "safe"),
    sent(6, "C-1"),
    settled(7, thing("C-1", says="Ag 1.85", how="settlement"), thing(money="2.21 EUR")),
    returned(8, "B-1"),
    sold(9, "R-2"),
    counted(10, extra=[thing("X-1", "dust", "4", note="a tin nobody knows")]),
    priced(11, "Ag", "0.95 EUR"),
    priced(12, "Au", "61.2 EUR"),
    struck(13, 12, reason="of last year"),
    photographed(14, "B-1", "5d" * 32, "the bead"),
    sealed(15, "safe", "0417", witness="Ole"),
    sealed(16, "safe", "0417", role=Role.CHECKED),
    scale_checked(17, "bench scale", "200 g", "200.01 g"),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A small book in which everything is said, closed."""
    path = tmp_path / "our.shop"
    record(path, ENTRIES)
    return path


def record(path: Path, entries: tuple[Entry, ...] | list[Entry]) -> None:
    with Book.create(path, zone="Europe/Oslo", operator="Imke") as book:
        import_entries(book, entries)


@pytest.fixture
def strangers_hand(path: Path) -> Iterator[dbapi2.Connection]:
    """A way into the file that goes round this program and its triggers.

    Through the same SQLite: two of them in one process would not see each other's locks.
    """
    with closing(dbapi2.connect(str(path), isolation_level=None)) as hand:
        hand.execute("PRAGMA synchronous=OFF")
        for (name,) in hand.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
            hand.execute(f"DROP TRIGGER {name}")
        yield hand


def proof_of(path: Path) -> Proof:
    with closing(BookFile.open(path, writing=False)) as book:
        return prove(book)


def faults(path: Path) -> list[str]:
    """Give what is broken, but for the triggers that the stranger took away."""
    return _but_triggers(proof_of(path))


def _but_triggers(proof: Proof) -> list[str]:
    return [one for one in proof.broken if not one.startswith("The trigger ")]


def primary_key(hand: dbapi2.Connection, table: str) -> list[str]:
    return [row[1] for row in hand.execute(f"PRAGMA table_info({table})") if row[5]]


def fields(
    hand: dbapi2.Connection, table: str
) -> Iterator[tuple[str, dict[str, Value], str, Value]]:
    """Give every field of a table: how to find its row, the row's key, its column, its value."""
    key = primary_key(hand, table)
    where = " AND ".join(f'"{name}" = :{name}' for name in key)
    cursor = hand.execute(f"SELECT * FROM {table}")
    columns = [one[0] for one in cursor.description]
    for row in cursor.fetchall():
        named = dict(zip(columns, row, strict=True))
        for column in columns:
            yield where, {name: named[name] for name in key}, column, named[column]


def alterations(value: Value, *, every: bool) -> Iterator[Value]:
    """Give what a field could be altered to: each byte flipped, or a number, or nothing."""
    if value is None:
        yield 0
        yield 1
    elif isinstance(value, int):
        yield value + 1
        yield value ^ (1 << 40)
        yield -value - 1
    elif value in ("", b""):
        yield "x" if isinstance(value, str) else b"x"
    else:
        places = range(len(value)) if every else (len(value) // 2,)
        for at in places:
            if isinstance(value, bytes):
                yield value[:at] + bytes([value[at] ^ 1]) + value[at + 1 :]
            else:
                yield value[:at] + chr(ord(value[at]) ^ 1) + value[at + 1 :]
        if isinstance(value, bytes):
            yield from (value[:-1], value + value[:1])
        else:
            yield from (value[:-1], value + value[:1])


@pytest.fixture
def watched(path: Path) -> Iterator[BookFile]:
    """The book, held open for reading while somebody alters it."""
    with closing(BookFile.open(path, writing=False)) as book:
        yield book


def missed_by_the_check(
    hand: dbapi2.Connection, book: BookFile, table: str, *, every: bool
) -> list[tuple[dict[str, Value], str, Value, Value]]:
    """Alter every field of a table in turn, and give the alterations that were not found."""
    missed = []
    for where, key, column, value in list(fields(hand, table)):
        for altered in alterations(value, every=every):
            hand.execute("PRAGMA foreign_keys=OFF")
            try:
                hand.execute("SAVEPOINT before")
                hand.execute(
                    f'UPDATE {table} SET "{column}" = :altered WHERE {where}',
                    {**key, "altered": altered},
                )
            except dbapi2.IntegrityError:
                hand.execute("ROLLBACK TO before")
                hand.execute("RELEASE before")
                continue
            hand.execute("RELEASE before")
            if not _but_triggers(prove(book)):
                missed.append((key, column, value, altered))
            back = {**key, "value": value}
            if column in key:
                back[column] = altered
            hand.execute(f'UPDATE {table} SET "{column}" = :value WHERE {where}', back)
    return missed


def test_a_sound_book_holds(path: Path) -> None:
    proof = proof_of(path)
    assert proof.broken == ()
    assert proof.entries == len(ENTRIES)


def test_an_empty_book_holds(tmp_path: Path) -> None:
    record(tmp_path / "empty.shop", ())
    assert proof_of(tmp_path / "empty.shop") == Proof(0, EMPTY_HEAD, ())


@pytest.mark.parametrize("seed", range(4))
def test_a_random_book_holds(tmp_path: Path, seed: int) -> None:
    shop = RandomShop(seed)
    shop.go_on(150)
    record(tmp_path / "random.shop", shop.entries)
    assert proof_of(tmp_path / "random.shop").broken == ()


@pytest.mark.parametrize("table", FACTS)
def test_every_altered_field_of_the_facts_is_found(
    watched: BookFile, strangers_hand: dbapi2.Connection, table: str
) -> None:
    assert _but_triggers(prove(watched)) == []
    assert missed_by_the_check(strangers_hand, watched, table, every=False) == []
    assert _but_triggers(prove(watched)) == []


@pytest.mark.slow
@pytest.mark.parametrize("table", FACTS)
def test_every_altered_byte_of_the_facts_is_found(
    watched: BookFile, strangers_hand: dbapi2.Connection, table: str
) -> None:
    assert missed_by_the_check(strangers_hand, watched, table, every=True) == []


@pytest.mark.parametrize("table", [table.name for table in STANDING_TABLES])
def test_every_altered_field_of_the_standing_is_found(
    watched: BookFile, strangers_hand: dbapi2.Connection, table: str
) -> None:
    assert strangers_hand.execute(f"SELECT count(*) FROM {table}").fetchone()[0] > 0
    assert missed_by_the_check(strangers_hand, watched, table, every=False) == []


def bytes_that_escape(path: Path, step: int) -> list[int]:
    """Flip single bytes of the file, and give those that go unseen though a fact changed."""
    before = facts(path)
    whole = path.read_bytes()
    escaped = []
    for at in range(step // 2, len(whole), step):
        if not whole[max(at - 16, 0) : at + 16].strip(b"\0"):
            continue  # amid nothing but zeros, where nothing is kept
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 0x11]) + whole[at + 1 :])
        if facts(path) != before and not is_found(path):
            escaped.append(at)
    path.write_bytes(whole)
    return escaped


def facts(path: Path) -> list[Recorded] | None:
    """Read every entry; None where that cannot be done."""
    try:
        with closing(BookFile.open(path, writing=False)) as book, book.reading() as connection:
            return list(load_entries(connection))
    except (StoreError, DBAPIError, dbapi2.Error, ValueError, KeyError, TypeError, OverflowError):
        return None


def is_found(path: Path) -> bool:
    try:
        return bool(proof_of(path).broken)
    except StoreError:
        return True


def test_a_flipped_byte_of_the_file_is_found_or_changes_no_fact(path: Path) -> None:
    assert bytes_that_escape(path, 211) == []


@pytest.mark.slow
def test_any_flipped_byte_of_the_file_is_found_or_changes_no_fact(path: Path) -> None:
    assert bytes_that_escape(path, 1) == []


@pytest.mark.parametrize("number", [entry.number for entry in ENTRIES])
def test_a_torn_out_entry_is_found(
    path: Path, strangers_hand: dbapi2.Connection, number: int
) -> None:
    for table in ("line_content", "line"):
        strangers_hand.execute(f"DELETE FROM {table} WHERE entry = ?", (number,))
    strangers_hand.execute("DELETE FROM entry WHERE number = ?", (number,))
    last = number == ENTRIES[-1].number
    told = f"Entry {number + 1} is not as it was recorded" if not last else "“scale_check”"
    assert any(told in fault for fault in faults(path))


@pytest.mark.parametrize("table", ["line", "line_content"])
def test_a_torn_out_row_is_found(path: Path, strangers_hand: dbapi2.Connection, table: str) -> None:
    key = primary_key(strangers_hand, table)
    where = " AND ".join(f"{name} = ?" for name in key)
    rows = strangers_hand.execute(f"SELECT * FROM {table}").fetchall()
    for row in rows:
        strangers_hand.execute(f"DELETE FROM {table} WHERE {where}", row[: len(key)])
        assert any(f"ntry {row[0]}" in fault for fault in faults(path)), row
        marks = ", ".join("?" * len(row))
        strangers_hand.execute(f"INSERT INTO {table} VALUES ({marks})", row)
    assert faults(path) == []


def test_an_entry_slipped_in_is_found(path: Path, strangers_hand: dbapi2.Connection) -> None:
    row = strangers_hand.execute("SELECT * FROM entry WHERE number = 11").fetchone()
    strangers_hand.execute(
        "INSERT INTO entry VALUES (18, ?, ?, ?, ?, ?, ?, 'another key', ?, ?)",
        (*row[1:7], row[8], row[9]),
    )
    strangers_hand.execute(
        "INSERT INTO line SELECT 18, position, role, tag, form, lot, party, terms, place, "
        "gross_ug, gross_u_ug, how, ref, money_millionths, currency, note, tare_ug, nominal_ug, "
        "hold_until, scale, witness, furnace FROM line WHERE entry = 11"
    )
    assert any("Entry 18 is not as it was recorded" in fault for fault in faults(path))


def test_one_altered_entry_is_told_once_and_not_with_all_that_follow(
    path: Path, strangers_hand: dbapi2.Connection
) -> None:
    strangers_hand.execute("UPDATE line SET note = 'dry' WHERE note = 'moist'")
    [told] = [fault for fault in faults(path) if "chain" in fault]
    assert told.startswith("Entry 1 is not as it was recorded")


def test_lost_triggers_are_found(path: Path, strangers_hand: dbapi2.Connection) -> None:
    assert sum(one.startswith("The trigger “") for one in proof_of(path).broken) == 12


def test_a_table_of_somebody_else_is_found(path: Path, strangers_hand: dbapi2.Connection) -> None:
    strangers_hand.execute("CREATE TABLE guest (name TEXT)")
    assert faults(path) == ["The table “guest” of the file is not as this program makes it."]


@pytest.mark.parametrize("table", [*FACTS, *(table.name for table in STANDING_TABLES)])
def test_a_table_taken_away_is_found(
    path: Path, strangers_hand: dbapi2.Connection, table: str
) -> None:
    strangers_hand.execute("PRAGMA foreign_keys=OFF")
    strangers_hand.execute(f"DROP TABLE {table}")
    assert f"The table “{table}” of the file is not as this program makes it." in faults(path)


def test_bytes_that_are_no_text_are_found(path: Path, strangers_hand: dbapi2.Connection) -> None:
    strangers_hand.execute("UPDATE line SET note = CAST(x'ff41' AS TEXT) WHERE note = 'moist'")
    told = faults(path)
    assert any("cannot be read; its rows were altered" in fault for fault in told)


def test_a_book_of_nothing_but_nonsense_is_told_and_given_up(
    tmp_path: Path,
) -> None:
    path = tmp_path / "random.shop"
    shop = RandomShop(3)
    shop.go_on(60)
    record(path, shop.entries)
    with closing(dbapi2.connect(str(path), isolation_level=None)) as hand:
        hand.execute("DROP TRIGGER entry_keeps_on_update")
        hand.execute("UPDATE entry SET act = 'dream'")
    assert "Too many entries cannot be read; those after them were not looked at." in faults(path)


def test_the_check_tells_how_far_it_is(tmp_path: Path) -> None:
    path = tmp_path / "long.shop"
    record(path, [priced(number, "Ag", "0.95 EUR") for number in range(1, 2101)])
    steps: list[tuple[int, int]] = []
    with closing(BookFile.open(path, writing=False)) as book:
        prove(book, progress=lambda done, of: steps.append((done, of)))
    assert steps == [(1000, 2100), (2000, 2100)]


def test_every_table_is_a_fact_a_standing_a_figure_a_report_or_a_setting() -> None:
    kinds = {table.info["kind"] for table in METADATA.tables.values()}
    assert kinds == {"facts", "standing", "figures", "reported", "setting"}
