from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy.exc
from sqlalchemy import Connection, text
from sqlcipher3 import dbapi2

from hardship import lesser_rights, no_file_beyond
from vault.store import book_file
from vault.store.book_file import APPLICATION_ID, FORMAT, BookFile
from vault.store.errors import (
    BookClosed,
    BookDamaged,
    BookExists,
    BookInUse,
    BookReadOnly,
    BookTooNew,
    DiskFull,
    NetworkDrive,
    NoSuchBook,
    NotABook,
    StoreError,
)
from vault.store.lock import lock_file_of
from vault.store.places import file_system_of, refuse_network_drive
from vault.store.tables import APPEND_ONLY, METADATA


def put(connection: Connection, name: str, value: str) -> None:
    connection.execute(
        text("INSERT INTO setting (name, value) VALUES (:name, :value)"),
        {"name": name, "value": value},
    )


def names(connection: Connection) -> set[str]:
    return set(connection.scalars(text("SELECT name FROM setting")))


def lies_beside(path: Path) -> set[str]:
    return {other.name for other in path.parent.iterdir() if other.name != "home"}


# Making and opening --------------------------------------------------------------------------


def test_a_new_book_keeps_what_was_said_of_the_shop(book: BookFile) -> None:
    path = book.path
    book.close()
    with closing(BookFile.open(path)) as again:
        assert again.setting("zone") == "Europe/Oslo"
        assert again.setting("shop_name") == "The Assay Yard"
        assert again.setting("currency", "none") == ""
        assert again.setting("never said", "none") == "none"


def test_a_setting_can_be_changed_and_travels_with_the_book(book: BookFile) -> None:
    book.change_setting("currency", "EUR")
    book.change_setting("currency", "NOK")
    path = book.path
    book.close()
    with closing(BookFile.open(path, writing=False)) as again:
        assert again.setting("currency") == "NOK"


def test_a_closed_book_is_one_plain_file(book: BookFile) -> None:
    book.change_setting("currency", "EUR")
    book.close()
    book.close()
    assert lies_beside(book.path) == {"our.shop"}


def test_other_programs_can_tell_a_book_from_any_database(book: BookFile) -> None:
    book.close()
    header = book.path.read_bytes()[:100]
    assert header[:16] == b"SQLite format 3\0"
    # Offsets of user version and application id: the SQLite file format, section 1.3.
    assert int.from_bytes(header[60:64], "big") == FORMAT
    assert int.from_bytes(header[68:72], "big") == APPLICATION_ID


@pytest.mark.parametrize("writing", [True, False])
def test_every_connection_is_set_for_safety(book: BookFile, *, writing: bool) -> None:
    book.close()
    wanted = {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "trusted_schema": 0,
        "cell_size_check": 1,
        "fullfsync": 1,
        "checkpoint_fullfsync": 1,
    }
    with closing(BookFile.open(book.path, writing=writing)) as again, again.wire() as wire:
        found = {name: wire.execute(f"PRAGMA {name}").fetchone()[0] for name in wanted}
    assert found == wanted


def test_every_table_is_strict_about_kinds(book: BookFile) -> None:
    with book.wire() as wire:
        strict = {row[1]: row[5] for row in wire.execute("PRAGMA table_list") if row[0] == "main"}
    assert {name for name in METADATA.tables if strict[name] != 1} == set()


def test_a_book_never_takes_the_place_of_a_file(tmp_path: Path) -> None:
    path = tmp_path / "letter.shop"
    path.write_text("Dear customer")
    with pytest.raises(BookExists, match="is there already"):
        BookFile.create(path, zone="Europe/Oslo")
    assert path.read_text() == "Dear customer"
    assert lies_beside(path) == {"letter.shop"}


def test_a_book_needs_its_folder(tmp_path: Path) -> None:
    with pytest.raises(NoSuchBook, match="There is no folder"):
        BookFile.create(tmp_path / "nowhere" / "our.shop", zone="Europe/Oslo")


