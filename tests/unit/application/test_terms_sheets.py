"""Terms sheets kept with the book: versions, which are valid, what an entry named, files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import fineness
from conftest import Clock
from terms_samples import SHEET, altered
from vault.application.book import Book
from vault.application.exchange.open_text import OpenTextRefused
from vault.application.operations import acts
from vault.application.terms_sheets import (
    TermsNotKept,
    keep_sheet,
    read_sheets,
    sheet_named,
    sheets_on,
    take_away,
    terms_sheets,
    valid_sheets,
    words_for_entry,
    write_sheets,
)
from vault.core.daybook import Line, Role, Terms
from vault.core.rules.terms_sheets import TermsRefused
from vault.core.terms_sheets import TermsSheet

LOWLAND, NAME = SHEET.party, SHEET.name
DEARER = replace(SHEET, version=2, valid_from=date(2030, 7, 1), days_to_settle=90)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", operator="Imke", clock=clock) as made:
        yield made


def versions(book: Book) -> list[tuple[str, int]]:
    return [(one.name, one.version) for one in terms_sheets(book)]


def test_a_book_begins_without_sheets(book: Book) -> None:
    assert terms_sheets(book) == ()
    assert valid_sheets(book, date(2031, 1, 1)) == ()


def test_a_sheet_that_is_kept_travels_with_the_book(book: Book) -> None:
    assert keep_sheet(book, SHEET).settings
    path = book.path
    book.close()
    with Book.open(path) as again:
        assert terms_sheets(again) == (SHEET,)


def test_a_changed_sheet_is_a_new_version_and_the_older_one_stays(book: Book) -> None:
    keep_sheet(book, SHEET)
    keep_sheet(book, replace(DEARER, version=1))
    assert terms_sheets(book) == (DEARER, SHEET)


def test_versions_are_counted_by_the_book_whatever_the_sheet_says(book: Book) -> None:
    keep_sheet(book, replace(SHEET, version=17))
    keep_sheet(book, altered("flat lot fee", version=4))
    assert versions(book) == [("by the kilo", 1), ("flat lot fee", 1)]


def test_a_version_in_which_nothing_differs_is_refused(book: Book) -> None:
    keep_sheet(book, SHEET)
    backwards = replace(SHEET, splitting=SHEET.splitting[::-1])
    with pytest.raises(TermsNotKept, match="Nothing of “by the kilo” differs from version 1"):
        keep_sheet(book, backwards)
    assert versions(book) == [("by the kilo", 1)]


def test_two_refineries_may_use_one_name(book: Book) -> None:
    keep_sheet(book, SHEET)
    keep_sheet(book, altered(party="Vellhaven Refining"))
    assert [one.version for one in terms_sheets(book)] == [1, 1]


def test_a_name_in_other_capitals_is_refused(book: Book) -> None:
    keep_sheet(book, SHEET)
    with pytest.raises(TermsRefused, match="has a sheet “by the kilo” already") as refused:
        keep_sheet(book, altered("By the Kilo"))
    assert refused.value.faults[0].field == "name"


@pytest.mark.parametrize(
    "wrong",
    [
        altered(""),
        altered(splitting=(("Pt", fineness("1 ‰")),)),
        altered(splitting=SHEET.splitting * 2),
    ],
)
def test_a_sheet_that_cannot_be_is_not_kept(book: Book, wrong: TermsSheet) -> None:
    with pytest.raises(TermsRefused):
        keep_sheet(book, wrong)
    assert terms_sheets(book) == ()


def test_of_several_versions_the_newest_that_has_begun_is_valid() -> None:
    both = (SHEET, DEARER)
    assert sheets_on(both, date(2028, 12, 31)) == ()
    assert sheets_on(both, date(2029, 1, 1)) == (SHEET,)
    assert sheets_on(both, date(2030, 6, 30)) == (SHEET,)
    assert sheets_on(both, date(2030, 7, 1)) == (DEARER,)


def test_an_older_version_does_not_come_back_once_the_newer_has_ended() -> None:
    ended = replace(DEARER, valid_until=date(2030, 12, 31))
    assert sheets_on((SHEET, ended), date(2030, 12, 31)) == (ended,)
    assert sheets_on((SHEET, ended), date(2031, 1, 1)) == ()


def test_a_correction_with_the_same_days_takes_the_place_of_the_version_before() -> None:
    corrected = replace(SHEET, version=2, days_to_settle=60)
    assert sheets_on((corrected, SHEET), date(2029, 1, 1)) == (corrected,)


def test_a_sheet_is_found_as_an_entry_names_it() -> None:
    both = (DEARER, SHEET)
    early, late = date(2029, 5, 1), date(2030, 8, 1)
    assert sheet_named(both, LOWLAND, NAME, early) == SHEET
    assert sheet_named(both, LOWLAND, NAME, late) == DEARER
    assert sheet_named(both, LOWLAND, words_for_entry(SHEET), late) == SHEET
    assert sheet_named(both, LOWLAND, words_for_entry(DEARER), early) == DEARER


@pytest.mark.parametrize(
    ("party", "terms", "day"),
    [
        ("Vellhaven Refining", NAME, date(2029, 5, 1)),
        (LOWLAND, "flat lot fee", date(2029, 5, 1)),
        (LOWLAND, "", date(2029, 5, 1)),
        (LOWLAND, NAME, date(2028, 5, 1)),
        (LOWLAND, f"{NAME} (version 3)", date(2029, 5, 1)),
    ],
)
def test_a_sheet_that_the_shop_does_not_keep_is_none(party: str, terms: str, day: date) -> None:
    assert sheet_named((SHEET, DEARER), party, terms, day) is None


def test_a_version_entered_later_is_not_the_one_under_which_something_went(book: Book) -> None:
    """The entry names the version, so that a paper that came late changes nothing of it."""
    keep_sheet(book, SHEET)
    went = words_for_entry(SHEET)
    keep_sheet(book, replace(SHEET, days_to_settle=99))
    assert sheet_named(terms_sheets(book), LOWLAND, went, date(2030, 1, 1)) == SHEET


def send_one(book: Book, terms: str) -> None:
    acts.receive_lot(
        book, [Line(Role.IN, tag="R-1", form="slag")], lot="L-1", party="Orrin",
        terms=Terms.BOUGHT, key="receive",
    )  # fmt: skip
    acts.send(book, ["R-1"], party=LOWLAND, ref="V-1", terms=terms, key="send")


@pytest.mark.parametrize("terms", [NAME, f"{NAME} (version 1)"])
def test_a_sheet_under_which_something_went_is_not_taken_away(book: Book, terms: str) -> None:
    keep_sheet(book, SHEET)
    send_one(book, terms)
    with pytest.raises(TermsNotKept, match="Shipment V-1 went out under “by the kilo”"):
        take_away(book, LOWLAND, NAME)
    assert terms_sheets(book) == (SHEET,)


def test_a_sheet_entered_by_mistake_is_taken_away_with_its_versions(book: Book) -> None:
    keep_sheet(book, SHEET)
    keep_sheet(book, DEARER)
    keep_sheet(book, altered("flat lot fee"))
    send_one(book, "flat lot fee")
    assert take_away(book, LOWLAND, NAME).settings
    assert versions(book) == [("flat lot fee", 1)]


def test_a_struck_shipment_holds_no_sheet(book: Book) -> None:
    keep_sheet(book, SHEET)
    send_one(book, NAME)
    acts.strike_entry(book, 2, reason="never went", key="strike")
    take_away(book, LOWLAND, NAME)
    assert terms_sheets(book) == ()


def test_what_is_written_out_is_read_into_another_book(book: Book, tmp_path: Path) -> None:
    for one in (SHEET, DEARER, altered("flat lot fee")):
        keep_sheet(book, one)
    file = tmp_path / "sheets.json"
    assert write_sheets(book, file) == 3
    with Book.create(tmp_path / "other.shop", zone="UTC") as other:
        read = read_sheets(other, file)
        assert (len(read.kept), read.already) == (3, 0)
        assert read.changes.settings
        assert terms_sheets(other) == terms_sheets(book)
        again = read_sheets(other, file)
        assert (again.kept, again.already) == ((), 3)
        assert not again.changes.settings


def test_a_sheet_that_the_book_has_otherwise_becomes_its_next_version(
    book: Book, tmp_path: Path
) -> None:
    keep_sheet(book, SHEET)
    file = tmp_path / "sheets.json"
    write_sheets(book, file)
    keep_sheet(book, DEARER)
    text = file.read_text(encoding="utf-8").replace('"days_to_settle": 75', '"days_to_settle": 5')
    file.write_text(text, encoding="utf-8")
    read = read_sheets(book, file)
    assert [one.version for one in read.kept] == [3]
    assert [one.days_to_settle for one in terms_sheets(book)] == [5, 90, 75]


def test_of_a_file_with_a_fault_nothing_is_taken(book: Book, tmp_path: Path) -> None:
    keep_sheet(book, SHEET)
    file = tmp_path / "sheets.json"
    write_sheets(book, file)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("money", "monkey"), encoding="utf-8")
    with pytest.raises(OpenTextRefused, match="Sheet 1, returns"):
        read_sheets(book, file)
    assert terms_sheets(book) == (SHEET,)


def test_a_file_that_spells_a_known_sheet_in_other_capitals_is_refused(
    book: Book, tmp_path: Path
) -> None:
    keep_sheet(book, SHEET)
    file = tmp_path / "sheets.json"
    write_sheets(book, file)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("by the kilo", "By the kilo"), encoding="utf-8")
    with pytest.raises(TermsRefused, match="has a sheet “by the kilo” already"):
        read_sheets(book, file)


def test_a_file_that_is_no_text_or_too_large_is_refused(book: Book, tmp_path: Path) -> None:
    file = tmp_path / "photo.json"
    file.write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(TermsNotKept, match=r"photo\.json is no text in UTF-8"):
        read_sheets(book, file)
    file.write_bytes(b" " * 5_000_001)
    with pytest.raises(TermsNotKept, match="larger than 5 MB"):
        read_sheets(book, file)


def test_a_text_that_somebody_spoilt_in_the_book_is_told_and_never_written_over(
    book: Book,
) -> None:
    book.file.change_setting("terms_sheets", "spoilt")
    with pytest.raises(TermsNotKept, match="cannot be read: Line 1, sign 1"):
        terms_sheets(book)
    with pytest.raises(TermsNotKept, match="Take them back from a backup"):
        keep_sheet(book, SHEET)
    assert book.file.setting("terms_sheets") == "spoilt"
