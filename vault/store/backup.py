"""A safe copy of a book, also while it is written in."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlcipher3 import dbapi2

from vault.store.book_file import BookFile
from vault.store.errors import BookDamaged, BookExists, NoSuchBook, told_plainly
from vault.store.places import flush_folder


def back_up(book: BookFile, to: Path) -> None:
    """Copy the book in one go, make sure it is on the disk, and prove the copy.

    In one go, because a copy made page by page starts over whenever somebody writes, and with a
    busy writer never ends.

    Raises:
        BookExists: when there is a file of that name; a backup never overwrites anything.
        NoSuchBook: when there is no folder to put it in.
        BookDamaged: when the copy does not prove to be whole.
        StoreError: when it cannot be written there.
    """
    to = Path(to)
    if to.exists():
        raise BookExists(f"{to} is there already; a backup never overwrites. Choose another name.")
    if not to.parent.is_dir():
        raise NoSuchBook(f"There is no folder {to.parent}; make it first.")
    half_done = to.with_name(to.name + ".part")
    try:
        # The book tells its own trouble; what is told here is that of the copy.
        with book.wire() as source, told_plainly(to):
            _copy(source, half_done)
            _prove(half_done)
        half_done.replace(to)
        flush_folder(to.parent)
    finally:
        half_done.unlink(missing_ok=True)


def _copy(source: Any, to: Path) -> None:  # noqa: ANN401 - the driver has no types
    to.unlink(missing_ok=True)
    with closing(dbapi2.connect(str(to))) as target:
        source.backup(target, pages=-1)
        # The copy is one plain file, with no -wal beside it to be forgotten on the way.
        target.execute("PRAGMA journal_mode=DELETE")
    with to.open("rb+") as file:
        os.fsync(file.fileno())


def _prove(path: Path) -> None:
    with closing(dbapi2.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        (said,) = copy.execute("PRAGMA quick_check").fetchone()
    if said != "ok":
        raise BookDamaged(
            f"The copy did not prove to be whole ({said}); check the disk, then check the book."
        )
