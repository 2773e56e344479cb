"""Entries in words, on the example daybook."""

from __future__ import annotations

import pytest

from builders import counted, settled, sold, thing
from vault.application.book import Book
from vault.application.queries.daybook import daybook_rows
from vault.application.wording import (
    contents_in_words,
    entry_in_words,
    for_item,
    known_from,
    line_in_words,
    listed,
)
from vault.core.daybook import Act, Entry, Said
from vault.core.fineness import Fineness
from vault.core.knowledge import How
from vault.core.masses import Mass
from vault.store.entries import load_entries, load_shop


@pytest.fixture
def entries(example: Book) -> dict[int, Entry]:
    with example.file.reading() as connection:
        return {one.entry.number: one.entry for one in load_entries(connection)}


def test_a_settlement_of_a_whole_says_so() -> None:
    whole = thing("", "", "3000", "Ag 3 ± 0.1", how="settlement")
    assert entry_in_words(settled(4, whole)) == (
        "shipment V-1: the whole, 3000 g, at Ag 3.00 ± 0.10 ‰"
    )
    rest = [
        thing("C-1", says="Ag 5", how="settlement"),
        thing("", "", "", "Ag 3", how="settlement"),
    ]
    assert entry_in_words(settled(4, *rest)) == ("shipment V-1: C-1 at Ag 5 ‰, the rest at Ag 3 ‰")


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (1, "Ag 0.95 EUR a gram"),
        (
            2,
            "lot L-001 from Pennant Bench School (toll): filings R-0001, sweeps R-0002, 1342.4 g",
        ),
        (3, "XRF of R-0001: Ag 588 ± 3 ‰ (X-17)"),
        (4, "burn off R-0002 into sweeps R-0003"),
        (
            5,
            (
                "smelt R-0003 with borax, anhydrous, soda ash, silica into button K-0001, "
                "slag S-0001"
            ),
        ),
        (8, "fire assay of A-0001: Ag 991.0 ± 0.4 ‰, Au 2.10 ± 0.20 ‰ (F-31)"),
        (10, "B-0001 to safe"),
        (11, "B-0001 452.58 g"),
        (13, "entry 12, because: wrong drum"),
        (14, "B-0001 to Pennant Bench School"),
        (15, "C-0001 to Lowland Residue Works on terms “by the kilo” (V-0001)"),
        (16, "shipment V-0001: C-0001 at Ag 1.85 ± 0.04 ‰, -27.79 EUR net"),
    ],
)
def test_an_entry_reads_as_a_person_would_say_it(
    entries: dict[int, Entry], number: int, words: str
) -> None:
    assert entry_in_words(entries[number]) == words


@pytest.mark.parametrize(
    ("number", "tag", "words"),
    [
        (2, "R-0001", "received with lot L-001 from Pennant Bench School, 512.4 g"),
        (6, "R-0001", "cupelled with K-0001 into K-0002, C-0001"),
        (6, "C-0001", "cupelled from R-0001, K-0001, 1488 g"),
        (5, "S-0001", "smelted from R-0003, not weighed"),
        (8, "A-0001", "fire assay Ag 991.0 ± 0.4 ‰, Au 2.10 ± 0.20 ‰ (F-31)"),
        (10, "B-0001", "moved to safe"),
        (11, "B-0001", "weighed 452.58 g"),
        (14, "B-0001", "returned to Pennant Bench School"),
        (15, "C-0001", "sent to Lowland Residue Works (V-0001)"),
        (16, "C-0001", "settled at Ag 1.85 ± 0.04 ‰ (V-0001)"),
    ],
)
def test_an_entry_reads_differently_for_each_of_its_items(
    entries: dict[int, Entry], number: int, tag: str, words: str
) -> None:
    assert for_item(entries[number], tag) == words


def test_a_line_says_everything_that_it_holds(entries: dict[int, Entry]) -> None:
    said = [line_in_words(entries[2], line) for line in entries[2].lines]
    assert said == [
        (
            "in R-0001 filings · lot L-001 · Pennant Bench School · toll · 512.4 g · "
            "Ag 600 ± 60 ‰ · declared · → bench"
        ),
        "in R-0002 sweeps · lot L-001 · Pennant Bench School · toll · 830 g · → bench",
    ]
    settled = entries[16]
    assert line_in_words(settled, settled.lines[2]).endswith(
        "shipment V-0001 · -30 EUR · “treatment, lot minimum”"
    )
    assert line_in_words(entries[13], entries[13].lines[0]) == "entry 12 · “wrong drum”"


def test_every_act_of_the_example_has_words(entries: dict[int, Entry]) -> None:
    acts = {one.act for one in entries.values()}
    assert acts == set(Act) - {Act.SELL, Act.COUNT, Act.PHOTO, Act.SEAL, Act.SCALE_CHECK}
    assert all(entry_in_words(one) for one in entries.values())


class OunceNumbers:
    """Numbers as another reader wants them."""

    def mass(self, mass: Mass) -> str:
        return f"{mass.micrograms // 1000} mg"

    def fineness(self, fineness: Fineness, u: Fineness | None) -> str:
        return f"{fineness.ppb} ppb"


def test_figures_are_written_as_the_reader_set_them(example: Book) -> None:
    (row,) = daybook_rows(example, (11,), OunceNumbers())
    assert row.words == "B-0001 452580 mg"
    (row,) = daybook_rows(example, (3,), OunceNumbers())
    assert row.words == "XRF of R-0001: Ag 588000000 ppb (X-17)"


def test_a_content_says_what_it_rests_on(example: Book) -> None:
    with example.file.reading() as connection:
        shop = load_shop(connection)
    sample, bar = shop.items["A-0001"], shop.items["B-0001"]
    assert known_from(sample, "Au", How.ASSAYED) == (
        "2.2 g on the scale × 2.10 ± 0.20 ‰ (fire assay F-31)"
    )
    assert known_from(bar, "Ag", How.WORKED_OUT) == (
        "worked out from the balance of the works around it"
    )
    assert known_from(bar, "Ag", How.NOT_KNOWN) == "nothing says what it holds"
    assert known_from(None, "Ag", How.ASSAYED) == (
        "worked out from the balance of the works around it"
    )


def test_a_fineness_without_a_doubt_stands_alone() -> None:
    assert contents_in_words([Said("Ag", Fineness(925_000_000))]) == "Ag 925 ‰"


def test_a_long_row_of_names_is_cut_with_a_count() -> None:
    assert listed(["K-1", "K-2"]) == "K-1, K-2"
    assert listed((f"K-{one}" for one in range(1, 8)), most=3) == "K-1, K-2, K-3 and 4 more"


def test_a_sale_and_a_count_say_what_left_and_what_was_not_found() -> None:
    count = counted(9, found=[thing("K-1"), thing("K-2")], missing="K-3")
    assert entry_in_words(count) == "2 seen, missing K-3"
    assert for_item(count, "K-3") == "not found at the count"
    assert for_item(count, "K-1") == "seen at the count"
    sale = sold(10, "K-1")
    assert entry_in_words(sale) == "K-1 to Orrin"
    assert for_item(sale, "K-1") == "sold to Orrin"
