"""What the daybook's screen asks, on the example daybook."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from builders import assayed, received, thing, weighed
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.daybook import DaybookQuery
from vault.application.queries.daybook import (
    NoSuchEntry,
    chain_proof,
    daybook_rows,
    entry_detail,
    entry_numbers,
    findings,
)
from vault.core.daybook import Act
from vault.core.errors import VaultError
from vault.store.entries import load_entry


def numbers(book: Book, **wanted: object) -> list[int]:
    return list(entry_numbers(book, DaybookQuery(**wanted)))  # type: ignore[arg-type]  # one word each


def test_entries_stand_newest_first_or_oldest_first(example: Book) -> None:
    assert numbers(example) == list(range(16, 0, -1))
    assert numbers(example, newest_first=False) == list(range(1, 17))


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ({"act": Act.WORK}, [9, 7, 6, 5, 4]),
        ({"text": "cupel"}, [6]),
        ({"text": "CUPEL r-0001"}, [6]),
        ({"text": '"drum D"'}, [12, 5]),
        ({"text": '"drum D"', "struck_too": False}, [5]),
        ({"text": "V-0001"}, [16, 15]),
        ({"text": "morning paper"}, [1]),
        ({"text": "wrong drum"}, [13]),
        ({"text": "cupel", "act": Act.ASSAY}, []),
    ],
)
def test_entries_are_found_by_word_and_act(
    example: Book, wanted: dict[str, object], found: list[int]
) -> None:
    assert numbers(example, **wanted) == found


def test_without_struck_ones_neither_the_entry_nor_its_strike_is_shown(example: Book) -> None:
    assert set(range(1, 17)) - set(numbers(example, struck_too=False)) == {12, 13}


def test_rows_come_in_the_order_asked_for_and_unknown_numbers_are_left_out(
    example: Book,
) -> None:
    rows = daybook_rows(example, (8, 99, 3))
    assert [row.number for row in rows] == [8, 3]
    assert rows[0].tags == ("A-0001",)
    assert rows[0].by == "Imke"


def test_a_struck_entry_and_its_strike_both_carry_the_reason(example: Book) -> None:
    struck, strike = daybook_rows(example, (12, 13))
    assert (struck.struck_by, struck.strikes, struck.reason) == (13, None, "wrong drum")
    assert (strike.struck_by, strike.strikes, strike.reason) == (None, 12, "wrong drum")


def test_times_are_those_of_the_shops_own_clock(example: Book) -> None:
    timed, bare = daybook_rows(example, (7, 9))
    assert timed.at is not None
    assert (timed.at.hour, timed.at.minute) == (17, 0)
    assert timed.day == date(2031, 3, 3)
    assert bare.at is None
    # Read in at 06:30 UTC, which in Oslo in summer is half past eight.
    recorded = entry_detail(example, 7).recorded_at
    assert (recorded.hour, recorded.minute) == (8, 30)
    assert recorded == datetime(2031, 8, 1, 6, 30, tzinfo=UTC)


def test_an_entry_in_full_has_every_line_its_head_and_what_leans_on_it(example: Book) -> None:
    detail = entry_detail(example, 9)
    assert len(detail.lines) == 4
    assert detail.leaned_on_by == (10, 11, 14)
    with example.file.reading() as connection:
        recorded = load_entry(connection, 9)
    assert recorded is not None
    assert detail.head == recorded.head.hex()


def test_nothing_leans_on_a_strike_or_on_what_is_struck(example: Book) -> None:
    assert entry_detail(example, 12).leaned_on_by == ()
    assert entry_detail(example, 13).leaned_on_by == ()


def test_an_entry_that_is_not_there_is_refused(example: Book) -> None:
    with pytest.raises(NoSuchEntry, match="There is no entry 99 in this book"):
        entry_detail(example, 99)


def test_a_letter_beyond_ascii_is_found_in_either_case(tmp_path: Path) -> None:
    with Book.create(tmp_path / "o.shop", zone="UTC", operator="Imke") as book:
        import_entries(book, [received(1, thing("R-1", "scrap", "10"), party="Ørsted & Søn")])
        assert numbers(book, text="ørsted") == [1]
        assert numbers(book, text="ØRSTED") == [1]
        assert numbers(book, text="søn") == [1]


def test_the_proof_reads_every_entry_and_gives_the_last_head(example: Book) -> None:
    proof = chain_proof(example)
    assert proof.holds
    assert proof.words == "All 16 entries are as they were recorded."
    assert proof.head == entry_detail(example, 16).head
    assert proof.entries == 16


class Enough(VaultError):
    """Whoever follows the proof has seen enough."""


def test_who_follows_a_proof_may_end_it(tmp_path: Path) -> None:
    def once(done: int, of: int) -> None:
        raise Enough(f"{done} of {of}")

    with Book.create(tmp_path / "long.shop", zone="UTC", operator="Imke") as book:
        weighings = [weighed(one, "R-1", "10") for one in range(2, 1_101)]
        import_entries(book, [received(1, thing("R-1", "scrap", "10")), *weighings])
        with pytest.raises(Enough, match="1000 of 1100"):
            chain_proof(book, once)


def test_a_proof_of_an_altered_book_says_so(bare_example: Book) -> None:
    path = bare_example.path
    bare_example.close()
    with sqlite3.connect(path) as wire:
        triggers = [
            name
            for (name,) in wire.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ]
        for name in triggers:
            wire.execute(f'DROP TRIGGER "{name}"')
        wire.execute("UPDATE line SET gross_ug = gross_ug + 1 WHERE tag = 'B-0001'")
    wire.close()
    with Book.open(path) as book:
        proof = chain_proof(book)
    assert not proof.holds
    assert proof.words != "All 16 entries are as they were recorded."


def test_the_example_has_nothing_that_does_not_add_up(example: Book) -> None:
    assert findings(example) == ()


def test_two_assays_that_cannot_both_be_right_are_a_finding(tmp_path: Path) -> None:
    with Book.create(tmp_path / "two.shop", zone="UTC", operator="Imke") as book:
        import_entries(
            book,
            [
                received(1, thing("B-1", "bar", "100"), lot="L-1"),
                assayed(2, "B-1", "Ag 900 ± 1", how="fire assay"),
                assayed(3, "B-1", "Ag 950 ± 1", how="fire assay"),
            ],
        )
        work_out(book)
        (first, *_) = findings(book)
    assert "B-1" in first.tags
    assert {2, 3} & set(first.entries)
    assert first.metal == "Ag"
    assert first.words.endswith(".")
    assert first.more
