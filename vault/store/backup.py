"""A safe copy of a book and its photos, also while it is written in."""

from __future__ import annotations

import os
import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlcipher3 import dbapi2

from vault.store.book_file import BookFile
from vault.store.errors import BookDamaged, BookExists, NoSuchBook, told_plainly
from vault.store.photos import copy_photos, folder_of, named_in, photo_faults
from vault.store.places import flush_folder


def back_up(book: BookFile, to: Path) -> list[str]:
    """Copy the book in one go and then its photos, see both on the disk, and prove the copy.

    In one go, because a copy made page by page starts over whenever somebody writes, and with a
    busy writer never ends. The photos come after it, since an entry names only what is there.

    Returns:
        A sentence for each photo that the book names and that is missing or altered in it, and
        therefore in the copy.

    Raises:
        BookExists: when there is a file of that name; a backup never overwrites anything.
        NoSuchBook: when there is no folder to put it in.
        BookDamaged: when the copy does not prove to be whole.
        StoreError: when it cannot be written there.
    """
    to = Path(to)
    _refuse_to_overwrite(to)
    if not to.parent.is_dir():
        raise NoSuchBook(f"There is no folder {to.parent}; make it first.")
    half_done = to.with_name(to.name + ".part")
    half_done_photos = folder_of(half_done)
    try:
        # The book tells its own trouble; what is told here is that of the copy.
        with book.wire() as source, told_plainly(to):
            _copy(source, half_done)
            _prove(half_done)
        _clear_away(half_done_photos)
        if copy_photos(book.path, half_done_photos):
            half_done_photos.replace(folder_of(to))
        half_done.replace(to)
        flush_folder(to.parent)
    finally:
        half_done.unlink(missing_ok=True)
        _clear_away(half_done_photos)
    with closing(BookFile.open(to, writing=False)) as copy, copy.reading() as connection:
        return photo_faults(to, named_in(connection))


def _refuse_to_overwrite(to: Path) -> None:
    for path in (to, folder_of(to)):
        if path.exists():
            raise BookExists(
                f"{path} is there already; a backup never overwrites. Choose another name."
            )


def _clear_away(folder: Path) -> None:
    if folder.is_dir():
        shutil.rmtree(folder)


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
