"""What stands in the way of a strike."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from builders import moved, received, struck, thing, worked
from vault.application.book import Book
from vault.application.operations.acts import strike_entry
from vault.application.operations.recording import import_entries
from vault.application.queries.daybook import NoSuchEntry
from vault.application.queries.striking import last_entry_of, what_leans_on
from vault.core.errors import RuleBroken

NOW = datetime(2031, 2, 1, 9, tzinfo=UTC)
ENTRIES = (
    received(1, thing("R-1", "filings", "100", place="bench")),
    moved(2, "R-1", "tray"),
    worked(3, "smelt", used="R-1", made=[thing("K-1", "button", "90")]),
    moved(4, "K-1", "safe"),
    struck(5, 4, "it stands on the bench"),
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    path = tmp_path / "our.shop"
    with Book.create(path, zone="Europe/Oslo", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, ENTRIES)
        yield book


def test_what_leans_on_an_entry_is_told_in_words_last_one_first(book: Book) -> None:
    answer = what_leans_on(book, 1)
    assert answer.entry.number == 1
    assert [(row.number, row.words) for row in answer.leaning] == [
        (3, "smelt R-1 into button K-1"),
        (2, "R-1 to tray"),
    ]
    assert answer.refusal == (
        "Entry 1 cannot be struck while later entries lean on it: 2, 3. Strike those first, the "
        "last one first."
    )


def test_an_entry_on_which_nothing_leans_can_be_struck(book: Book) -> None:
    answer = what_leans_on(book, 3)
    assert (answer.leaning, answer.refusal) == ((), "")
    strike_entry(book, 3, reason="a slip", key="k")


@pytest.mark.parametrize(
    ("number", "refusal"),
    [(4, "Entry 4 was struck already, by entry 5."), (5, "Entry 5 is itself a strike")],
)
def test_what_cannot_be_struck_at_all_says_why(book: Book, number: int, refusal: str) -> None:
    answer = what_leans_on(book, number)
    assert answer.leaning == ()
    assert answer.refusal.startswith(refusal)


@pytest.mark.parametrize("number", range(1, 6))
def test_the_answer_is_what_the_book_does(book: Book, number: int) -> None:
    refusal = what_leans_on(book, number).refusal
    if not refusal:
        strike_entry(book, number, reason="a slip", key="k")
        return
    with pytest.raises(RuleBroken) as broken:
        strike_entry(book, number, reason="a slip", key="k")
    assert str(broken.value) == refusal


def test_an_entry_that_is_not_there_is_told(book: Book) -> None:
    with pytest.raises(NoSuchEntry, match="There is no entry 9"):
        what_leans_on(book, 9)


def test_the_last_entry_that_stands_is_found(book: Book) -> None:
    last = last_entry_of(book, (1, 2, 4, 5))
    assert last is not None
    assert (last.number, last.words) == (2, "R-1 to tray")
    assert last_entry_of(book, (4, 5)) is None
    assert last_entry_of(book, ()) is None
