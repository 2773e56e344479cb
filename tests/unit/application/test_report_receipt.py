"""The receipt of a lot, on the example daybook and on a lot of the test's own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import mass, thing
from conftest import Clock
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.queries.daybook import chain_proof
from vault.application.reports.receipt import NoReceipt, receipt_of
from vault.core.daybook import Terms


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(
        tmp_path / "our.shop", zone="UTC", shop_name="Tidewater", operator="Imke", clock=clock
    ) as book:
        yield book


def test_a_receipt_says_what_was_brought(book: Book) -> None:
    bags = [
        replace(
            thing("R-0001", "filings", "512.40 ± 0.02", "Ag 600 ± 60", place="bench"),
            tare=mass("12.5 g"),
            hold_until=date(2031, 3, 15),
        ),
        thing("R-0002", "dust", place="bench"),
        thing("R-0003", "scrap", "7.6", place="bench"),
    ]
    acts.receive_lot(
        book, bags, lot="L-001", party="Fernhill Dental Lab", terms=Terms.TOLL, key="k"
    )
    receipt = receipt_of(book, 1)
    assert (receipt.shop, receipt.lot, receipt.party) == (
        "Tidewater",
        "L-001",
        "Fernhill Dental Lab",
    )
    assert (receipt.by, receipt.day) == ("Imke", date(2031, 3, 1))
    first, second, _ = receipt.bags
    assert (first.tag, first.check, first.form) == ("R-0001", "33", "filings")
    assert first.gross == mass("512.40 g")
    assert first.gross_u == mass("0.02 g")
    assert first.tare == mass("12.5 g")
    assert first.contents[0].metal == "Ag"
    assert second.gross is None
    assert receipt.total == mass("520 g")
    assert receipt.not_weighed == 1
    assert receipt.hold_until == date(2031, 3, 15)
    assert receipt.terms_in_words.startswith("The metal stays the customer's")
    assert [one.partition(" ")[0] for one in receipt.cautions] == ["Dental", "Lead."]
    assert receipt.struck_by is None


def test_the_head_on_a_receipt_stands_in_the_chain_for_ever(book: Book) -> None:
    acts.receive_lot(book, [thing("R-1", "scrap", "7")], lot="L", terms=Terms.OWN, key="a")
    before = receipt_of(book, 1)
    assert before.head == chain_proof(book).head
    acts.strike_entry(book, 1, reason="weighed twice", key="b")
    after = receipt_of(book, 1)
    assert after.head == before.head
    assert after.struck_by == 2


def test_nothing_weighed_has_no_total(book: Book) -> None:
    acts.receive_lot(book, [thing("R-1", "scrap")], lot="L", terms=Terms.OWN, key="a")
    receipt = receipt_of(book, 1)
    assert receipt.total is None
    assert receipt.not_weighed == 1
    assert receipt.party == ""
    assert receipt.hold_until is None


@pytest.mark.parametrize(
    ("entry", "said"),
    [(99, "no entry 99 in this book"), (1, "Entry 1 received no lot; a receipt is printed for")],
)
def test_what_received_nothing_has_no_receipt(example: Book, entry: int, said: str) -> None:
    with pytest.raises(NoReceipt, match=said):
        receipt_of(example, entry)
