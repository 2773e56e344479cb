"""Tags: which come next, and what a scan says."""

from __future__ import annotations

import threading
from collections.abc import Collection, Sequence
from weakref import WeakKeyDictionary

from vault.application.book import Book
from vault.application.tag_prefixes import tag_prefixes
from vault.core.tags import (
    RECEIVED,
    Scan,
    next_tags,
    prefix_of,
    tag_of_scan,
)
from vault.store.tags import last_entry, last_number, was_given


class Proposals:
    """Tags shown in forms of an open book that are not recorded yet, and the numbers reached.

    Two forms that are open at once never show the same tag.
    """

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._kept: dict[str, tuple[str, ...]] = {}
        self._seen: dict[str, tuple[int, int]] = {}

    def propose(self, book: Book, owner: str, forms: Sequence[str]) -> tuple[str, ...]:
        """Give a tag for each form; what this owner has already is given to it again."""
        prefixes = tag_prefixes(book)
        with self._turn:
            wanted = [prefix_of(form, prefixes) for form in forms]
            reached = self._reached(book, set(wanted))
            own = self._still_free(book, owner)
            others = {one for name, tags in self._kept.items() if name != owner for one in tags}
            tags: list[str] = []
            for form, prefix in zip(forms, wanted, strict=True):
                if not own.get(prefix):
                    # Between those shown elsewhere too: what a form let go is not lost.
                    own[prefix] = next_tags([form], reached, prefixes, others.union(tags))
                tags.append(own[prefix].pop(0))
            self._kept[owner] = tuple(tags)
            return self._kept[owner]

    def let_go(self, owner: str) -> None:
        """Free the tags of a form that was left or recorded."""
        with self._turn:
            self._kept.pop(owner, None)

    def _still_free(self, book: Book, owner: str) -> dict[str, list[str]]:
        """Give what an owner has, by prefix, without what was recorded meanwhile."""
        free: dict[str, list[str]] = {}
        with book.file.reading() as connection:
            for tag in self._kept.get(owner, ()):
                if not was_given(connection, tag):
                    free.setdefault(tag.partition("-")[0], []).append(tag)
        return free

    def _reached(self, book: Book, prefixes: Collection[str]) -> dict[str, int]:
        """Give the highest number recorded behind each prefix; only new lines are looked at."""
        with book.file.reading() as connection:
            latest = last_entry(connection)
            for prefix in prefixes:
                number, seen = self._seen.get(prefix, (0, 0))
                found = last_number(connection, prefix, after=seen)
                self._seen[prefix] = (max(number, found), latest)
        return {prefix: self._seen[prefix][0] for prefix in prefixes}


_PROPOSALS: WeakKeyDictionary[Book, Proposals] = WeakKeyDictionary()
_MAKING = threading.Lock()


def propose_tags(book: Book, owner: str, forms: Sequence[str]) -> tuple[str, ...]:
    """Give a new tag for each form, none ever given before nor shown in another form now.

    Args:
        book: the open book.
        owner: who shows them (`work`, `receive`, or a row of its own); asked again, it is given
            what it has already, and of that what is still new.
        forms: forms of items, or an occasion of `core.tags` (`RECEIVED`, `FOUND`).
    """
    return _proposals_of(book).propose(book, owner, forms)


def propose_received_tags(book: Book, owner: str, items: int) -> tuple[str, ...]:
    """Give new tags for what a customer brought, whatever its form."""
    return propose_tags(book, owner, [RECEIVED] * items)


def let_tags_go(book: Book, owner: str) -> None:
    """Free what was proposed to an owner, since its form was left or recorded."""
    _proposals_of(book).let_go(owner)


def read_scan(book: Book, text: str) -> Scan:
    """Give what a scanned or typed text says, by the tags that this book ever gave."""
    with book.file.reading() as connection:
        return tag_of_scan(text, lambda tag: bool(tag) and was_given(connection, tag))


def _proposals_of(book: Book) -> Proposals:
    with _MAKING:
        return _PROPOSALS.setdefault(book, Proposals())
