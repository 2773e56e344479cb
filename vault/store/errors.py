"""Trouble with the file of the book, each kind told in a sentence.

StoreError                 anything about the file
├── NoSuchBook             there is no file of that name
├── BookExists             there is one already
├── NotABook               the file is something else
├── BookDamaged            it is a book, but the database says it is broken
├── BookTooNew             a newer version of the program made it
├── BookInUse              another window is writing in it
├── BookReadOnly           the file or its folder may not be written
├── DiskFull               no room is left
└── NetworkDrive           a place where the file would not be safe
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy.exc
from sqlcipher3 import dbapi2

from vault.core.errors import VaultError


class StoreError(VaultError):
    """Trouble with the file of the book."""


class NoSuchBook(StoreError):
    """There is no file of that name."""


class BookExists(StoreError):
    """There is a file of that name already."""


class NotABook(StoreError):
    """The file is something else."""


class BookDamaged(StoreError):
    """The file is a book, but the database says that it is broken."""


class BookTooNew(StoreError):
    """A newer version of the program made the file."""


class BookInUse(StoreError):
    """Another window is writing in the file."""


class BookReadOnly(StoreError):
    """The file or its folder may not be written."""


class DiskFull(StoreError):
    """No room is left where the file lies."""


class NetworkDrive(StoreError):
    """The file lies where it would not be safe."""


# What SQLite says, and what that means for the owner; the first that fits is taken.
_MEANINGS: tuple[tuple[tuple[str, ...], type[StoreError], str], ...] = (
    (
        ("database or disk is full", "disk i/o error"),
        DiskFull,
        (
            "There is no room left to write in {path}. Nothing of this was recorded and the book "
            "is whole; free some space and do it again."
        ),
    ),
    (
        ("readonly database", "read-only", "unable to open database file"),
        BookReadOnly,
        (
            "{path} may not be written here. Nothing of this was recorded and the book is whole; "
            "check the rights of the file and of its folder."
        ),
    ),
    (
        ("database is locked", "database table is locked"),
        BookInUse,
        (
            "Another program holds {path} just now. Nothing of this was recorded; close the other "
            "and do it again."
        ),
    ),
    (
        ("file is not a database", "file is encrypted"),
        NotABook,
        "{path} is not a book of this program.",
    ),
    (
        ("malformed", "corrupt"),
        BookDamaged,
        "{path} is damaged. Do not write in it; open your latest backup instead.",
    ),
)


@contextmanager
def told_plainly(path: Path) -> Iterator[None]:
    """Turn what the database says of a file into the sentence that an owner can act on."""
    try:
        yield
    except (sqlalchemy.exc.DBAPIError, dbapi2.Error) as trouble:
        original = getattr(trouble, "orig", None) or trouble
        said = str(original).lower()
        for signs, kind, sentence in _MEANINGS:
            if any(sign in said for sign in signs):
                raise kind(sentence.format(path=path)) from trouble
        raise
