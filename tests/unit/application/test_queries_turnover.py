"""The yearly record and its paper, asked of a book whose zone is ahead of UTC."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from builders import received, sent, struck, thing, when, worked
from conftest import Clock
from vault.application.book import Book
from vault.application.circumstances import set_circumstances
from vault.application.exchange.write_out import write_out
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.turnover import YearOfRecord
from vault.application.queries.residues import residues
from vault.application.queries.turnover import yearly_record
from vault.application.reports.residue_record import residue_record
from vault.core.circumstances import OwnCircumstances
from vault.core.daybook import When
from vault.core.turnover import Amount, Judgement, TurnoverRule

RULE = TurnoverRule(Fraction(3, 4), "Vestland", "waste rule of 2029")
# In Auckland the new year begins at eleven in the morning of 31 December, UTC.
NEW_YEARS_MORNING = datetime(2031, 12, 31, 19, tzinfo=UTC)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    clock.at = NEW_YEARS_MORNING
    with Book.create(
        tmp_path / "our.shop", zone="Pacific/Auckland", shop_name="Tidewater", clock=clock
    ) as made:
        cupels = [thing(f"C-{at}", "spent cupel", "1 kg", place="drum C") for at in (1, 2, 3, 4)]
        import_entries(
            made,
            [
                received(1, thing("F-1", "filings", "40 kg", "Ag 600 ± 6"), on="2030-11-01"),
                worked(
                    2,
                    "cupel",
                    used="F-1",
                    added=[thing("", "lead", "20 kg"), thing("", "new cupel", "3 kg")],
                    made=[thing("K-1", "bead", "24 kg"), *cupels],
                    on="2030-11-02",
                ),
                sent(3, "C-1 C-2", on="2031-12-30"),
                replace(
                    sent(4, "C-3", ref="V-2"),
                    when=When(date(2032, 1, 1), datetime(2031, 12, 31, 12, tzinfo=UTC)),
                ),
                worked(
                    5,
                    "divide",
                    used="C-4",
                    made=[
                        thing("C-5", "spent cupel", "0.5 kg", place="drum C"),
                        thing("C-6", "spent cupel", place="drum C"),
                    ],
                    on="2032-01-01",
                ),
            ],
        )
        work_out(made)
        yield made


def years_of(book: Book) -> dict[int, YearOfRecord]:
    record = yearly_record(book)
    return {one.told.year: one for one in record.classes["spent cupel"]}


def test_the_year_turns_where_the_shop_is(book: Book) -> None:
    record = yearly_record(book)
    assert record.day == date(2032, 1, 1)
    years = years_of(book)
    assert years[2031].told.sent.items == 2
    assert years[2032].told.sent.items == 1
    assert years[2032].days_left == 365


def test_a_class_is_judged_only_by_a_rule_that_the_owner_set(book: Book) -> None:
    assert {one.judgement for one in years_of(book).values()} == {None}
    set_circumstances(book, OwnCircumstances(turnover=RULE))
    years = years_of(book)
    assert years[2030].judgement is Judgement.MET
    assert years[2031].judgement is Judgement.NOT_MET
    assert years[2032].judgement is Judgement.OPEN
    assert years[2032].still_ug == 500_000_000


def test_an_entry_struck_after_new_year_is_gone_from_the_year_before(book: Book) -> None:
    import_entries(book, [replace(struck(6, 3), when=when("2032-01-01"))])
    work_out(book)
    years = years_of(book)
    assert years[2031].told.sent.is_nothing
    assert years[2031].told.closing == years[2032].told.opening == Amount(4, 4_000_000_000)


def test_the_oldest_counts_from_before_it_was_divided(book: Book) -> None:
    assert yearly_record(book).oldest == {"spent cupel": date(2030, 11, 2)}
    [drum] = residues(book).containers
    assert (drum.place, drum.oldest) == ("drum C", date(2030, 11, 2))


def test_before_the_figures_stand_there_is_no_record(tmp_path: Path) -> None:
    with Book.create(tmp_path / "new.shop", zone="UTC") as made:
        assert yearly_record(made).classes == {}


def test_the_paper_stands_on_every_entry_and_carries_the_head(book: Book) -> None:
    set_circumstances(book, OwnCircumstances(turnover=RULE))
    told = residue_record(book)
    assert (told.shop, told.entry, told.years.rule) == ("Tidewater", 5, RULE)
    [drum] = told.containers
    assert (drum.place, drum.form, drum.oldest) == ("drum C", "spent cupel", date(2030, 11, 2))
    assert drum.held == Amount(2, 500_000_000, 1)
    assert told.cautions[0].startswith("Lead.")
    before = told.head
    import_entries(book, [received(6, thing("S-1", "slag"), lot="L-2", on="2032-01-01")])
    later = residue_record(book)
    assert later.entry == 6
    assert later.head != before
    assert later.containers[0].held == Amount(1, 0, 1)


def test_the_record_is_written_out_as_a_table_and_as_a_document(book: Book, tmp_path: Path) -> None:
    table, document = tmp_path / "turnover.csv", tmp_path / "turnover.json"
    write_out(book.path, what="turnover", out=table)
    write_out(book.path, what="turnover", out=document)
    rows = list(csv.DictReader(table.read_text().splitlines()))
    assert [(one["form"], one["year"]) for one in rows] == [
        ("spent cupel", "2030"),
        ("spent cupel", "2031"),
        ("spent cupel", "2032"),
    ]
    assert rows[1]["moved_on_g"] == "2000"
    assert rows[1]["moved_on_share"] == "0.5"
    assert rows[0]["moved_on_share"] == ""
    years = json.loads(document.read_text())["classes"]["spent cupel"]
    assert years[2]["closing_g"] == 500
    assert years[2]["closing_not_weighed"] == 1
    assert years[0]["closing_g"] == 4000


def test_what_was_never_weighed_is_written_out_as_no_weight(tmp_path: Path) -> None:
    out = tmp_path / "turnover.json"
    with Book.create(tmp_path / "dusty.shop", zone="UTC") as made:
        import_entries(made, [received(1, thing("D-1", "dust"), on="2031-05-01")])
    write_out(tmp_path / "dusty.shop", what="turnover", at=date(2031, 6, 1), out=out)
    [year] = json.loads(out.read_text())["classes"]["dust"]
    assert year["closing_g"] is None
    assert year["closing_not_weighed"] == 1
    assert year["opening_g"] == 0
