"""Which capitals stand before the numbers of a shop's tags; a setting of the book."""

from __future__ import annotations

from collections.abc import Mapping

from vault.application.book import Book
from vault.application.changes import Changes
from vault.core.tags import prefixes_from_text, prefixes_to_text

PREFIXES_SETTING = "tag_prefixes"


def tag_prefixes(book: Book) -> dict[str, str]:
    """Give which capitals stand before the number of each form, and on each occasion."""
    return prefixes_from_text(book.file.setting(PREFIXES_SETTING))


def set_tag_prefixes(book: Book, prefixes: Mapping[str, str]) -> Changes:
    """Set the capitals of new tags; those that were given keep theirs.

    Raises:
        TextNotUnderstood: when some of them could not be scanned safely.
    """
    book.file.change_setting(PREFIXES_SETTING, prefixes_to_text(prefixes))
    return Changes(settings=True)