def test_a_book_half_made_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(_connection: Connection) -> None:
        raise RuntimeError("the lights went out")

    monkeypatch.setattr(book_file, "lay_out", fails)
    with pytest.raises(RuntimeError, match="lights"):
        BookFile.create(tmp_path / "our.shop", zone="Europe/Oslo")
    assert lies_beside(tmp_path / "our.shop") == set()


def test_a_book_whose_making_was_killed_can_be_made_again(tmp_path: Path) -> None:
    code = (
        "import os, signal\n"
        "from pathlib import Path\n"
        "from vault.store import book_file\n"
        "whole = book_file.lay_out\n"
        "def killed(connection):\n"
        "    whole(connection)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
        "book_file.lay_out = killed\n"
        f"book_file.BookFile.create(Path({str(tmp_path / 'our.shop')!r}), zone='Europe/Oslo')\n"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == -signal.SIGKILL
    assert not (tmp_path / "our.shop").exists()
    BookFile.create(tmp_path / "our.shop", zone="Europe/Oslo").close()
    assert lies_beside(tmp_path / "our.shop") == {"our.shop"}


def other_database(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE bird (song TEXT)")
        other.commit()


def cut_off(path: Path) -> None:
    BookFile.create(path, zone="Europe/Oslo").close()
    path.write_bytes(path.read_bytes()[:5000])


def garbled(path: Path) -> None:
    BookFile.create(path, zone="Europe/Oslo").close()
    whole = path.read_bytes()
    path.write_bytes(whole[:100] + b"\x5a" * 3996 + whole[4096:])


def from_the_future(path: Path) -> None:
    BookFile.create(path, zone="Europe/Oslo").close()
    with closing(sqlite3.connect(path)) as book:
        book.execute(f"PRAGMA user_version={FORMAT + 1}")


@pytest.mark.parametrize(
    ("make", "kind", "says"),
    [
        (lambda _path: None, NoSuchBook, "There is no book"),
        (Path.mkdir, NoSuchBook, "There is no book"),
        (lambda path: path.write_bytes(b""), NotABook, "is not a book of this program"),
        (lambda path: path.write_text("tag,form\n" * 999), NotABook, "is not a book"),
        (other_database, NotABook, "is not a book of this program"),
        (cut_off, BookDamaged, "is damaged"),
        (garbled, BookDamaged, "is damaged"),
        (from_the_future, BookTooNew, "newer version"),
    ],
    ids=["none", "folder", "empty", "text", "other", "cut off", "garbled", "newer"],
)
@pytest.mark.parametrize("writing", [True, False])
def test_what_is_no_sound_book_is_refused_in_a_sentence(
    tmp_path: Path, make: object, kind: type[StoreError], says: str, *, writing: bool
) -> None:
    path = tmp_path / "odd.shop"
    assert callable(make)
    make(path)
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(kind, match=says) as refused:
        BookFile.open(path, writing=writing)
    assert str(path) in str(refused.value) or path.name in str(refused.value)
    assert str(refused.value).endswith((".", "it."))
    assert before is None or path.read_bytes() == before
    assert not lock_file_of(path).exists()


def test_an_up_to_date_book_opens_without_loading_alembic(book: BookFile) -> None:
    book.close()
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from vault.store.book_file import BookFile\n"
        f"BookFile.open(Path({str(book.path)!r})).close()\n"
        "print('alembic' in sys.modules, 'sqlalchemy.orm' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


# Transactions --------------------------------------------------------------------------------


def test_what_is_not_finished_is_wholly_gone(book: BookFile) -> None:
    def change_my_mind() -> None:
        with book.writing() as connection:
            put(connection, "owner", "Imke")
            raise ValueError("changed my mind")

    with pytest.raises(ValueError, match="changed my mind"):
        change_my_mind()
    with book.reading() as connection:
        assert "owner" not in names(connection)


def test_a_reader_sees_one_moment_whatever_is_written_meanwhile(book: BookFile) -> None:
    with book.reading() as reader:
        before = names(reader)
        with book.writing() as writer:
            put(writer, "owner", "Imke")
        assert names(reader) == before
    with book.reading() as reader:
        assert names(reader) == before | {"owner"}


def test_a_question_cannot_change_the_book(book: BookFile) -> None:
    with pytest.raises(StoreError), book.reading() as connection:
        put(connection, "owner", "Imke")
    with book.reading() as connection:
        assert "owner" not in names(connection)
    with book.writing() as connection:
        put(connection, "owner", "Imke")


def test_a_writer_keeps_all_others_out_from_its_first_look_on(book: BookFile) -> None:
    # One that begins by reading and writes later would lose what others write in between.
    with (
        book.writing() as connection,
        closing(dbapi2.connect(str(book.path), isolation_level=None, timeout=0)) as other,
    ):
        names(connection)
        with pytest.raises(dbapi2.OperationalError, match="locked"):
            other.execute("INSERT INTO setting VALUES ('owner', 'Ole')")
    with book.reading() as connection:
        assert "owner" not in names(connection)


def test_a_transaction_within_another_fails_at_once(book: BookFile) -> None:
    with book.writing() as connection:
        put(connection, "owner", "Imke")
        with pytest.raises(RuntimeError, match="wait for itself"), book.writing():
            pass
    with book.reading() as connection:
        assert "owner" in names(connection)


def test_threads_of_one_program_write_in_turn(book: BookFile) -> None:
    def write(number: int) -> None:
        for step in range(20):
            with book.writing() as connection:
                count = len(names(connection))
                put(connection, f"{number}-{step}", str(count))

    threads = [threading.Thread(target=write, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with book.reading() as connection:
        told = connection.execute(text("SELECT value FROM setting WHERE name LIKE '%-%'"))
        counts = sorted(int(value) for (value,) in told)
    # Each saw all that was written before it, so no two saw the same.
    assert counts == list(range(3, 83))


def test_a_question_that_nobody_wants_any_more_ends(book: BookFile) -> None:
    endless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"
    looked: list[int] = []

    def stopped() -> bool:
        looked.append(1)
        return len(looked) > 3

    with (
        pytest.raises(sqlalchemy.exc.DBAPIError, match="interrupted"),
        book.reading(stopped) as connection,
    ):
        connection.exec_driver_sql(endless)
    with book.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM entry").scalar() == 0


def test_a_book_open_for_reading_refuses_to_be_written_in(book: BookFile) -> None:
    with closing(BookFile.open(book.path, writing=False)) as second:
        assert not second.may_write
        with pytest.raises(BookReadOnly, match="open for reading only"), second.writing():
            pass
        with second.wire() as wire, pytest.raises(dbapi2.OperationalError, match="readonly"):
            wire.execute("DELETE FROM setting")


def test_closing_waits_for_what_is_being_written(book: BookFile) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def write() -> None:
        with book.writing() as connection:
            begun.set()
            go_on.wait(5)
            connection.execute(text("INSERT INTO setting VALUES ('slow', 'but whole')"))

    writer = threading.Thread(target=write)
    writer.start()
    begun.wait(5)
    closer = threading.Thread(target=book.close)
    closer.start()
    closer.join(0.1)
    assert closer.is_alive()
    go_on.set()
    closer.join(5)
    writer.join(5)
    with closing(BookFile.open(book.path)) as again:
        assert again.setting("slow") == "but whole"


def test_a_closed_book_is_neither_read_nor_written(book: BookFile) -> None:
    book.close()
    with pytest.raises(BookClosed, match=r"our\.shop was closed"), book.writing():
        pass
    with pytest.raises(BookClosed, match=r"our\.shop was closed"):
        book.setting("zone")


# What was written stays ----------------------------------------------------------------------

ROWS = {
    "entry": "(1, 700000, NULL, 'Imke', 'price', '', 0, 'k', x'00', x'00')",
    "line": "(1, 0, 'line', '', '', '', '', '', '', NULL, NULL, '', 'Ag', 950000, 'EUR', '', "
    "NULL, NULL, NULL, '', '', '')",
    "line_content": "(1, 0, 'Ag', 5, NULL)",
    "reported": "(700000, 'Ag', 'bar', 1, 5, 1)",
    "reported_content": "(1, 'Ag', 700000, 5, 1)",
    "reported_factor": "(700000, 'slag of smelting', 'Ag', 5, 1, 5, 1)",
}
CHANGES = {
    "update": "UPDATE {table} SET {column} = 7",
    "delete": "DELETE FROM {table}",
    "replace": "REPLACE INTO {table} VALUES {row}",
    "insert or replace": "INSERT OR REPLACE INTO {table} VALUES {row}",
    "upsert": "INSERT INTO {table} VALUES {row} ON CONFLICT DO UPDATE SET {column} = 7",
    "same key": "INSERT INTO {table} VALUES {row}",
}
NUMBER_IN = {
    "entry": "day",
    "line": "gross_ug",
    "line_content": "ppb",
    "reported": "fine_ug",
    "reported_content": "fine_ug",
    "reported_factor": "now_ppb",
}


@pytest.fixture
def written(book: BookFile) -> BookFile:
    with book.writing() as connection:
        for table in APPEND_ONLY:
            connection.exec_driver_sql(f"INSERT INTO {table} VALUES {ROWS[table]}")
    return book


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("table", APPEND_ONLY)
def test_facts_are_only_ever_added_to(written: BookFile, table: str, change: str) -> None:
    statement = CHANGES[change].format(table=table, column=NUMBER_IN[table], row=ROWS[table])
    with written.reading() as connection:
        before = connection.exec_driver_sql(f"SELECT * FROM {table}").all()
    with pytest.raises(sqlalchemy.exc.IntegrityError), written.writing() as connection:
        connection.exec_driver_sql(statement)
    with written.reading() as connection:
        assert connection.exec_driver_sql(f"SELECT * FROM {table}").all() == before


def test_a_line_needs_its_entry(book: BookFile) -> None:
    with pytest.raises(sqlalchemy.exc.IntegrityError), book.writing() as connection:
        connection.exec_driver_sql(f"INSERT INTO line VALUES {ROWS['line']}")


def test_a_weight_must_be_a_whole_number(written: BookFile) -> None:
    row = ROWS["line"].replace("(1, 0,", "(1, 1,").replace("NULL, NULL", "12.5, NULL", 1)
    with pytest.raises(sqlalchemy.exc.IntegrityError), written.writing() as connection:
        connection.exec_driver_sql(f"INSERT INTO line VALUES {row}")


# The second window ---------------------------------------------------------------------------


def test_a_second_window_is_told_who_writes_and_may_still_read(book: BookFile) -> None:
    with pytest.raises(BookInUse) as refused:
        BookFile.open(book.path)
    told = json.loads(lock_file_of(book.path).read_text())
    assert "our.shop is open for writing in another window" in str(refused.value)
    assert told["since"] in str(refused.value)
    assert told["machine"] in str(refused.value)
    with closing(BookFile.open(book.path, writing=False)) as second:
        assert second.setting("shop_name") == "The Assay Yard"
        book.change_setting("shop_name", "The New Yard")
        assert second.setting("shop_name") == "The New Yard"


def test_when_the_first_window_closes_the_second_may_write(book: BookFile) -> None:
    with pytest.raises(BookInUse):
        BookFile.open(book.path)
    book.close()
    with closing(BookFile.open(book.path)) as second:
        second.change_setting("currency", "EUR")


@pytest.fixture
def other_program(book: BookFile) -> Iterator[subprocess.Popen[str]]:
    book.close()
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from vault.store.book_file import BookFile\n"
        f"book = BookFile.open(Path({str(book.path)!r}))\n"
        "print('open', flush=True)\n"
        "sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "open\n"
        yield program
        program.kill()


def test_a_program_that_was_killed_gives_the_book_back(
    book: BookFile, other_program: subprocess.Popen[str]
) -> None:
    with pytest.raises(BookInUse):
        BookFile.open(book.path)
    other_program.send_signal(signal.SIGKILL)
    other_program.wait()
    assert lock_file_of(book.path).exists()
    with closing(BookFile.open(book.path)) as again:
        again.change_setting("currency", "EUR")
    assert not lock_file_of(book.path).exists()


# Rights, room and drives ---------------------------------------------------------------------


def test_a_read_only_file_is_refused_for_writing_and_opens_for_reading(open_folder: Path) -> None:
    path = open_folder / "our.shop"
    BookFile.create(path, zone="Europe/Oslo", shop_name="The Assay Yard").close()
    before = path.read_bytes()
    open_folder.chmod(0o777)
    path.chmod(0o444)
    with lesser_rights():
        with closing(BookFile.open(path)) as book, pytest.raises(BookReadOnly, match="whole"):
            book.change_setting("currency", "EUR")
        with closing(BookFile.open(path, writing=False)) as book:
            assert book.setting("shop_name") == "The Assay Yard"
    assert path.read_bytes() == before
    path.chmod(0o666)
    with closing(BookFile.open(path)) as book:
        book.change_setting("currency", "EUR")


def test_a_read_only_folder_is_refused_for_writing_and_opens_for_reading(
    open_folder: Path,
) -> None:
    path = open_folder / "our.shop"
    BookFile.create(path, zone="Europe/Oslo", shop_name="The Assay Yard").close()
    open_folder.chmod(0o555)
    path.chmod(0o444)
    with lesser_rights():
        with pytest.raises(BookReadOnly, match="folder may not be written"):
            BookFile.open(path)
        with pytest.raises(BookReadOnly, match="folder may not be written"):
            BookFile.create(open_folder / "new.shop", zone="Europe/Oslo")
        with closing(BookFile.open(path, writing=False)) as book:
            assert book.setting("shop_name") == "The Assay Yard"


def test_a_full_disk_is_told_and_the_book_goes_on_when_there_is_room(book: BookFile) -> None:
    def write_on() -> None:
        for number in range(100):
            with book.writing() as connection:
                put(connection, f"long {number}", "x" * 100_000)

    with no_file_beyond(1_000_000):
        with pytest.raises(DiskFull, match="no room left"):
            write_on()
        with book.reading() as connection:
            kept = names(connection)
    with book.writing() as connection:
        put(connection, "afterwards", "x" * 100_000)
        assert names(connection) == kept | {"afterwards"}
    with book.wire() as wire:
        assert wire.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_book_is_not_begun_where_there_is_no_room(tmp_path: Path) -> None:
    with no_file_beyond(20_000), pytest.raises(DiskFull, match="no room left"):
        BookFile.create(tmp_path / "our.shop", zone="Europe/Oslo")
    assert lies_beside(tmp_path / "our.shop") == set()
    BookFile.create(tmp_path / "our.shop", zone="Europe/Oslo").close()


@pytest.fixture
def mounts(tmp_path: Path) -> Path:
    path = tmp_path / "mounts"
    path.write_text(
        f"/dev/sda1 / ext4 rw 0 0\nnas:/shop {tmp_path.resolve()}/far\\040away nfs4 rw 0 0\n"
    )
    (tmp_path / "far away").mkdir()
    return path


def test_a_network_drive_is_refused(tmp_path: Path, mounts: Path) -> None:
    with pytest.raises(NetworkDrive, match="network drive \\(nfs4\\)"):
        refuse_network_drive(tmp_path / "far away" / "our.shop", mounts=mounts)
    refuse_network_drive(tmp_path / "our.shop", mounts=mounts)
    refuse_network_drive(tmp_path / "our.shop", mounts=tmp_path / "no such list")


def test_the_kind_of_drive_is_that_of_the_innermost_mount(tmp_path: Path, mounts: Path) -> None:
    assert file_system_of(tmp_path / "our.shop", mounts=mounts) == "ext4"
    assert file_system_of(tmp_path / "far away" / "our.shop", mounts=mounts) == "nfs4"


@pytest.mark.skipif(os.name != "posix", reason="a name like //server/share is a share on Windows")
def test_the_drive_of_this_test_is_no_network_drive(tmp_path: Path) -> None:
    refuse_network_drive(tmp_path / "our.shop")
