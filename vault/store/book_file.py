"""The file of a book: opening, closing, and the two kinds of transaction.

SQLite through sqlcipher3, set for durability (WAL, synchronous FULL) and against surprises
(foreign keys, recursive triggers so that REPLACE cannot slip past the append-only triggers,
untrusted schema). Every writing transaction begins IMMEDIATE: with a deferred one a read followed
by a write loses the other writer's change.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, create_engine, event, insert, select, text
from sqlalchemy.pool import QueuePool
from sqlcipher3 import dbapi2

from vault.core.turns import give_way
from vault.store.errors import (
    BookClosed,
    BookExists,
    BookReadOnly,
    BookTooNew,
    NoSuchBook,
    NotABook,
    told_plainly,
)
from vault.store.lock import WriterLock
from vault.store.places import flush_folder, refuse_network_drive
from vault.store.tables import METADATA, SETTING, TRIGGERS

# "MOH" and the digit one, so that `file` and other programs can tell a book from any database.
APPLICATION_ID = 0x4D4F4831
# Goes up with every migration; see migrations/versions.
FORMAT = 3
REVISION = "0003"
SUFFIX = ".shop"

# Steps of SQLite's machine between two looks whether a question is still wanted: some milliseconds.
_STEPS_BETWEEN_LOOKS = 100_000
_PRAGMAS = (
    "synchronous=FULL",
    "foreign_keys=ON",
    "busy_timeout=5000",
    "recursive_triggers=ON",
    "trusted_schema=OFF",
    "cell_size_check=ON",
    # Without these a Mac calls a write done while it is still in the memory of the disk.
    "fullfsync=ON",
    "checkpoint_fullfsync=ON",
)


class BookFile:
    """An open book.

    Attributes:
        path: where it lies.
        may_write: whether this program holds the right to write in it.
    """

    def __init__(self, path: Path, *, lock: WriterLock | None) -> None:
        self.path = path
        self.may_write = lock is not None
        self._lock = lock
        self._turn = threading.Lock()
        self._is_closed = False
        self._writer: int | None = None
        self._engine = create_engine(
            "sqlite://",
            module=dbapi2,
            creator=lambda: _connect(path, writing=lock is not None),
            poolclass=QueuePool,
            pool_size=4,
            max_overflow=4,
        )
        event.listen(self._engine, "connect", _prepare)
        event.listen(self._engine, "begin", _begin)
        event.listen(self._engine, "before_cursor_execute", _give_way)

    @classmethod
    def create(cls, path: Path, *, zone: str, shop_name: str = "") -> BookFile:
        """Make a new, empty book and open it for writing.

        Raises:
            BookExists: when there is a file of that name.
            StoreError: when it cannot be made there.
        """
        path = Path(path)
        if path.exists():
            raise BookExists(f"{path} is there already; choose another name, or open it.")
        if not path.parent.is_dir():
            raise NoSuchBook(f"There is no folder {path.parent}; make it first.")
        refuse_network_drive(path)
        lock = WriterLock(path)
        # Made under another name, so that a book that is there is always a whole one.
        half_done = path.with_name(f".{path.name}.new")
        try:
            _remove(half_done)
            with told_plainly(path):
                _make(half_done, lock, zone=zone, shop_name=shop_name)
            half_done.replace(path)
            flush_folder(path.parent)
        except BaseException:
            _remove(half_done)
            lock.release()
            raise
        return cls(path, lock=lock)

    @classmethod
    def open(cls, path: Path, *, writing: bool = True) -> BookFile:
        """Open a book; an older format is brought up to date first when it may be written.

        Raises:
            StoreError: a sentence says why it cannot be opened.
        """
        path = Path(path)
        if not path.is_file():
            raise NoSuchBook(f"There is no book {path}; check the name.")
        if writing:
            refuse_network_drive(path)
        book = cls(path, lock=WriterLock(path) if writing else None)
        try:
            with told_plainly(path):
                book._bring_up_to_date()
        except BaseException:
            book.close()
            raise
        return book

    def close(self) -> None:
        """Close the file and give back the right to write; closing twice is allowed.

        What is being written is written to its end first; nothing is written after this.
        """
        with self._turn:
            self._is_closed = True
        self._engine.dispose()
        if self._lock is not None:
            self._lock.release()

    @contextmanager
    def reading(self, stopped: Callable[[], bool] | None = None) -> Iterator[Connection]:
        """Give one consistent view of the book, whatever is written meanwhile.

        Args:
            stopped: asked some hundred times a second; once it says yes, what is read just then
                ends with an error of the driver's.
        """
        self._insist_on_open()
        with told_plainly(self.path), self._engine.connect() as connection:
            connection.execution_options(sqlite_begin="DEFERRED")
            wire = _on_the_wire(connection)
            # A question that changes something is a fault of ours, and fails here.
            wire.execute("PRAGMA query_only=ON")
            wire.set_progress_handler(stopped, _STEPS_BETWEEN_LOOKS)
            try:
                with connection.begin():
                    yield connection
            finally:
                wire.set_progress_handler(None, 0)
                wire.execute("PRAGMA query_only=OFF")

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give one transaction that is wholly there at the end, or wholly gone.

        Raises:
            BookReadOnly: when the book was opened for reading only.
        """
        if not self.may_write:
            raise BookReadOnly(f"{self.path.name} is open for reading only.")
        if self._writer == threading.get_ident():
            raise RuntimeError("a writing transaction within another would wait for itself")
        with self._turn, told_plainly(self.path):
            self._insist_on_open()
            self._writer = threading.get_ident()
            try:
                with self._engine.begin() as connection:
                    yield connection
            finally:
                self._writer = None

    @contextmanager
    def wire(self) -> Iterator[Any]:
        """Give the driver's own connection outside any transaction, for backup and checks."""
        with told_plainly(self.path), self._engine.connect() as connection:
            yield _on_the_wire(connection)

    def _insist_on_open(self) -> None:
        if self._is_closed:
            raise BookClosed(f"{self.path.name} was closed; open it again.")

    def setting(self, name: str, default: str = "") -> str:
        """Give a setting that travels with the book."""
        with self.reading() as connection:
            found = connection.scalar(select(SETTING.c.value).where(SETTING.c.name == name))
        return default if found is None else found

    def change_setting(self, name: str, value: str) -> None:
        """Change a setting that travels with the book."""
        with self.writing() as connection:
            connection.execute(
                insert(SETTING).prefix_with("OR REPLACE").values(name=name, value=value)
            )

    def _bring_up_to_date(self) -> None:
        with self._engine.connect() as connection:
            wire = _on_the_wire(connection)
            (application,) = wire.execute("PRAGMA application_id").fetchone()
            (found,) = wire.execute("PRAGMA user_version").fetchone()
        if application != APPLICATION_ID:
            raise NotABook(f"{self.path} is not a book of this program.")
        if found > FORMAT:
            raise BookTooNew(
                f"{self.path.name} was written by a newer version of this program (format {found}, "
                f"this one knows {FORMAT}). Install the newer version to open it."
            )
        if found < FORMAT:
            if not self.may_write:
                raise BookReadOnly(
                    f"{self.path.name} has an older format; open it once for writing to bring it "
                    "up to date."
                )
            # Alembic takes most of a second to load, and an up-to-date book never needs it.
            from vault.store.upgrading import upgrade  # noqa: PLC0415 - see the line above

            upgrade(self._engine)


