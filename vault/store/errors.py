"""Trouble with the file of the book, each kind told in a sentence.

StoreError                 anything about the file
├── NoSuchBook             there is no file of that name
├── BookExists             there is one already
├── NotABook               the file is something else
├── BookDamaged            it is a book, but the database says it is broken
├── BookTooNew             a newer version of the program made it
├── BookInUse              another window is writing in it
├── BookClosed             it was closed meanwhile
├── BookReadOnly           the file or its folder may not be written
├── DiskFull               no room is left, or the disk does not answer
├── NetworkDrive           a place where the file would not be safe
├── NotAPicture            what was to be a photo is something else
├── PhotoTooLarge          a picture beyond what is kept
└── NoSuchPhoto            the book's folder has no photo of that name
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


class BookClosed(StoreError):
    """The file was closed meanwhile."""


class BookReadOnly(StoreError):
    """The file or its folder may not be written."""


class DiskFull(StoreError):
    """No room is left where the file lies, or the disk does not answer."""


class NetworkDrive(StoreError):
    """The file lies where it would not be safe."""


class NotAPicture(StoreError):
    """What was to be a photo is something else."""


class PhotoTooLarge(StoreError):
    """A picture beyond what is kept."""


class NoSuchPhoto(StoreError):
    """The book's folder has no photo of that name."""


# What SQLite says, by the beginning of its name for it, and what that means for the owner; the
# first that fits is taken.
_MEANINGS: tuple[tuple[tuple[str, ...], type[StoreError], str], ...] = (
    (
        # A limit on the size of files, a quota or a disk pulled out come as one IOERR.
        ("SQLITE_FULL", "SQLITE_IOERR"),
        DiskFull,
        (
            "There is no room left to write in {path}, or its disk does not answer. Nothing of "
            "this was recorded and the book is whole; free some space and do it again."
        ),
    ),
    (
        ("SQLITE_READONLY",),
        BookReadOnly,
        (
            "{path} may not be written. Nothing of this was recorded and the book is whole; check "
            "the rights of the file and of its folder."
        ),
    ),
    (
        ("SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH"),
        BookReadOnly,
        "{path} cannot be opened; check the rights of the file and of its folder.",
    ),
    (
        ("SQLITE_BUSY", "SQLITE_LOCKED"),
        BookInUse,
        (
            "Another program holds {path} just now. Nothing of this was recorded; close the other "
            "and do it again."
        ),
    ),
    (
        ("SQLITE_NOTADB",),
        NotABook,
        "{path} is not a book of this program.",
    ),
    (
        ("SQLITE_CORRUPT", "SQLITE_FORMAT"),
        BookDamaged,
        "{path} is damaged. Do not write in it; open your latest backup instead.",
    ),
)
# The driver does not always pass SQLite's name for the trouble on, and has some of its own.
_NAMES = {
    "could not decode": "SQLITE_CORRUPT",
    "unsupported file format": "SQLITE_CORRUPT",
    "malformed": "SQLITE_CORRUPT",
    "disk i/o error": "SQLITE_IOERR",
    "disk is full": "SQLITE_FULL",
    "readonly database": "SQLITE_READONLY",
    "unable to open database": "SQLITE_CANTOPEN",
    "is locked": "SQLITE_BUSY",
    "not a database": "SQLITE_NOTADB",
}


@contextmanager
def told_plainly(path: Path) -> Iterator[None]:
    """Turn what the database says of a file into the sentence that an owner can act on."""
    try:
        yield
    except (sqlalchemy.exc.DBAPIError, dbapi2.Error) as trouble:
        name = _name_of(getattr(trouble, "orig", None) or trouble)
        for beginnings, kind, sentence in _MEANINGS:
            if name.startswith(beginnings):
                raise kind(sentence.format(path=path)) from trouble
        raise


def _name_of(trouble: BaseException) -> str:
    name = getattr(trouble, "sqlite_errorname", None)
    if name and name != "SQLITE_ERROR":
        return str(name)
    said = str(trouble).lower()
    return next((name for sign, name in _NAMES.items() if sign in said), "")
