"""The list of shipments: how far each is, and all about one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import received, sent, settled, struck, thing, weighed
from conftest import Clock
from terms_samples import altered
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.shipments import ShipmentRow, Way
from vault.application.queries.items import item_detail
from vault.application.queries.shipments import NoSuchShipment, shipment_detail, shipments
from vault.application.terms_sheets import keep_sheet
from vault.core.daybook import Entry

SENT_ON = date(2031, 1, 3)  # the third day of the builders' year


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock, operator="Imke") as book:
        cupels = [thing(f"C-{at}", "spent cupel", "1000", "Ag 2", place="drum C") for at in (1, 2)]
        import_entries(
            book,
            (
                received(1, *cupels, thing("S-1", "slag", "500", "Ag 5"), thing("S-2", "slag")),
                weighed(2, "drum C", "2050"),
                sent(3, "C-1 C-2 S-1", ref="V-1", terms="by the kilo (version 1)"),
                sent(4, "S-2", ref="V-2", party="Highmoor", terms=""),
            ),
        )
        kilo = replace(altered(party="Lowland"), valid_from=date(2031, 1, 1), days_to_settle=90)
        keep_sheet(book, kilo)
        work_out(book)
        yield book


def test_a_shipment_is_on_its_way_until_its_terms_are_over(book: Book, clock: Clock) -> None:
    first = next(one for one in shipments(book) if one.ref == "V-1")
    today = clock.at.date()
    assert (first.way, first.expected, first.sent_on) == (Way.ON_THE_WAY, 90, SENT_ON)
    assert first.days == (today - SENT_ON).days
    assert (first.items, first.weight_ug, first.not_weighed) == (3, 2_500_000_000, 0)
    clock.go_on(days=91 - first.days)
    assert next(one for one in shipments(book) if one.ref == "V-1").way is Way.LATE


def test_without_a_terms_sheet_nobody_says_when_it_is_late(book: Book, clock: Clock) -> None:
    clock.go_on(days=2000)
    second = next(one for one in shipments(book) if one.ref == "V-2")
    assert (second.way, second.expected, second.not_weighed) == (Way.ON_THE_WAY, None, 1)


def test_a_drum_counts_with_its_weight_as_it_left(book: Book) -> None:
    import_entries(
        book,
        (
            received(5, thing("C-9", "spent cupel", "1000", "Ag 2", place="drum E"), lot="L-5"),
            weighed(6, "drum E", "1004"),
            replace_place(sent(7, "C-9", ref="V-3"), "drum E"),
        ),
    )
    third = next(one for one in shipments(book) if one.ref == "V-3")
    assert (third.containers, third.weight_ug) == (("drum E",), 1_004_000_000)


def replace_place(entry: Entry, place: str) -> Entry:
    return replace(entry, lines=tuple(replace(one, place=place) for one in entry.lines))


def test_one_item_settled_is_a_part_and_the_rest_makes_it_whole(book: Book) -> None:
    import_entries(book, (settled(8, thing("C-1", says="Ag 2.1", how="settlement")),))
    assert row(book).way is Way.IN_PART
    import_entries(book, (settled(9, thing("", "", "1500", "Ag 3", how="settlement")),))
    whole = row(book)
    assert (whole.way, whole.settled_by) == (Way.SETTLED, (8, 9))
    assert whole.settled_on is not None
    assert whole.days == (whole.settled_on - SENT_ON).days
    assert [one.ref for one in shipments(book)] == ["V-2", "V-1"]


def row(book: Book) -> ShipmentRow:
    return next(one for one in shipments(book) if one.ref == "V-1")


def test_what_is_struck_was_never_sent_or_settled(book: Book) -> None:
    import_entries(
        book,
        (settled(8, thing("", "", "2500", "Ag 3", how="settlement")), struck(9, 8), struck(10, 4)),
    )
    assert [(one.ref, one.way) for one in shipments(book)] == [("V-1", Way.ON_THE_WAY)]


def test_a_word_finds_a_shipment_by_its_refinery_or_its_state(book: Book) -> None:
    assert [one.ref for one in shipments(book, "highmoor")] == ["V-2"]
    assert [one.ref for one in shipments(book, "lowland on the way")] == ["V-1"]
    assert shipments(book, "nobody") == ()


def test_all_about_a_shipment_says_what_went_and_what_was_settled(book: Book) -> None:
    import_entries(
        book,
        (
            settled(
                8,
                thing("", "", "2500", "Ag 3", how="settlement"),
                thing(money="-30.00 EUR", note="treatment, least for a lot"),
            ),
        ),
    )
    work_out(book)
    detail = shipment_detail(book, "V-1")
    assert detail.tags == ("C-1", "C-2", "S-1")
    assert [one.name for one in detail.parts] == ["C-1", "C-2", "S-1"]
    assert [one.entry for one in detail.settlements] == [8]
    assert detail.settlements[0].lines == (
        "the whole · 2500 g · Ag 3 ‰",
        "-30.00 EUR · treatment, least for a lot",
    )
    assert detail.not_known == 0
    # The balance follows what was agreed: 3 ‰ of 2500 g.
    # 3 ‰ of 2500 g, where 2 g, 2 g and 2.5 g had been declared.
    assert detail.settlements[0].against == (
        "Ag: 7.50 ± 0.08 g agreed, where you had thought 6 ± 15 g",
    )
    silver = detail.contents["Ag"]
    assert silver.fine_ug is not None
    assert silver.fine_ug == pytest.approx(7_500_000, abs=3 * (silver.u_ug or 0))
    assert shipment_detail(book, "V-2").not_known == 1


def test_a_number_that_sent_nothing_is_refused(book: Book) -> None:
    with pytest.raises(NoSuchShipment, match=r"Nothing was sent under the number V-77; check it\."):
        shipment_detail(book, "V-77")


def test_an_item_knows_the_shipment_it_left_in(book: Book) -> None:
    assert item_detail(book, "C-1").shipment == "V-1"
    import_entries(book, (received(5, thing("X-1", "slag", "5"), lot="L-5"),))
    assert item_detail(book, "X-1").shipment == ""
