"""What forms of the bench are told: names by use, items by tag, works done lately."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from builders import mass, moved, received, said, sent, struck, thing, worked
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.bench_help import (
    MOST_TO_PICK,
    item_briefs,
    items_to_pick,
    known_names,
    recent_works,
)
from vault.core.daybook import Process
from vault.core.items import State
from vault.core.knowledge import How

LEAD = thing("", "lead", "350", "Ag 0.02 ± 0.005")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A customer's filings, cupelled twice; the second work was struck."""
    made = Book.create(tmp_path / "a.shop", zone="UTC", operator="Imke")
    entries = [
        received(1, thing("R-1", "filings", "100", "Ag 900 ± 9", place="bench")),
        received(
            2,
            thing("R-2", "Saltmarsh dust", "50", place="shelf 2"),
            thing("R-3", "sweeps", place="bench"),
            lot="L-2",
            party="Orrin",
        ),
        worked(
            3,
            "cupel",
            used="R-1",
            added=[LEAD, thing("", "new cupel, magnesia", "400")],
            made=[
                thing("K-1", "bead", "89.5", place="tray"),
                thing("C-1", "spent cupel", "760", place="drum C"),
            ],
        ),
        worked(4, "smelt", used="R-2", added=[LEAD], made=[thing("K-2", "button", place="tray")]),
        worked(5, "smelt", used="R-3", added=[LEAD], made=[thing("K-3", "button", "7")]),
        struck(6, 5),
        moved(7, "K-1", "safe"),
        sent(8, "C-1"),
    ]
    import_entries(made, entries)
    return made


def test_names_come_with_what_is_used_most_first(book: Book) -> None:
    with book:
        known = known_names(book)
    assert known.parties == ("Orrin", "Lowland", "Pennant")  # the last one first of equals
    assert set(known.places[:2]) == {"bench", "tray"}
    assert set(known.places) == {"bench", "shelf 2", "tray", "drum C", "safe"}
    assert {"filings", "bead", "Saltmarsh dust", "bar", "slag"} <= set(known.forms)
    assert known.forms.index("Saltmarsh dust") < known.forms.index("bar")
    assert known.place_of["bead"] == "tray"
    assert "wire" not in known.place_of


def test_added_things_come_with_what_was_said_of_them_the_last_time(book: Book) -> None:
    with book:
        lead, cupel = known_names(book).added
    assert (lead.name, lead.times, lead.gross_ug) == ("lead", 2, mass("350").micrograms)
    assert lead.contents == said("Ag 0.02 ± 0.005")
    assert lead.how == "declared"
    assert (cupel.name, cupel.times, cupel.contents) == ("new cupel, magnesia", 1, ())


def test_what_was_struck_proposes_nothing(book: Book) -> None:
    with book:
        assert [one.number for one in recent_works(book)] == [4, 3]
        assert [one.times for one in known_names(book).added] == [2, 1]


def test_an_item_in_short_says_what_it_is_and_what_it_holds(book: Book) -> None:
    with book:
        work_out(book)
        briefs = item_briefs(book, ["K-1", "R-1", "C-1", "nothing"])
    assert set(briefs) == {"K-1", "R-1", "C-1"}
    bead = briefs["K-1"]
    assert (bead.form, bead.place, bead.gross_ug) == ("bead", "safe", 89_500_000)
    assert (bead.state, bead.trouble) == (State.ON_HAND, "")
    assert bead.contents["Ag"].how is How.WORKED_OUT
    assert bead.lots == ("L-1",)
    assert briefs["R-1"].trouble == "R-1 is not on hand: it was used up in a work."
    assert briefs["C-1"].trouble == "C-1 is not on hand: it was sent away."


def test_an_item_in_short_says_how_long_it_is_held_until_that_day_has_come(
    tmp_path: Path, clock: Clock
) -> None:
    with Book.create(tmp_path / "held.shop", zone="UTC", operator="Imke", clock=clock) as book:
        bags = [
            thing("R-1", "filings", "100", hold_until="2031-03-02"),
            thing("R-2", "filings", "100"),
        ]
        import_entries(book, [received(1, *bags)])
        held, free = item_briefs(book, ["R-1", "R-2"]).values()
        assert (held.hold_until, free.hold_until) == (date(2031, 3, 2), None)
        assert items_to_pick(book, "R-1")[0].hold_until == date(2031, 3, 2)
        clock.go_on(days=1)
        assert item_briefs(book, ["R-1"])["R-1"].hold_until is None


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("", ["K-1", "K-2", "R-3"]),
        ("k-", ["K-1", "K-2"]),
        ("K-1", ["K-1"]),
        ("sweeps", ["R-3"]),
        ("orrin BENCH", ["R-3"]),
        ("nothing like it", []),
        ("filings", []),
    ],
)
def test_items_on_hand_are_found_by_tag_and_by_word(book: Book, text: str, tags: list[str]) -> None:
    with book:
        assert sorted(one.tag for one in items_to_pick(book, text)) == tags


def test_only_a_few_are_offered_at_once(tmp_path: Path) -> None:
    with Book.create(tmp_path / "b.shop", zone="UTC", operator="Imke") as book:
        bags = [thing(f"R-{number:03}", "sweeps", "10") for number in range(40)]
        import_entries(book, [received(1, *bags)])
        assert len(items_to_pick(book, "")) == MOST_TO_PICK
        found = [one.tag for one in items_to_pick(book, "R-01")]
        assert found == [f"R-01{digit}" for digit in range(10)]


def test_works_done_lately_say_what_went_in_and_out_and_what_is_lost(book: Book) -> None:
    with book:
        work_out(book)
        smelt, cupel = recent_works(book)
    assert (cupel.process, cupel.day, cupel.by) == (Process.CUPEL, date(2031, 1, 3), "Imke")
    assert (cupel.used, cupel.made) == (("R-1",), (("K-1", "bead"), ("C-1", "spent cupel")))
    assert cupel.added == ("lead", "new cupel, magnesia")
    assert (cupel.in_ug, cupel.out_ug, cupel.not_weighed) == (850_000_000, 849_500_000, 0)
    assert cupel.lost["Ag"].how is How.WORKED_OUT
    assert abs(cupel.lost["Ag"].fine_ug or 0) < 9_000_000
    assert (smelt.out_ug, smelt.not_weighed) == (0, 1)


def test_before_the_figures_stand_nothing_is_said_of_loss(book: Book) -> None:
    with book:
        assert [one.lost for one in recent_works(book)] == [{}, {}]


def test_an_empty_book_knows_the_words_of_the_trade(tmp_path: Path) -> None:
    with Book.create(tmp_path / "c.shop", zone="UTC", operator="Imke") as book:
        known = known_names(book)
        assert (known.parties, known.places, known.added) == ((), (), ())
        assert "spent cupel" in known.forms
        assert (items_to_pick(book, ""), recent_works(book)) == ((), ())
