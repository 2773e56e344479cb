"""Attaching a photo to an item: the picture beside the book first, then the entry that names it."""

from __future__ import annotations

from pathlib import Path

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.acts import photograph
from vault.core.daybook import When
from vault.core.errors import VaultError
from vault.store.photos import keep, read_picture, take_back


def attach_photo(
    book: Book,
    tag: str,
    picture: Path | bytes,
    *,
    caption: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Keep a picture, byte for byte, and record that it shows an item.

    Raises:
        RuleBroken: when the entry cannot be true; a picture kept for it is gone again then.
        StoreError: when the picture is none, or there is no room or right to keep it.
    """
    content = picture if isinstance(picture, bytes) else read_picture(picture)
    sha256, is_new = keep(book.path, content)
    try:
        return photograph(book, tag, sha256, caption=caption, when=when, key=key)
    except VaultError:
        if is_new:
            take_back(book.path, sha256)
        raise
