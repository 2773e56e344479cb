"""The question “is it worth sending out?” asked of a book."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from builders import received, thing, worked
from terms_samples import SHEET
from vault.application.book import Book
from vault.application.circumstances import interest, set_circumstances
from vault.application.figures import work_out
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.send_out import Ask, SendOut
from vault.application.queries.send_out import choice_of_containers, choice_of_items
from vault.application.terms_sheets import keep_sheet
from vault.core.circumstances import OwnCircumstances, Value
from vault.core.daybook import Entry
from vault.core.makeup import makeup_from_text
from vault.core.money import Money
from vault.core.terms_sheets import Basis, Takes
from vault.screens.numbers import Numbers

NOW = datetime(2031, 3, 30, 9, 0, tzinfo=UTC)
DRUM = ("drum C", "spent cupel")
WEEKS = 20


def cupellings(*, feed_g: float = 400.0) -> list[Entry]:
    """One cupelling a week, its cupel into drum C, and a tin of dust nobody knows anything of."""
    entries: list[Entry] = []
    for at in range(WEEKS):
        on = (date(2031, 3, 28) - timedelta(weeks=WEEKS - 1 - at)).isoformat()
        number = 2 * at + 1
        button = thing(f"K{at}", "button", f"{feed_g}", "Ag 900 ± 2")
        entries.append(received(number, button, lot=f"L-{at}", on=on))
        new = [thing("", "new cupel, magnesia", "900"), thing("", "lead", "400")]
        made = [
            thing(f"B{at}", "bead", f"{feed_g * 0.89:.1f}", place="tray"),
            thing(f"C{at}", "spent cupel", "1300", place="drum C"),
        ]
        entries.append(worked(number + 1, "cupel", used=f"K{at}", added=new, made=made, on=on))
    dust = thing("D1", "dust", "900", place="tin 5")
    entries.append(received(2 * WEEKS + 1, dust, lot="L-D", on="2031-03-29"))
    return entries


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    path = tmp_path / "cupels.shop"
    with Book.create(path, zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, cupellings())
        yield book


def ready(book: Book, silver: float = 0.95) -> Book:
    acts.set_prices(book, [("Ag", Money(round(silver * 1e6), "EUR"))], key="price")
    keep_sheet(book, SHEET)
    work_out(book)
    return book


def asked(book: Book) -> SendOut:
    return choice_of_containers(book, [DRUM], Numbers())


def test_before_the_figures_are_worked_out_they_are_asked_for(book: Book) -> None:
    assert asked(book).asks is Ask.FIGURES


def test_without_a_price_or_a_sheet_these_are_asked_for_first(book: Book) -> None:
    work_out(book)
    assert asked(book).asks is Ask.PRICES
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], key="price")
    work_out(book)
    first = asked(book)
    assert first.asks is Ask.SHEETS
    assert first.rows == ()
    assert len(first.tags) == WEEKS


def test_of_what_nobody_knows_anything_an_assay_is_asked_for(book: Book) -> None:
    found = choice_of_containers(ready(book), [("tin 5", "dust")], Numbers())
    assert found.asks is Ask.CONTENTS
    assert "assay" in found.heading


def test_everything_that_could_be_done_is_told_and_one_of_it_is_best(book: Book) -> None:
    found = asked(ready(book))
    assert found.asks is Ask.NOTHING
    assert [one.words.split(",")[0] for one in found.rows if not one.is_sheet][-1] == "Keep it"
    assert sum(one.is_best for one in found.rows) == 1
    best = next(one for one in found.rows if one.is_best)
    assert best.net == max(one.net for one in found.rows)
    for one in found.rows:
        assert one.low <= one.net <= one.high or one.words.startswith("Wait")
        assert 0 <= one.worse <= 1
    [sent] = [one for one in found.rows if one.is_sheet]
    *lines, total = sent.lines
    assert total.is_sum
    assert total.amount == pytest.approx(sum(one.amount or 0.0 for one in lines))


def test_when_silver_is_dear_it_is_sent_and_when_it_is_cheap_it_is_kept(book: Book) -> None:
    cheap = asked(ready(book, silver=0.6))
    assert cheap.rows[-1].is_best
    assert any("silver rises above" in one for one in cheap.hangs_on)
    acts.set_prices(book, [("Ag", Money(4_000_000, "EUR"))], key="dear")
    work_out(book)
    dear = asked(book)
    assert not dear.rows[-1].is_best
    assert any("silver falls below" in one for one in dear.hangs_on)


def test_an_element_that_a_sheet_charges_for_and_nobody_told_is_named(book: Book) -> None:
    told = " ".join(asked(ready(book)).not_known)
    assert "Nobody said how much Pb is in it" in told


def test_an_element_that_the_owner_told_is_charged_for_as_the_sheet_says(book: Book) -> None:
    """55 % of lead, 20 % free, 0.02 EUR a kg for each % above: 0.70 EUR for each kilogram."""
    before = next(one for one in asked(ready(book)).rows if one.is_sheet)
    makeup = {"spent cupel": makeup_from_text("dry 97 %, PB 55 %")}
    set_circumstances(book, OwnCircumstances(makeup=makeup))
    found = asked(book)
    assert "Nobody said" not in " ".join(found.not_known)
    after = next(one for one in found.rows if one.is_sheet)
    charged = 0.70 * WEEKS * 1.3
    late = 1 - interest(book) * SHEET.days_to_settle / 365
    assert before.net - after.net == pytest.approx(charged * late, rel=1e-6)
    assert [one.amount for one in after.lines if "Pb" in one.words] == [pytest.approx(-charged)]


def test_a_sheet_by_dry_weight_goes_by_the_dry_share_that_the_owner_told(book: Book) -> None:
    dry = replace(SHEET, treatment=replace(SHEET.treatment, basis=Basis.DRY), penalties=())
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], key="price")
    keep_sheet(book, dry)
    work_out(book)
    assert "Nobody said how dry it is" in " ".join(asked(book).not_known)
    wet = next(one for one in asked(book).rows if one.is_sheet)
    makeup = {"spent cupel": makeup_from_text("dry 50 %")}
    set_circumstances(book, OwnCircumstances(makeup=makeup))
    assert "how dry" not in " ".join(asked(book).not_known)
    told = next(one for one in asked(book).rows if one.is_sheet)
    # 26 kg at 1.50 EUR, of which half is water; the deduction falls on less as well.
    assert told.net > wet.net


def test_two_containers_are_taken_together(book: Book) -> None:
    ready(book)
    both = choice_of_containers(book, [DRUM, ("tin 5", "dust")], Numbers())
    assert set(both.tags) == {*asked(book).tags, "D1"}
    assert "Nothing is known of D1" in both.not_known[0]


def test_some_items_are_asked_for_by_their_tags_and_no_more_of_them_comes(book: Book) -> None:
    found = choice_of_items(ready(book), ["C1", "C2", "B1"], Numbers())
    assert found.tags == ("C1", "C2", "B1")
    assert not any(one.words.startswith("Wait") for one in found.rows)


def test_a_sheet_for_bars_is_not_reckoned_with_for_cupels(book: Book) -> None:
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], key="price")
    keep_sheet(book, replace(SHEET, takes=Takes.METAL))
    work_out(book)
    none = asked(book)
    assert none.asks is Ask.SHEETS
    assert none.heading.startswith("None of the terms that are kept takes this")
    assert choice_of_items(book, ["B1"], Numbers()).asks is Ask.NOTHING
    keep_sheet(book, replace(SHEET, name="for residues", takes=Takes.RESIDUES))
    assert [one.words for one in asked(book).rows if one.is_sheet] == [
        "Send it now, “for residues”"
    ]


def test_a_sheet_past_its_last_day_is_not_used(book: Book) -> None:
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], key="price")
    keep_sheet(book, replace(SHEET, valid_until=date(2031, 3, 1)))
    work_out(book)
    assert asked(book).asks is Ask.SHEETS


def test_the_choice_goes_by_the_circumstances_that_the_owner_set(book: Book) -> None:
    ready(book, 8.0)
    assert any("smelt" in one.words.lower() for one in asked(book).rows)
    before = next(one for one in asked(book).rows if one.is_sheet)
    own = OwnCircumstances(values={"interest": Value(0.5)}, works=False)
    set_circumstances(book, own)
    assert not any("smelt" in one.words.lower() for one in asked(book).rows)
    after = next(one for one in asked(book).rows if one.is_sheet)
    assert after.net < before.net
