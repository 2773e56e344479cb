"""What the lots' screen asks, on the example daybook."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from builders import mass, received, thing, worked
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.acts import record_work
from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.operations.receipts import receive
from vault.application.operations.recording import import_entries
from vault.application.queries.lots import NoSuchLot, lot_detail, lots
from vault.core.daybook import Process, Terms
from vault.core.items import State


def test_a_lot_says_what_was_received(example: Book) -> None:
    (row,) = lots(example)
    assert (row.lot, row.party, row.terms) == ("L-001", "Pennant Bench School", "toll")
    assert (row.received_on, row.items) == (date(2031, 3, 1), 2)
    # 512.40 g of filings and 830.00 g of sweeps.
    assert (row.gross_ug, row.not_weighed) == (1_342_400_000, 0)
    assert row.words == "filings, sweeps"
    assert row.progress == "all begun"


def test_the_parts_of_an_account_add_up_to_what_was_received(example: Book) -> None:
    silver = next(one for one in lot_detail(example, "L-001").accounts if one.metal == "Ag")
    parts = (silver.on_hand, silver.in_residues, silver.out, silver.unaccounted)
    assert sum(one.fine_ug or 0 for one in parts) == pytest.approx(silver.received.fine_ug, abs=5)
    recovered = (silver.on_hand.fine_ug or 0) + (silver.out.fine_ug or 0)
    assert silver.yield_share == pytest.approx(recovered / (silver.received.fine_ug or 1))


def test_its_metal_is_where_its_items_are(example: Book) -> None:
    items = lot_detail(example, "L-001").items
    assert [(one.tag, one.state) for one in items][:2] == [
        ("B-0001", State.RETURNED),
        ("C-0001", State.SENT),
    ]
    assert {one.tag for one in items} == {"B-0001", "C-0001", "A-0001", "S-0001", "S-0002"}
    silver = next(one for one in lot_detail(example, "L-001").accounts if one.metal == "Ag")
    here = sum(one.fine_ug["Ag"] for one in items if one.state is State.ON_HAND)
    told = (silver.on_hand.fine_ug or 0) + (silver.in_residues.fine_ug or 0)
    assert here == pytest.approx(told, abs=5)


def test_its_history_is_that_of_what_was_received(example: Book) -> None:
    history = lot_detail(example, "L-001").history
    assert [line.entry for line in history] == [2, 3, 4, 6]
    assert history[0].words.startswith("receive: lot L-001 from Pennant Bench School")


@pytest.mark.parametrize(
    ("text", "many"),
    [("", 1), ("pennant", 1), ("PENNANT sweeps", 1), ("pennant cupel", 0), ("L-002", 0)],
)
def test_lots_are_found_by_every_word(example: Book, text: str, many: int) -> None:
    assert len(lots(example, text)) == many


def test_a_name_in_quotes_is_found_as_a_whole(example: Book) -> None:
    assert len(lots(example, '"bench school"')) == 1
    assert len(lots(example, '"school bench"')) == 0


def test_a_lot_that_is_not_there_is_refused(example: Book) -> None:
    with pytest.raises(NoSuchLot, match="There is no lot L-999 in this book; check its name"):
        lot_detail(example, "L-999")


def test_without_figures_a_lot_has_its_facts_and_no_account(bare_example: Book) -> None:
    (row,) = lots(bare_example)
    assert row.received == {}
    detail = lot_detail(bare_example, "L-001")
    assert (detail.accounts, detail.items) == ((), ())
    assert len(detail.history) == 4


@pytest.fixture
def three_lots(tmp_path: Path) -> Book:
    book = Book.create(tmp_path / "three.shop", zone="UTC", operator="Imke")
    import_entries(
        book,
        [
            received(1, thing("R-1", "filings", "100", "Ag 600 ± 6"), lot="L-1"),
            received(
                2,
                thing("R-2", "filings", "100", "Ag 600 ± 6"),
                thing("R-3", "sweeps", ""),
                lot="L-2",
            ),
            received(
                3, thing("R-4", "scrap", "50", "Au 585 ± 1"), lot="L-3", terms="own", party=""
            ),
            worked(4, "remelt", used="R-2", made=[thing("K-2", "button", "99")]),
        ],
    )
    work_out(book)
    return book


def test_lots_stand_newest_first_with_their_progress(three_lots: Book) -> None:
    with three_lots:
        told = {row.lot: row for row in lots(three_lots)}
        assert list(told) == ["L-3", "L-2", "L-1"]
        assert {lot: row.progress for lot, row in told.items()} == {
            "L-1": "waiting",
            "L-2": "1 of 2 begun",
            "L-3": "waiting",
        }
        assert told["L-3"].party == "the house"
        assert told["L-2"].not_weighed == 1


def test_nothing_of_a_lot_that_waits_is_called_recovered(three_lots: Book) -> None:
    with three_lots:
        (waiting,) = lot_detail(three_lots, "L-1").accounts
        assert waiting.received.fine_ug == pytest.approx(60_000_000)
        assert waiting.on_hand.fine_ug == waiting.received.fine_ug
        assert waiting.yield_share is None


@pytest.fixture
def held_lot(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    """Two bags, held until 15 March 2031; it is 1 March."""
    with Book.create(tmp_path / "held.shop", zone="UTC", operator="Imke", clock=clock) as book:
        bags = tuple(BagDraft(f"R-000{number}", "filings", mass("100")) for number in (1, 2))
        held = ReceiptDraft(
            "L-0001", "Pennant", Terms.TOLL, bags=bags, hold_until=date(2031, 3, 15)
        )
        receive(book, held, "the key")
        yield book


def test_a_held_lot_says_so_until_its_day_has_come(held_lot: Book, clock: Clock) -> None:
    (row,) = lots(held_lot)
    assert (row.is_held, row.progress, row.entry) == (True, "held until 15 Mar", 1)
    detail = lot_detail(held_lot, "L-0001")
    assert detail.hold == (
        "Held until 15 Mar 2031: before that day the book takes no work on it, and it is neither "
        "sent nor sold."
    )
    assert lots(held_lot, "held") == (row,)
    clock.go_on(days=14)
    (row,) = lots(held_lot)
    assert (row.is_held, row.progress) == (False, "waiting")
    assert lot_detail(held_lot, "L-0001").hold == ""


def test_a_lot_that_came_in_twice_has_two_receipts(held_lot: Book) -> None:
    more = ReceiptDraft(
        "L-0001", "Pennant", Terms.TOLL, bags=(BagDraft("R-0003", "filings", mass("10")),)
    )
    receive(held_lot, more, "more")
    day = date(2031, 3, 1)
    assert lot_detail(held_lot, "L-0001").receipts == ((1, day), (2, day))


def test_what_waits_of_a_lot_is_what_is_on_hand_as_it_came(held_lot: Book, clock: Clock) -> None:
    assert lot_detail(held_lot, "L-0001").waiting == ("R-0001", "R-0002")
    clock.go_on(days=20)
    made = [thing("K-0001", "button", "90 g")]
    record_work(held_lot, Process.SMELT, used=["R-0001"], made=made, key="work")
    assert lot_detail(held_lot, "L-0001").waiting == ("R-0002",)
