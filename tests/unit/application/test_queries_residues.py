"""What the residues' screen asks, on the example daybook and where nothing is known."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from builders import received, thing, worked
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.residues import residues
from vault.core.cautions import LEAD, SILICA
from vault.core.knowledge import How


def test_containers_hold_the_residues_of_one_form_in_one_place(example: Book) -> None:
    told = residues(example)
    assert [(one.place, one.form, one.items) for one in told.containers] == [
        ("drum D", "slag", 1),
        ("tub 2", "slag", 1),
    ]
    slag, remelt = told.containers
    assert (slag.gross_ug, slag.not_weighed, slag.oldest) == (0, 1, date(2031, 3, 2))
    assert (remelt.gross_ug, remelt.not_weighed) == (51_000_000, 0)
    assert slag.owners == ("Pennant Bench School",)
    assert slag.cautions == (SILICA,)


def test_containers_add_up_to_what_is_locked_up(example: Book) -> None:
    told = residues(example)
    for metal, total in told.totals.items():
        parts = [one.contents[metal].fine_ug or 0 for one in told.containers]
        assert sum(parts) == total.fine_ug
        assert total.how is How.WORKED_OUT
        # The ± of a sum of two guesses is no less than that of either.
        assert all((one.contents[metal].u_ug or 0) <= (total.u_ug or 0) for one in told.containers)


def test_shares_of_the_doubt_add_up_to_all_of_it(example: Book) -> None:
    for budget in residues(example).budget.values():
        assert sum(one.share for one in budget) == pytest.approx(1.0, abs=0.02)
    words = [one.words for one in residues(example).budget["Ag"]]
    assert words[0] == "the guess of what slag of smelting usually keeps here"


def test_the_settlement_moves_what_cupels_keep_and_nothing_moves_what_slag_keeps(
    example: Book,
) -> None:
    factors = {(one.kind, one.metal): one for one in residues(example).factors}
    cupel = factors["spent cupel", "Ag"]
    assert cupel.now_u < cupel.guess_u
    assert cupel.now > cupel.guess
    slag = factors["slag of smelting", "Ag"]
    assert slag.now == pytest.approx(slag.guess)
    assert slag.now_u == pytest.approx(slag.guess_u)
    assert all(one.source for one in factors.values())


def test_what_is_locked_up_is_worth_its_price(example: Book) -> None:
    told = residues(example)
    assert told.worth.locked == pytest.approx(0.95e-6 * (told.totals["Ag"].fine_ug or 0))


def test_without_figures_it_says_that_there_are_none(bare_example: Book) -> None:
    told = residues(bare_example)
    assert told.figures_of is None
    assert (told.totals, told.containers) == ({}, ())


@pytest.fixture
def dusty(tmp_path: Path) -> Book:
    """A tin of dust of which nothing is known, and a cupel drum with one cupel known."""
    book = Book.create(tmp_path / "dusty.shop", zone="UTC", operator="Imke")
    dust = [thing("D-1", "dust", "120", place="tin 5"), thing("D-2", "dust", "80", place="tin 5")]
    import_entries(
        book,
        [
            received(1, *dust, lot="L-1", terms="own", party=""),
            received(2, thing("R-1", "filings", "500", "Ag 600 ± 6"), lot="L-2"),
            worked(
                3,
                "cupel",
                used="R-1",
                added=[thing("", "lead", "900"), thing("", "new cupel", "1500")],
                made=[
                    thing("K-1", "bead", "299"),
                    thing("C-1", "spent cupel", "2400", place="drum C"),
                ],
            ),
        ],
    )
    work_out(book)
    return book


def test_what_nobody_knows_is_named_and_counted_once(dusty: Book) -> None:
    with dusty:
        told = residues(dusty)
    assert told.not_known == ("D-1", "D-2")
    assert told.left_out == {}
    tin = next(one for one in told.containers if one.place == "tin 5")
    assert tin.not_known == ("D-1", "D-2")
    assert tin.cautions == (LEAD,)
    assert all(one.fine_ug is None for one in tin.contents.values())
    drum = next(one for one in told.containers if one.place == "drum C")
    assert drum.contents["Ag"].fine_ug == told.totals["Ag"].fine_ug
