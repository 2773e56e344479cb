"""The photos of an item, as its entries name them, and where their files lie."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from vault.application.book import Book
from vault.application.queries.answers.items import PhotoOfItem
from vault.core.daybook import Act, Entry
from vault.core.errors import VaultError
from vault.store.photos import file_of


def photos_of(book: Book, tag: str, entries: Iterable[Entry]) -> tuple[PhotoOfItem, ...]:
    """Give the photos that these unstruck entries name of an item, the newest first."""
    found = [
        _photo(book, entry, line.ref, line.note)
        for entry in entries
        if entry.act is Act.PHOTO
        for line in entry.lines
        if line.tag == tag
    ]
    return tuple(reversed(found))


def _photo(book: Book, entry: Entry, sha256: str, caption: str) -> PhotoOfItem:
    file: Path | None = None
    trouble = ""
    try:
        file = file_of(book.path, sha256)
    except VaultError as error:
        trouble = str(error)
    return PhotoOfItem(
        sha256=sha256,
        file=file,
        day=entry.when.day,
        caption=caption,
        entry=entry.number,
        trouble=trouble,
    )
