"""What the small forms ask, on a shop of a few entries."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from builders import mass, said, thing
from conftest import Clock
from vault.application.book import Book
from vault.application.operations.acts import assay, move, receive_lot, record_work, strike_entry
from vault.application.operations.acts import weigh as weigh_item
from vault.application.operations.recording import new_key
from vault.application.queries.answers.forms import WeighedBefore
from vault.application.queries.forms import (
    NoSuchContainer,
    compare_weights,
    container_facts,
    contents_known,
    item_facts,
    learnt,
    rest_of_divide,
)
from vault.application.queries.items import NoSuchItem
from vault.core.daybook import Process, Terms
from vault.core.knowledge import Figure, How


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    """A bar from a customer, drilled for a sample; a drum with two cupels, on a rack."""
    with Book.create(tmp_path / "our.shop", zone="Europe/Oslo", operator="Imke", clock=clock) as b:
        things = [
            thing("B-0001", "bar", "100.00 ± 0.01", place="safe"),
            thing("C-0001", "spent cupel", "400", place="drum D"),
            thing("C-0002", "spent cupel", place="drum D"),
        ]
        receive_lot(b, things, lot="L-1", terms=Terms.TOLL, party="Saltmarsh", key=new_key())
        record_work(
            b,
            Process.DIVIDE,
            used=["B-0001"],
            made=[thing("A-0001", "sample", "1.50"), thing("B-0002", "bar", "98.48 ± 0.01")],
            key=new_key(),
        )
        move(b, ["drum D"], "rack 2", key=new_key())
        yield b


def test_the_last_weighing_is_told_with_who_when_and_its_doubt(book: Book, clock: Clock) -> None:
    clock.go_on(days=1)
    weigh_item(book, "B-0002", mass("98.47"), key=new_key())
    told = item_facts(book, "B-0002").weighed
    assert told is not None
    assert (told.gross_ug, told.entry, told.day.isoformat(), told.by) == (
        98_470_000,
        4,
        "2031-03-02",
        "Imke",
    )
    # Nobody said a doubt: 0.65 of a step of 0.01 g, as the handbook has it up to 2 000 g.
    assert told.u_ug == 6_500


def test_a_struck_weighing_is_not_the_last(book: Book) -> None:
    weigh_item(book, "B-0002", mass("9.85"), key=new_key())
    strike_entry(book, 4, reason="slipped by a digit", key=new_key())
    told = item_facts(book, "B-0002").weighed
    assert told is not None
    assert (told.gross_ug, told.u_ug) == (98_480_000, 10_000)


def test_a_thing_never_weighed_has_no_weighing_before(book: Book) -> None:
    assert item_facts(book, "C-0002").weighed is None


def test_a_tag_that_names_nothing_is_a_sentence(book: Book) -> None:
    with pytest.raises(NoSuchItem, match=r"There is no item B-9999 in this book; check the tag\."):
        item_facts(book, "B-9999")


def test_a_sample_says_what_it_was_taken_from(book: Book) -> None:
    told = item_facts(book, "A-0001").taken_from
    assert told is not None
    assert (told.entry, told.wholes, told.others) == (2, ("B-0001",), ("B-0002",))
    assert told.words == (
        "It was taken from B-0001 (entry 2): what it holds per gram is taken for B-0001 and for "
        "B-0002 as well."
    )
    assert item_facts(book, "C-0001").taken_from is None


def test_a_spent_cupel_carries_its_caution(book: Book) -> None:
    assert item_facts(book, "C-0001").cautions[0].startswith("Lead.")
    assert item_facts(book, "B-0002").cautions == ()


BEFORE = WeighedBefore(100_000_000, 10_000, 1, None, "Imke")  # type: ignore[arg-type]  # no day


@pytest.mark.parametrize(
    ("grams", "difference_ug", "beginning"),
    [
        ("100.02", 20_000, ""),
        ("99.96", -40_000, ""),
        ("100.05", 50_000, "B-0001 is heavier than before by 0.05 g. Metal does not grow"),
        (
            "99.95",
            -50_000,
            (
                "B-0001 is lighter than before by 0.05 g, more than two weighings can differ "
                "(0.043 g)."
            ),
        ),
    ],
)
def test_a_weight_is_held_against_the_one_before_within_three_u(
    grams: str, difference_ug: int, beginning: str
) -> None:
    # By hand: 3 · √(0.01² + 0.01²) g = 0.0424 g, told as 0.043 g.
    verdict = compare_weights("B-0001", BEFORE, mass(grams), mass("0.01"))
    assert verdict.difference_ug == difference_ug
    assert verdict.limit_ug == 43_000
    assert verdict.warning.startswith(beginning)
    assert bool(verdict.warning) is bool(beginning)


def test_the_rest_of_a_divide_is_worked_out() -> None:
    whole = BEFORE
    told = rest_of_divide("B-0001", whole, [mass("1.50"), mass("40")])
    assert (told.rest_ug, told.trouble) == (58_500_000, "")
    assert rest_of_divide("B-0001", None, [mass("1.50")]).rest_ug is None


def test_parts_that_weigh_more_than_the_whole_are_told() -> None:
    # By hand: 3 · √(0.01² + 0.0065² + 0.0065²) g = 0.041 g.
    told = rest_of_divide("B-0001", BEFORE, [mass("60"), mass("40.04")])
    assert told.trouble == ""
    told = rest_of_divide("B-0001", BEFORE, [mass("60"), mass("40.05")])
    assert told.trouble == (
        "The parts weigh 100.05 g together, and B-0001 weighed 100 g: 0.05 g too much. Check the "
        "weights."
    )


def test_a_container_tells_what_lies_in_it_through_all_in_it(book: Book) -> None:
    drum = container_facts(book, "drum D")
    assert (drum.tags, drum.lies_in, drum.places) == (("C-0001", "C-0002"), "rack 2", ())
    assert (drum.gross_ug, drum.not_weighed) == (400_000_000, 1)
    rack = container_facts(book, "rack 2")
    assert (rack.tags, rack.lies_in, rack.places) == (("C-0001", "C-0002"), "", ("drum D",))
    assert rack.cautions[0].startswith("Lead.")


def test_a_place_that_nobody_knows_is_a_sentence(book: Book) -> None:
    with pytest.raises(NoSuchContainer, match="No place is called “drum Q” in this book"):
        container_facts(book, "drum Q")


def test_what_was_learnt_is_told_by_item_and_metal() -> None:
    old, new = Figure(10, 3, How.WORKED_OUT), Figure(11, 1, How.ASSAYED)
    before = {"B-1": {"Ag": old, "Au": old}}
    after = {"B-1": {"Au": old, "Ag": new, "Pd": new}}
    told = learnt(before, after)
    assert [(one.tag, one.metal, one.before, one.after) for one in told] == [
        ("B-1", "Ag", old, new),
        ("B-1", "Pd", None, new),
    ]


def test_what_is_known_is_asked_for_several_items_at_once(book: Book) -> None:
    assay(book, "A-0001", said("Ag 900 ± 1"), how="fire assay", key=new_key())
    assert set(contents_known(book, ["A-0001", "B-0002"])) == {"A-0001", "B-0002"}
