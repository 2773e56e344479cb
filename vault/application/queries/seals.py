"""Seals: which are on items and containers now, who saw them last, and what they keep shut."""

from __future__ import annotations

from collections.abc import Iterable

from vault.application.book import Book
from vault.application.queries.answers.seals import SealFacts
from vault.store.bench import around
from vault.store.entries import load_some
from vault.store.seals import seals_of


def seals_on(book: Book, names: Iterable[str]) -> dict[str, SealFacts]:
    """Give the unbroken seals on these items and containers; what carries none is left out."""
    with book.file.reading() as connection:
        found = seals_of(connection, list(names))
        recorded = load_some(connection, [sealing.entry for sealing in found.values()])
    entries = {one.entry.number: one.entry for one in recorded}
    return {
        name: SealFacts(
            name=name,
            number=sealing.number,
            last=sealing.role.value,
            day=entries[sealing.entry].when.day,
            by=entries[sealing.entry].by,
            witness=sealing.witness,
        )
        for name, sealing in found.items()
    }


def seals_around(book: Book, tag: str, place: str) -> tuple[SealFacts, ...]:
    """Give the seals that keep an item shut: its own, then those of the containers around it."""
    with book.file.reading() as connection:
        names = [tag, *around(connection, place)]
    found = seals_on(book, names)
    return tuple(found[name] for name in names if name in found)
