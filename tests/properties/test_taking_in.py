"""Figures taken in after each entry are those that a working-out of the whole book gives."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from performance.big_books import entries_of_a_book
from random_shop import RandomShop
from vault.application.book import Book
from vault.application.figures import settle_figures, work_out
from vault.application.operations.recording import import_entries
from vault.application.taking_in import take_in
from vault.core.daybook import Entry
from vault.store.tables import FIGURE_TABLES

NOW = datetime(2040, 1, 1, 8, tzinfo=UTC)


def tables(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    """Give every table of figures as it stands in the file."""
    with book.file.reading() as connection:
        return {
            table.name: sorted(
                tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table.name}")
            )
            for table in FIGURE_TABLES
        }


def worked_out_anew(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    book.reckoned = None
    work_out(book)
    return tables(book)


def compare(folder: Path, first: Sequence[Entry], then: Sequence[Sequence[Entry]]) -> None:
    """Take entries in one batch after another; at the end all must be as if worked out at once."""
    path = folder / "our.shop"
    with Book.create(path, zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, first)
        work_out(book)
        assert book.reckoned is not None
        reckoner = book.reckoned.reckoner
        for batch in then:
            import_entries(book, batch)
            take_in(book)
        # Nothing was worked out as a whole in between.
        assert book.reckoned.reckoner is reckoner
        assert book.reckoned.entry == then[-1][-1].number
        settle_figures(book)
        taken = tables(book)
        expected = worked_out_anew(book)
        for name, rows in expected.items():
            assert taken[name] == rows, name
    path.unlink()


def batches(entries: Sequence[Entry], chance: random.Random) -> Iterator[Sequence[Entry]]:
    at = 0
    while at < len(entries):
        size = chance.choice((1, 1, 2, 5))
        yield entries[at : at + size]
        at += size


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10**6), st.integers(0, 60))
def test_a_random_book_has_the_figures_of_a_whole_working_out(
    tmp_path: Path, seed: int, before: int
) -> None:
    shop = RandomShop(seed)
    shop.go_on(before + 40)
    later = list(batches(shop.entries[before:], random.Random(seed)))
    compare(tmp_path, shop.entries[:before], later)


@pytest.mark.parametrize("tied", [False, True], ids=["families", "one tangle"])
def test_a_book_of_lots_has_the_figures_of_a_whole_working_out(
    tmp_path: Path, *, tied: bool
) -> None:
    entries = list(entries_of_a_book(500, tied=tied))
    cut = len(entries) - 25
    compare(tmp_path, entries[:cut], list(batches(entries[cut:], random.Random(1))))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(60))
def test_many_random_books_have_the_figures_of_a_whole_working_out(
    tmp_path: Path, seed: int
) -> None:
    shop = RandomShop(seed + 10**7)
    shop.go_on(250)
    later = list(batches(shop.entries[150:], random.Random(seed)))
    compare(tmp_path, shop.entries[:150], later)
