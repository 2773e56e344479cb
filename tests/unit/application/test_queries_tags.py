"""Which tags come next, and what a scan says, on the example daybook and books of our own."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from builders import thing
from conftest import Clock
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.queries import tags as queries
from vault.application.queries.tags import (
    let_tags_go,
    propose_received_tags,
    propose_tags,
    read_scan,
)
from vault.application.tag_prefixes import set_tag_prefixes, tag_prefixes
from vault.core.daybook import Terms
from vault.core.errors import TextNotUnderstood
from vault.core.tags import DEFAULTS, FOUND, payload_of


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="UTC", operator="Imke", clock=clock) as book:
        yield book


def receive(book: Book, *tags: str) -> None:
    items = [thing(tag, "filings", "100", place="bench") for tag in tags]
    acts.receive_lot(book, items, lot=f"L-{tags[0]}", terms=Terms.OWN, key=f"receive {tags}")


def test_the_next_tags_go_on_from_the_example(example: Book) -> None:
    forms = ["button", "bead", "spent cupel", "slag", "bar", "sample", "dust", FOUND]
    assert propose_tags(example, "work", forms) == (
        *("K-0004", "K-0005", "C-0002", "S-0003", "B-0002", "A-0002", "D-0001", "X-0001"),
    )
    let_tags_go(example, "work")
    assert propose_received_tags(example, "receive", 2) == ("R-0004", "R-0005")
    let_tags_go(example, "receive")


def test_an_empty_book_begins_with_number_one(book: Book) -> None:
    assert propose_tags(book, "work", ["bar"]) == ("B-0001",)


def test_two_forms_open_at_once_never_show_the_same_tag(book: Book) -> None:
    assert propose_tags(book, "one", ["bar", "slag"]) == ("B-0001", "S-0001")
    assert propose_tags(book, "two", ["bar"]) == ("B-0002",)
    let_tags_go(book, "one")
    assert propose_tags(book, "three", ["slag"]) == ("S-0001",)


def test_a_form_that_asks_again_keeps_what_it_shows(book: Book) -> None:
    assert propose_tags(book, "one", ["bar"]) == ("B-0001",)
    assert propose_tags(book, "two", ["bar"]) == ("B-0002",)
    assert propose_tags(book, "one", ["bar", "slag", "bar"]) == ("B-0001", "S-0001", "B-0003")
    assert propose_tags(book, "one", ["bar"]) == ("B-0001",)


def test_what_was_recorded_meanwhile_is_not_proposed_again(book: Book) -> None:
    assert propose_received_tags(book, "receive", 2) == ("R-0001", "R-0002")
    receive(book, "R-0001", "R-0007")
    # Of what it shows the one that is still new stays: it may be written on a bag already.
    assert propose_received_tags(book, "receive", 2) == ("R-0002", "R-0008")


def test_what_one_form_lets_go_is_given_to_the_next_that_asks(book: Book) -> None:
    for row in range(1, 4):
        propose_received_tags(book, f"row {row}", 1)
    let_tags_go(book, "row 2")
    assert propose_received_tags(book, "row 4", 1) == ("R-0002",)
    assert propose_received_tags(book, "row 5", 1) == ("R-0004",)


def test_a_struck_tag_is_never_proposed_again(book: Book) -> None:
    receive(book, "R-0001", "R-0002")
    acts.strike_entry(book, 1, reason="written down twice", key="strike")
    assert propose_received_tags(book, "receive", 1) == ("R-0003",)


def test_tags_of_another_making_are_passed_over(book: Book) -> None:
    receive(book, "R-12a", "R-", "R", "R-999999999999999", "R-0003", "drum R-7")
    assert propose_received_tags(book, "receive", 1) == ("R-0004",)


def test_a_shop_has_capitals_of_its_own(book: Book) -> None:
    assert set_tag_prefixes(book, {"bar": "BAR"}).settings
    assert tag_prefixes(book) == {**DEFAULTS, "bar": "BAR"}
    assert propose_tags(book, "work", ["bar", "slag"]) == ("BAR-0001", "S-0001")


def test_capitals_that_cannot_be_scanned_are_not_kept(book: Book) -> None:
    with pytest.raises(TextNotUnderstood, match="capitals A to X"):
        set_tag_prefixes(book, {"bar": "ZY"})
    assert tag_prefixes(book) == DEFAULTS


def test_many_that_ask_at_once_have_different_tags(book: Book) -> None:
    with ThreadPoolExecutor(8) as pool:
        asked = pool.map(lambda one: propose_tags(book, f"row {one}", ["bar"]), range(40))
        assert len({tag for tags in asked for tag in tags}) == 40


def test_what_was_proposed_goes_with_the_book(tmp_path: Path, clock: Clock) -> None:
    with Book.create(tmp_path / "gone.shop", zone="UTC", clock=clock) as book:
        propose_tags(book, "work", ["bar"])
    before = len(queries._PROPOSALS)
    del book
    gc.collect()
    assert len(queries._PROPOSALS) < before


def test_a_scan_is_read_by_the_tags_of_the_book(example: Book) -> None:
    assert read_scan(example, payload_of("K-0002")).tag == "K-0002"
    assert read_scan(example, "k0002").tag == "K-0002"
    assert read_scan(example, payload_of("K-0002")[:-1] + "0").is_misread
    assert read_scan(example, payload_of("K-0777")).tag == "K-0777"
    assert read_scan(example, "").tag == ""
