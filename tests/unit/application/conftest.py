"""The daybook that ships as an example, read into a book and worked out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.read_in import read_into

EXAMPLE = Path(__file__).resolve().parents[3] / "resources/examples/example-daybook.csv"
READ_AT = datetime(2031, 8, 1, 6, 30, tzinfo=UTC)


def example_in(folder: Path) -> Book:
    """Read the example into a book of its own, not worked out yet."""
    book = Book.create(
        folder / "example.shop", zone="Europe/Oslo", operator="Imke", clock=lambda: READ_AT
    )
    outcome = read_into(book, EXAMPLE, lambda _done, _of: None, lambda: False)
    assert outcome.faults == ()
    return book


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """Give the example, worked out; tests only ask it."""
    with example_in(tmp_path_factory.mktemp("example")) as book:
        work_out(book)
        yield book


@pytest.fixture
def bare_example(tmp_path: Path) -> Iterator[Book]:
    """Give the example as it was read, without figures."""
    with example_in(tmp_path) as book:
        yield book
