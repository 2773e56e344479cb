"""Figures after an entry: of the families that it touches at once, of the whole book later."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from builders import (
    assayed,
    moved,
    photographed,
    priced,
    received,
    sent,
    settled,
    struck,
    thing,
    worked,
)
from conftest import Clock
from vault.application import taking_in
from vault.application.book import Book
from vault.application.figures import are_fresh, settle_figures, work_out
from vault.application.operations.recording import ActionStopped, import_entries
from vault.application.queries.safe import safe
from vault.application.taking_in import take_in
from vault.core.knowledge import Figure
from vault.store.figures import contents_of

BOOK = (
    received(1, thing("R-1", "filings", "100", "Ag 600 ± 60"), lot="L-1"),
    worked(2, "smelt", used="R-1", made=[thing("K-1", "button", "66"), thing("S-1", "slag", "40")]),
    received(3, thing("R-2", "scrap", "50", "Ag 900 ± 9"), lot="L-2", party="Orrin"),
)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock) as book:
        import_entries(book, BOOK)
        work_out(book)
        yield book


def kept(book: Book) -> dict[str, dict[str, Figure]]:
    """Give what is kept of every item's content, by tag."""
    with book.file.reading() as connection:
        ids: dict[int, str] = dict(connection.exec_driver_sql("SELECT id, tag FROM item").all())
        return {ids[one]: told for one, told in contents_of(connection, ids).items()}


def test_an_assay_changes_its_own_family_at_once(book: Book) -> None:
    before = kept(book)
    import_entries(book, [assayed(4, "K-1", "Ag 900 ± 0.5")])
    changes = take_in(book)
    after = kept(book)
    assert changes.figures
    assert changes.tags == {"R-1", "K-1", "S-1"}
    fine = after["K-1"]["Ag"].fine_ug
    assert fine is not None
    assert fine == pytest.approx(59_400_000, abs=60_000)
    assert after["S-1"] != before["S-1"]
    assert after["R-2"] == before["R-2"]
    assert not are_fresh(book)
    assert settle_figures(book) is not None
    assert are_fresh(book)
    assert settle_figures(book) is None
    assert safe(book).figures_of == 4


def test_a_figure_for_a_whole_shipment_reaches_every_item_of_it_and_is_taken_back(
    book: Book,
) -> None:
    import_entries(book, [sent(4, "S-1 R-2")])
    take_in(book)
    before = kept(book)
    import_entries(book, [settled(5, thing("", "", "90", "Ag 490 ± 1", how="settlement"))])
    assert take_in(book).tags == {"R-1", "K-1", "S-1", "R-2"}
    after = kept(book)
    assert after["R-2"] != before["R-2"]
    assert after["S-1"] != before["S-1"]
    import_entries(book, [struck(6, 5)])
    assert take_in(book).tags == {"R-1", "K-1", "S-1", "R-2"}
    assert kept(book) == before


def test_a_settlement_struck_together_with_its_shipment_is_taken_back_as_well(book: Book) -> None:
    before = kept(book)
    import_entries(
        book, [sent(4, "S-1 R-2"), settled(5, thing("", "", "90", "Ag 490 ± 1", how="settlement"))]
    )
    take_in(book)
    import_entries(book, [struck(6, 5), struck(7, 4)])
    take_in(book)
    assert kept(book) == before


def test_what_was_made_and_struck_again_leaves_no_figure(book: Book) -> None:
    before = kept(book)
    made = [thing("B-1", "bar", "49")]
    import_entries(book, [worked(4, "remelt", used="R-2", made=made)])
    take_in(book)
    assert "B-1" in kept(book)
    import_entries(book, [struck(5, 4)])
    take_in(book)
    assert kept(book) == before


@pytest.mark.parametrize(
    "entry",
    [moved(4, "R-2", "safe"), photographed(4, "R-2", "5d" * 32), priced(4, "Ag", "1 EUR")],
    ids=lambda entry: entry.act.value,
)
def test_what_says_nothing_of_metal_moves_no_figure(book: Book, entry: object) -> None:
    before, contents = kept(book), book.reckoned
    assert contents is not None
    import_entries(book, [entry])  # type: ignore[list-item]  # each is an entry
    assert take_in(book).tags == frozenset()
    assert kept(book) == before
    assert book.reckoned is not None
    assert book.reckoned.contents is contents.contents
    assert book.reckoned.entry == 4


def test_without_figures_in_memory_everything_is_worked_out(book: Book) -> None:
    import_entries(book, [assayed(4, "K-1", "Ag 900 ± 0.5")])
    book.reckoned = None
    take_in(book)
    assert are_fresh(book)


def test_very_many_entries_are_worked_out_as_a_whole(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(taking_in, "MOST_AT_ONCE", 2)
    import_entries(book, [moved(number, "R-2", "safe") for number in (4, 5, 6)])
    take_in(book)
    assert are_fresh(book)


def test_nothing_new_changes_nothing(book: Book) -> None:
    before = book.reckoned
    assert not take_in(book).figures
    assert book.reckoned is before


def test_stopped_half_way_the_next_taking_in_works_everything_out(book: Book) -> None:
    before = kept(book)
    import_entries(book, [assayed(4, "K-1", "Ag 900 ± 0.5")])
    with pytest.raises(ActionStopped, match="the figures stay as they were"):
        take_in(book, None, lambda: True)
    assert kept(book) == before
    assert book.reckoned is not None
    assert book.reckoned.entry == 3
    take_in(book)
    assert are_fresh(book)
    assert kept(book) != before


def test_a_book_open_for_reading_takes_figures_in_without_keeping_them(
    book: Book, clock: Clock
) -> None:
    with Book.open(book.path, writing=False, clock=clock) as second:
        work_out(second)
        import_entries(book, [assayed(4, "K-1", "Ag 900 ± 0.5")])
        before = kept(book)
        assert take_in(second).figures
        assert second.reckoned is not None
        assert second.reckoned.entry == 4
        assert settle_figures(second) is None
        assert kept(book) == before
