"""Opening books for a window: to write, to read, and the demonstration shop."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from builders import received, thing
from vault.application import opening
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.store.errors import NotABook


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="Europe/Oslo", shop_name="Tidewater") as made:
        import_entries(made, [received(1, thing("R-1", "filings", "512.40"), on="2099-05-04")])
        yield made


def never() -> bool:
    return False


def nothing(done: int, of: int) -> None:
    assert 0 <= done <= of


def test_the_second_window_reads_and_says_why(book: Book) -> None:
    assert opening.limits_of(book) == ""
    second = opening.open_for_window(book.path, "Imke")
    try:
        assert not second.may_write
        told = opening.limits_of(second)
        assert told.startswith("shop.shop is shown for reading only")
        assert opening.shop_name(second) == "Tidewater"
    finally:
        opening.close(second)


def test_what_is_no_book_is_refused(tmp_path: Path) -> None:
    other = tmp_path / "letter.shop"
    other.write_text("Dear customer, this is no book of metal." * 200, encoding="utf-8")
    with pytest.raises(NotABook):
        opening.open_for_window(other)


def test_ages_are_counted_from_the_last_entry_where_that_is_later(book: Book) -> None:
    assert opening.today_of(book) == date(2099, 5, 4)


def test_in_an_empty_book_ages_are_counted_from_today(tmp_path: Path) -> None:
    with opening.make_for_window(tmp_path / "new.shop") as made:
        assert opening.today_of(made) == made.today()


def test_figures_are_worked_out_once_and_brought_to_mind_when_opened_again(book: Book) -> None:
    assert opening.needs_reckoning(book)
    opening.bring_up_to_date(book, nothing, never)
    assert not opening.needs_reckoning(book)
    book.close()
    again = opening.open_for_window(book.path)
    try:
        assert again.reckoned is None
        assert opening.needs_reckoning(again)
        opening.bring_up_to_date(again, nothing, never)
        assert again.reckoned is not None
        assert not opening.needs_reckoning(again)
    finally:
        opening.close(again)


def test_a_very_large_book_is_shown_with_the_figures_it_has(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    opening.bring_up_to_date(book, nothing, never)
    book.reckoned = None
    assert opening.needs_reckoning(book)
    monkeypatch.setattr(opening, "MOST_ENTRIES_TO_RECKON_AT_OPENING", 0)
    assert not opening.needs_reckoning(book)


def test_each_demonstration_is_fresh_and_leaves_an_open_one_alone(tmp_path: Path) -> None:
    first = opening.make_demonstration(tmp_path, nothing, never)
    with Book.open(first) as shown:
        second = opening.make_demonstration(tmp_path, nothing, never)
        assert second != first
        assert shown.shop_name == opening.DEMONSTRATION_SHOP
    third = opening.make_demonstration(tmp_path, nothing, never)
    assert third == first
    with Book.open(third) as again:
        assert opening.needs_reckoning(again)
