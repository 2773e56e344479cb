"""The papers of a shipment, as the book recorded it, and the own estimate apart from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import mass, received, sealed, sent, settled, struck, thing, weighed, when
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries, new_key
from vault.application.operations.shipment_draft import DrumDraft, ShipmentDraft
from vault.application.operations.shipments import send_shipment
from vault.application.queries.daybook import chain_proof
from vault.application.queries.shipment_preview import preview_shipment
from vault.application.reports.shipment import NoShipment, own_estimate, shipment_papers
from vault.core.cautions import HAZARDS, LEAD, TRANSPORT
from vault.core.daybook import Role

BOOK = (
    received(
        1,
        *(thing(f"C-{at}", "spent cupel", "1000", "Ag 2", place="drum C") for at in (1, 2, 3)),
        thing("S-1", "slag", "500", "Ag 5", place="drum C"),
    ),
    received(2, thing("S-2", "slag", "", place="shelf"), lot="L-2"),
)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock, operator="Imke") as book:
        import_entries(book, BOOK)
        work_out(book)
        yield book


def send(book: Book) -> int:
    """Send the whole of drum C, weighed and sealed as it goes, and a single slag beside it."""
    drum = DrumDraft("drum C", on_scale=mass("3.8 kg"), tare=mass("250 g"), seal="0417")
    draft = ShipmentDraft("V-1", "Lowland", "by the kilo", (drum,), ("S-2",), "tail lift needed")
    rows = preview_shipment(book, draft).rows
    filled = replace(draft, drums=(replace(drum, tags=rows[0].tags),))
    return send_shipment(book, filled, new_key()).entries[-1]


def test_the_packing_list_says_what_went_in_which_container(book: Book) -> None:
    papers = shipment_papers(book, send(book))
    assert (papers.ref, papers.party, papers.terms) == ("V-1", "Lowland", "by the kilo")
    assert (papers.by, papers.note, papers.struck_by) == ("Imke", "tail lift needed", None)
    drum, single = papers.parts
    assert (drum.name, drum.is_container, drum.seal) == ("drum C", True, "0417")
    assert [(one.form, one.items, one.gross) for one in drum.forms] == [
        ("slag", 1, mass("500 g")),
        ("spent cupel", 3, mass("3 kg")),
    ]
    assert (drum.net, drum.tare, drum.full) == (mass("3.55 kg"), mass("250 g"), mass("3.8 kg"))
    assert drum.weighed_on == date(2031, 3, 1)
    assert (single.name, single.is_container, single.weight, single.not_weighed) == (
        "S-2", False, None, 1,
    )  # fmt: skip
    assert (papers.items, papers.total, papers.not_weighed) == (5, mass("3.55 kg"), 1)


def test_the_papers_say_what_can_hurt_and_defer_to_the_carrier(book: Book) -> None:
    papers = shipment_papers(book, send(book))
    assert papers.hazards == (("slag", HAZARDS["slag"]), ("spent cupel", HAZARDS["spent cupel"]))
    assert papers.cautions[0] == LEAD
    assert papers.cautions[-1] == TRANSPORT


def test_the_head_on_the_papers_stands_in_the_chain_for_ever(book: Book) -> None:
    number = send(book)
    before = shipment_papers(book, number)
    assert before.head == chain_proof(book).head
    import_entries(book, [replace(struck(number + 1, number), when=when("2031-04-01"))])
    after = shipment_papers(book, number)
    assert after.head == before.head
    assert after.struck_by == number + 1


def test_papers_printed_later_say_what_was_so_then(book: Book) -> None:
    number = send(book)
    before = shipment_papers(book, number)
    later = "2031-04-01"
    import_entries(
        book,
        [
            replace(sealed(number + 1, "drum C", "0417", role=Role.BROKEN), when=when(later)),
            weighed(number + 2, "drum C", "90", on=later),
            replace(sealed(number + 3, "drum C", "0500"), when=when(later)),
        ],
    )
    assert shipment_papers(book, number) == before


def test_an_entry_of_before_names_no_container_and_its_items_stand_by_themselves(
    book: Book,
) -> None:
    import_entries(book, [sent(3, "C-1 C-2")])
    papers = shipment_papers(book, 3)
    assert [(one.name, one.is_container) for one in papers.parts] == [
        ("C-1", False),
        ("C-2", False),
    ]
    assert papers.total == mass("2 kg")


def test_many_single_items_of_one_form_stand_as_one_line(book: Book) -> None:
    many = [thing(f"D-{at:03d}", "dust", "1") for at in range(50)]
    import_entries(book, [received(3, *many, lot="L-3"), sent(4, " ".join(x.tag for x in many))])
    (part,) = shipment_papers(book, 4).parts
    assert (part.name, part.items) == ("D-000 to D-049", 50)


@pytest.mark.parametrize("asked", [shipment_papers, own_estimate])
def test_what_sent_nothing_has_no_papers(book: Book, asked: object) -> None:
    with pytest.raises(NoShipment, match="no entry 99 in this book"):
        asked(book, 99)  # type: ignore[operator]  # one of the two reports
    with pytest.raises(NoShipment, match="Entry 1 sent nothing; papers of a shipment"):
        asked(book, 1)  # type: ignore[operator]  # one of the two reports


def test_the_own_estimate_is_that_of_the_reckoning_with_covariance(book: Book) -> None:
    number = send(book)
    work_out(book)
    assert book.reckoned is not None
    own = own_estimate(book, number)
    total = book.reckoned.contents.total(["C-1", "C-2", "C-3", "S-1", "S-2"], "Ag")
    assert own.whole["Ag"].fine_ug == pytest.approx(total.fine_g * 1e6, abs=10)
    assert own.whole["Ag"].u_ug == pytest.approx(total.u_g * 1e6, abs=2)
    drum = book.reckoned.contents.total(["C-1", "C-2", "C-3", "S-1"], "Ag")
    assert own.parts[0]["Ag"].u_ug == pytest.approx(drum.u_g * 1e6, abs=2)
    assert own.parts[1] == {}
    assert own.not_known == 1
    assert own.left_out == {}
    assert sum(one.share for one in own.budget["Ag"]) == pytest.approx(1.0, abs=0.05)
    assert own.figures_of == number


def test_an_own_estimate_wants_figures_that_know_the_shipment(book: Book) -> None:
    number = send(book)
    with pytest.raises(NoShipment, match="not worked out yet; wait until the figures are"):
        own_estimate(book, number)


def test_the_own_estimate_of_later_knows_what_was_settled(book: Book) -> None:
    number = send(book)
    work_out(book)
    before = own_estimate(book, number)
    agreed = thing("", "", "3550", "Ag 2.1 ± 0.01", how="settlement")
    import_entries(book, [replace(settled(number + 1, agreed), when=when("2031-05-01"))])
    work_out(book)
    after = own_estimate(book, number)
    assert (after.whole["Ag"].u_ug or 0) < (before.whole["Ag"].u_ug or 0)
    assert after.papers == before.papers