def _make(path: Path, lock: WriterLock, *, zone: str, shop_name: str) -> None:
    """Make an empty book at a path where there is nothing, and leave it closed."""
    engine = BookFile(path, lock=lock)._engine  # noqa: SLF001 - a book before it is one
    try:
        with engine.connect() as connection:
            # Cannot be done within a transaction, and stays with the file.
            _on_the_wire(connection).execute("PRAGMA journal_mode=WAL")
        with engine.begin() as connection:
            lay_out(connection)
            connection.execute(
                insert(SETTING),
                [
                    {"name": "zone", "value": zone},
                    {"name": "shop_name", "value": shop_name},
                    {"name": "currency", "value": ""},
                ],
            )
    finally:
        engine.dispose()


def _remove(path: Path) -> None:
    for name in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal"))):
        name.unlink(missing_ok=True)


def lay_out(connection: Connection) -> None:
    """Make all tables of the present format in an empty database."""
    METADATA.create_all(connection)
    for trigger in TRIGGERS:
        connection.execute(text(trigger))
    # Word for word as Alembic makes it, which is not loaded for this.
    connection.execute(
        text(
            "CREATE TABLE alembic_version ( version_num VARCHAR(32) NOT NULL, "
            "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num) )"
        )
    )
    connection.execute(text(f"INSERT INTO alembic_version VALUES ('{REVISION}')"))
    connection.execute(text(f"PRAGMA application_id={APPLICATION_ID}"))
    connection.execute(text(f"PRAGMA user_version={FORMAT}"))


def _connect(path: Path, *, writing: bool) -> Any:  # noqa: ANN401 - the driver has no types
    if writing:
        return dbapi2.connect(str(path), isolation_level=None, check_same_thread=False)
    wire = _connect_to_read(path, "mode=ro")
    try:
        # The first look at the file, for which a book in WAL wants to write beside it.
        wire.execute("PRAGMA schema_version").fetchone()
    except dbapi2.OperationalError as trouble:
        wire.close()
        if path.with_name(path.name + "-wal").exists() or not _may_not_write(trouble):
            raise
        # In a folder that may not be written, and that nobody writes in, it opens as it lies.
        return _connect_to_read(path, "immutable=1")
    return wire


def _connect_to_read(path: Path, mode: str) -> Any:  # noqa: ANN401 - the driver has no types
    name = f"{path.absolute().as_uri()}?{mode}"
    return dbapi2.connect(name, uri=True, isolation_level=None, check_same_thread=False)


def _may_not_write(trouble: Exception) -> bool:
    return getattr(trouble, "sqlite_errorname", "") in {"SQLITE_CANTOPEN", "SQLITE_READONLY"}


def _on_the_wire(connection: Connection) -> Any:  # noqa: ANN401 - the driver has no types
    """Give the driver's own connection, for what must not begin a transaction."""
    return connection.connection.driver_connection


def _prepare(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver has no types
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _give_way(*_about: object) -> None:
    give_way()


def _begin(connection: Connection) -> None:
    kind = connection.get_execution_options().get("sqlite_begin", "IMMEDIATE")
    connection.exec_driver_sql(f"BEGIN {kind}")
