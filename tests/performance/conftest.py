"""The table that a run fills, and the big books that it is filled from, made once a session."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from performance.book_files import book_of_families
from performance.table import Table, keep

MILLION, HUNDRED_THOUSAND, THOUSAND = 1_000_000, 100_000, 1_000


@pytest.fixture(scope="session")
def table() -> Iterator[Table]:
    """Print what was measured at the end; keep it if nothing is missing."""
    made = Table()
    yield made
    told = made.to_markdown()
    print(f"\n\n{told}")
    if made.is_whole:
        keep(told)


@pytest.fixture(scope="session")
def books(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where big books lie during one run; set `BIG_BOOKS` to keep them from run to run."""
    kept = os.environ.get("BIG_BOOKS")
    if not kept:
        return tmp_path_factory.mktemp("books")
    folder = Path(kept)
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def million(books: Path) -> Path:
    """A book of a million items with figures."""
    return book_of_families(books / "million.shop", MILLION)


@pytest.fixture(scope="session")
def thousand(books: Path) -> Path:
    """A book of a thousand items with figures."""
    return book_of_families(books / "thousand.shop", THOUSAND)
