from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conftest import Clock
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.holds import (
    HOLD_SETTING,
    CountedFrom,
    Hold,
    HoldNotClear,
    hold_from_text,
    hold_of,
    hold_to_text,
    released_early,
    set_hold,
)
from vault.core.daybook import Terms

HOLD = Hold(14, "Fjordvik", "dealer's licence of 2030")
CAME = date(2031, 3, 14)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="Europe/Oslo", operator="Imke") as made:
        made.clock = clock
        yield made


def test_no_hold_is_set_in_a_new_book(book: Book) -> None:
    assert hold_of(book) is None


def test_a_hold_travels_with_the_book_and_can_be_taken_off(book: Book) -> None:
    assert set_hold(book, HOLD) == Changes(settings=True)
    assert hold_of(book) == HOLD
    set_hold(book, None)
    assert hold_of(book) is None


@given(
    st.builds(
        Hold,
        days=st.integers(1, 3650),
        place=st.sampled_from(["Fjordvik", "Østfold “nord”"]),
        source=st.just("licence, § 4"),
        counted_from=st.sampled_from(CountedFrom),
        terms=st.frozensets(st.sampled_from(Terms), min_size=1),
    )
)
def test_a_hold_reads_back_as_it_was_kept(hold: Hold) -> None:
    assert hold_from_text(hold_to_text(hold)) == hold


@pytest.mark.parametrize("text", ["", "null", "{}", "not json", '{"days": 0}', "[1]"])
def test_a_setting_that_makes_no_sense_is_no_hold(book: Book, text: str) -> None:
    book.file.change_setting(HOLD_SETTING, text)
    assert hold_of(book) is None


def test_the_day_of_receipt_or_the_day_after_is_the_first() -> None:
    assert HOLD.ends(CAME, Terms.BOUGHT) == date(2031, 3, 28)
    after = replace(HOLD, counted_from=CountedFrom.DAY_AFTER)
    assert after.ends(CAME, Terms.BOUGHT) == date(2031, 3, 29)


def test_a_hold_is_only_for_the_terms_that_it_names() -> None:
    assert HOLD.ends(CAME, Terms.OWN) is None
    assert HOLD.ends(CAME, None) == date(2031, 3, 28)


@pytest.mark.parametrize(
    ("hold", "words"),
    [
        (replace(HOLD, days=0), "A hold of 0 days cannot be kept; type whole days from 1 to 3650."),
        (replace(HOLD, days=4000), "A hold of 4000 days cannot be kept"),
        (replace(HOLD, place=" "), "The hold names no place; write where the rule holds"),
        (replace(HOLD, source=""), "The hold names no source"),
        (replace(HOLD, source="=A1"), "a spreadsheet would run as a formula"),
        (replace(HOLD, terms=frozenset()), "The hold is for nothing; choose at least one"),
    ],
)
def test_a_hold_that_nobody_could_look_up_is_refused(book: Book, hold: Hold, words: str) -> None:
    with pytest.raises(HoldNotClear) as caught:
        set_hold(book, hold)
    assert words in str(caught.value)
    assert hold_of(book) is None


def test_a_sooner_day_is_asked_about_and_a_later_one_is_not() -> None:
    asked = released_early(HOLD, date(2031, 3, 20), CAME, Terms.BOUGHT)
    assert asked == (
        "The hold set here is 14 days from the day of receipt (Fjordvik; dealer's licence of 2030) "
        "and ends on 28 Mar 2031. Record a hold until 20 Mar 2031 instead? Local law comes first."
    )
    assert "Record no hold instead?" in released_early(HOLD, None, CAME, Terms.BOUGHT)
    assert released_early(HOLD, date(2031, 3, 28), CAME, Terms.BOUGHT) == ""
    assert released_early(HOLD, date(2031, 6, 1), CAME, Terms.BOUGHT) == ""
    assert released_early(HOLD, None, CAME, Terms.OWN) == ""
