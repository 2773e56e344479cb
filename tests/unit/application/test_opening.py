"""Opening books for a window: to write, to read, and the demonstration shop."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from builders import assayed, received, thing
from vault.application import opening
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.application.queries.items import item_detail
from vault.core.money import money_from_text
from vault.store.entries import last_number, load_entry
from vault.store.errors import NotABook
from vault.store.figures import ALL_FORMS, reported_totals


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


def test_what_was_known_at_month_ends_is_told_once_and_never_again(tmp_path: Path) -> None:
    lot = received(1, thing("R-1", "filings", "512.40", "Ag 600 ± 60"), on="2031-03-04")
    later = assayed(2, "R-1", "Ag 588 ± 3", on="2031-05-06")
    with Book.create(tmp_path / "shop.shop", zone="Europe/Oslo") as made:
        import_entries(made, [lot, later])
        assert opening.look_back(made, nothing, never) is None, "nothing is worked out yet"
        opening.bring_up_to_date(made, nothing, never)
        assert opening.look_back(made, nothing, never) is not None
        with made.file.reading() as connection:
            told = reported_totals(connection, "Ag", ALL_FORMS)
        assert list(told) == [date(2031, 3, 31), date(2031, 4, 30)]
        believed = {round((one.fine_ug or 0) / 1e6) for one in told.values()}
        assert believed == {round(512.4 * 0.6)}, "as declared, for the assay came later"
        detail = item_detail(made, "R-1").metals[0]
        assert detail.reported_on == date(2031, 3, 31)
        assert round((detail.figure.fine_ug or 0) / 1e6) == round(512.4 * 0.588)
        assert opening.look_back(made, nothing, never) is None


def test_the_clock_of_the_demonstration_goes_on_from_its_last_entry(tmp_path: Path) -> None:
    path = opening.make_demonstration(tmp_path, nothing, never)
    with opening.open_for_window(path, "Imke") as book:
        with book.file.reading() as connection:
            last = load_entry(connection, last_number(connection))
        assert last is not None
        assert last.entry.when.at is not None
        late = opening.now_of(book) - last.entry.when.at
        assert 0 <= late.total_seconds() < 60
        assert opening.now_of(book).utcoffset() is not None
        changes = acts.set_prices(
            book, [("Ag", money_from_text("0.91", "EUR"))], key="a price of today"
        )
        with book.file.reading() as connection:
            mine = load_entry(connection, changes.entries[0])
        assert mine is not None
        assert mine.entry.when.day == last.entry.when.day


def test_the_clock_of_a_real_shop_is_never_put_forward(book: Book) -> None:
    with opening.open_for_window(book.path) as again:
        assert abs((opening.now_of(again) - datetime.now(UTC)).total_seconds()) < 60
