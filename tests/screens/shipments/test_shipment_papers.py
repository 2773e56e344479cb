"""The papers of a shipment as a reader of their PDF finds them."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from conftest import Clock
from screens.conftest import WindowOf
from screens.invented import InventedShop
from screens.invented_shipments import HEAD, drum, own, papers, single
from screens.test_printing import words_of
from vault.application.book import Book
from vault.application.reports.letter import letter_of
from vault.core.knowledge import Figure, How
from vault.screens.numbers import Numbers
from vault.screens.printing.letter import letter_paper
from vault.screens.printing.output import pdf_of
from vault.screens.printing.own_estimate import own_estimate_paper
from vault.screens.printing.shipment import shipment_paper

NUMBERS = Numbers()


def plain(page: str) -> str:
    return page.replace("\u202f", " ")


def test_the_packing_list_says_what_goes_how_heavy_and_under_which_seal(qapp: QApplication) -> None:
    [page] = words_of(shipment_paper(papers(), NUMBERS))
    for words in (
        "Tidewater Melt Shop",
        "Packing list, shipment V-0007",
        "Sent on 14 Mar 2031, by Imke",
        "To Lowland Residue Works",
        "Terms by the kilo (version 2)",
        "For the carrier Tail lift; ring the bell at the yard.",
        "drum C weighed 14 Mar 2031 1 slag 4 870 spent cupels 183.4 kg 11.2 kg 194.6 kg 000417",
        "S-0212 1 slag 1 200.0 g – – –",
        "S-0213 1 slag not weighed",
        "Together 4 873 items 184.6 kg 1 not weighed",
        "What in it can hurt",
        "Spent cupels lead, soaked up as litharge (lead oxide): toxic; presumed hazardous waste",
        "Lead. Holds litharge",
        "Ask a carrier who is licensed for it before it leaves",
        "shipment V-0007 · entry 412 · chain",
    ):
        assert words in plain(page), words
    assert HEAD in page.replace(" ", "")


def test_a_letter_to_the_refinery_is_a_page_with_the_shop_its_day_and_every_paragraph(
    book: Book, clock: Clock
) -> None:
    text = "To Lowland\n\nYou found 392 g,\nwe estimate 600 g.\n\nPlease keep the sample."
    letter = letter_of(book, "The settlement of shipment V-1", text)
    assert letter.day == clock().date()
    [page] = words_of(letter_paper(letter, NUMBERS))
    for words in (
        book.shop_name,
        "The settlement of shipment V-1 Written on",
        "To Lowland You found 392 g, we estimate 600 g. Please keep the sample.",
        f"for {book.shop_name}: Imke",
    ):
        assert words in plain(page), words


def test_nothing_on_the_packing_list_says_what_the_shop_thinks_is_in_it(qapp: QApplication) -> None:
    [page] = words_of(shipment_paper(papers(), NUMBERS))
    for word in ("estimate", "Ag ", "silver", "±", "fine"):
        assert word not in page, word


def test_the_own_estimate_is_a_sheet_of_its_own_and_says_for_whom(qapp: QApplication) -> None:
    [page] = words_of(own_estimate_paper(own(), NUMBERS))
    for words in (
        "Own estimate, shipment V-0007",
        "For the shop's own file. Not for the refinery.",
        "As known at entry 415",
        "Container or item Items Ag, g Au, g",
        "drum C 4 871 810 ± 30 810 ± 30",
        "S-0212 1 3.1 ± 0.4 –",
        "S-0213 1 not known not known",
        "Together 4 873 810 ± 30 810 ± 30",
        "Not known and not counted: every metal of 1 item, Au of 3 items.",
        "The ± of the silver comes from: the guess of what spent cupel usually keeps here 62 %.",
        "no certified assay",
    ):
        assert words in plain(page), words
    assert HEAD in page.replace(" ", "")


def test_more_metals_than_a_table_has_room_for_stand_in_a_second_one(qapp: QApplication) -> None:
    metals = ("Ag", "Au", "Pt", "Pd", "Rh", "Ir")
    pages = words_of(own_estimate_paper(own(metals=metals), NUMBERS))
    told = plain(" ".join(pages))
    assert "Items Ag, g Au, g Pt, g Pd, g" in told
    assert "Items Rh, g Ir, g" in told


def test_four_metals_with_four_decimals_stand_on_one_line_each(qapp: QApplication) -> None:
    metals = ("Ag", "Au", "Pt", "Pd")
    made = own(metals=metals)
    tiny = dict.fromkeys(metals, Figure(200, 500, How.WORKED_OUT))
    paper = own_estimate_paper(replace(made, parts=(tiny, tiny, tiny), whole=tiny), NUMBERS)
    [page] = pypdf.PdfReader(io.BytesIO(pdf_of(paper))).pages
    lines = [" ".join(one.split()) for one in page.extract_text().splitlines()]
    assert sum("0.0002 ± 0.0005" in one for one in lines) >= 4
    assert not any(one.strip().endswith("±") for one in lines)


def test_a_struck_shipment_says_that_its_list_does_not_hold(qapp: QApplication) -> None:
    [page] = words_of(shipment_paper(papers(struck_by=413), NUMBERS, "Letter"))
    assert "Struck by entry 413: this list does not hold any more." in page


def test_a_long_name_stands_whole_where_people_sign(qapp: QApplication) -> None:
    long = replace(papers(), shop="The Tidewater and Saltmarsh Melt Shop at the Old Lighthouse")
    [page] = words_of(shipment_paper(long, NUMBERS))
    assert f"for {long.shop}: Imke" in page
    assert "…" not in page


def test_what_holds_no_residue_names_no_hazard(qapp: QApplication) -> None:
    bare = replace(papers(), hazards=(), cautions=())
    [page] = words_of(shipment_paper(bare, NUMBERS))
    assert "What in it can hurt" not in page


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_many_containers_and_long_names_go_over_pages_with_their_heading(
    qapp: QApplication, size: str
) -> None:
    many = [
        drum(f"drum {at} in the cold store behind the smelting hood", seal=f"LONG-SEAL-{at:06d}")
        for at in range(40)
    ]
    long = papers(*many, single(), party="The Lowland Residue and Sweeps Working Company of 1911")
    pages = words_of(shipment_paper(long, NUMBERS, size))
    assert len(pages) > 1
    assert all("Container or item" in page for page in pages[:-1])
    assert "LONG-SEAL-000039" in "".join(pages).replace(" ", "")


def test_papers_and_letters_are_shown_before_they_are_printed(
    qtbot: QtBot, window_of: WindowOf
) -> None:
    window = window_of(InventedShop())
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    desk = window._parts.papers
    desk.shipment("book", 412)
    desk.own_estimate("book", 412)
    desk.letter("book", "The settlement of shipment V-0007", "To Lowland")
    titles = []
    for _ in range(3):
        qtbot.waitUntil(lambda: desk._shown is not None)
        assert desk._shown is not None
        titles.append(desk._shown.windowTitle())
        desk._shown.reject()
        qtbot.wait(10)
    assert titles == [
        "Print the packing list",
        "Print the own estimate, for the shop's own file",
        "Print the letter",
    ]
