"""What the window of terms shows: how each version stands, and a parcel step by step."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import fineness, mass, priced, received, sent, struck, thing
from conftest import Clock
from terms import money, pays
from terms import sheet as terms_sheet
from terms_samples import SHEET, altered
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.terms_sheets import ExampleParcel, Stands
from vault.application.queries.terms_sheets import example_return, known_terms, rows_of
from vault.application.terms_sheets import keep_sheet
from vault.core.masses import Mass

TODAY = date(2031, 3, 1)
NEWER = replace(SHEET, version=2, valid_from=date(2031, 1, 1), valid_until=date(2031, 12, 31))


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", operator="Imke", clock=clock) as made:
        yield made


def standing(*sheets: object) -> list[tuple[int, Stands, str, bool]]:
    rows = rows_of(sheets, TODAY)  # type: ignore[arg-type]  # sheets, whatever is thrown at it
    return [(row.sheet.version, row.stands, row.words, row.is_newest) for row in rows]


def test_the_newest_version_is_valid_and_the_older_one_replaced() -> None:
    assert standing(NEWER, SHEET) == [
        (2, Stands.VALID, "until 31 Dec 2031", True),
        (1, Stands.REPLACED, "replaced 1 Jan 2031", False),
    ]


def test_a_version_still_to_come_replaces_nothing_yet() -> None:
    later = replace(NEWER, valid_from=date(2031, 4, 1))
    assert standing(later, SHEET) == [
        (2, Stands.TO_COME, "from 1 Apr 2031", True),
        (1, Stands.VALID, "since 1 Jan 2029", False),
    ]


def test_a_version_that_had_ended_before_the_next_began_has_ended() -> None:
    ended = replace(SHEET, valid_until=date(2030, 6, 30))
    assert standing(NEWER, ended)[1][1:3] == (Stands.ENDED, "ended 30 Jun 2030")


def test_what_replaced_a_version_first_is_told_also_once_that_has_ended() -> None:
    brief = replace(NEWER, valid_from=date(2030, 5, 1), valid_until=date(2030, 6, 30))
    latest = replace(NEWER, version=3)
    assert [one[1:3] for one in standing(latest, brief, SHEET)] == [
        (Stands.VALID, "until 31 Dec 2031"),
        (Stands.ENDED, "ended 30 Jun 2030"),
        (Stands.REPLACED, "replaced 1 May 2030"),
    ]


def test_an_empty_book_says_so(book: Book) -> None:
    known = known_terms(book)
    assert (known.rows, known.parties, known.currency, known.prices) == ((), (), "", {})
    assert known.today == TODAY
    assert known.trouble == ""


def test_refineries_come_first_among_the_names_and_prices_are_those_set_last(book: Book) -> None:
    things = [thing("R-1", "slag", "100"), thing("R-2", "slag", "100"), thing("R-3", "slag", "9")]
    import_entries(
        book,
        [
            received(1, *things, party="Orrin"),
            priced(2, "Ag", "0.90 EUR"),
            priced(3, "Au", "60 EUR"),
            priced(4, "Ag", "0.95 EUR"),
            priced(5, "Pt", "40 USD"),
            priced(6, "Au", "61 EUR"),
            sent(7, "R-1", party="Lowland", ref="V-1"),
            sent(8, "R-2", party="Vellhaven", ref="V-2"),
            sent(9, "R-3", party="Never", ref="V-3"),
            struck(10, 9, "never went"),
        ],
    )
    keep_sheet(book, altered(party="Kept Refining"))
    known = known_terms(book)
    assert known.parties == ("Kept Refining", "Vellhaven", "Lowland", "Orrin")
    assert known.prices == {"Ag": money("0.95"), "Au": money("61")}
    assert known.currency == "EUR"
    assert [row.key for row in known.rows] == [("Kept Refining", "by the kilo", 1)]


def test_sheets_that_cannot_be_read_are_told_and_the_rest_is_there(book: Book) -> None:
    import_entries(book, [received(1, thing("R-1", "slag", "100"), party="Orrin")])
    book.file.change_setting("terms_sheets", "spoilt")
    known = known_terms(book)
    assert "cannot be read" in known.trouble
    assert (known.rows, known.parties) == ((), ("Orrin",))


TWENTY_KG = ExampleParcel(
    mass("20 kg"),
    grades={"Ag": fineness("10 g/kg")},
    prices={"Ag": money("0.92"), "Au": money("60")},
)


def test_a_parcel_is_told_step_by_step() -> None:
    """By hand: 20 kg with 10 g/kg are 200 g; less 30 g/t of 20 kg, 0.6 g, are 199.4 g; 85 % of
    that are 169.49 g; at 0.92 − 0.012 they bring 153.896 92. Treatment 20 · 1.50 is the least, 30;
    one assay 15, freight 40; two and a half months at 8 % cost (153.90 − 45) · 0.08 · 75 / 365.
    """
    found = example_return(SHEET, TWENTY_KG, 0.08)
    (silver,) = found.metals
    assert (silver.content_ug, silver.deducted_ug, silver.payable_ug) == (
        200_000_000,
        600_000,
        169_490_000,
    )
    assert (silver.part, silver.price, silver.refining) == (0.85, 0.92, 0.012)
    assert silver.paid == pytest.approx(153.89692)
    assert (found.treatment, found.is_least) == (30.0, True)
    assert (found.assays, found.assayed, found.sampling) == (15.0, 1, 0.0)
    assert (found.freight, found.drums, found.manifest) == (40.0, 0.0, 0.0)
    waiting = (153.89692 - 45) * 0.08 * 75 / 365
    assert found.waiting == pytest.approx(waiting)
    assert found.net == pytest.approx(153.89692 - 45 - waiting - 40)


def test_what_is_not_counted_is_told() -> None:
    found = example_return(SHEET, replace(TWENTY_KG, prices={}))
    assert found.left_out == (
        "No grade is typed for Au: not counted.",
        "No price is typed for Ag: not counted.",
        "Nobody says how much Pb is in it: no penalty is counted.",
    )
    assert found.net == -85.0


def test_a_metal_for_which_the_sheet_pays_nothing_is_told() -> None:
    grades = {**TWENTY_KG.grades, "Pd": fineness("1 g/kg")}
    found = example_return(SHEET, replace(TWENTY_KG, grades=grades))
    assert "The sheet pays nothing for Pd." in found.left_out


def test_a_share_of_an_element_brings_its_penalty() -> None:
    """By hand: 21.5 % of lead, free up to 20 %, two steps of 1 % begun: 2 · 0.02 · 20 kg = 0.8."""
    found = example_return(SHEET, replace(TWENTY_KG, shares={"Pb": fineness("21.5 %")}))
    assert dict(found.penalties) == pytest.approx({"Pb": 0.8})
    assert not any("penalty" in one for one in found.left_out)


def test_a_rich_parcel_has_the_part_of_its_band_and_pays_by_the_kilo() -> None:
    rich = terms_sheet(pays("Ag", 0.8, bands=[(0.005, 0.88)]), per_kg=3, least=30)
    found = example_return(rich, TWENTY_KG)
    assert found.metals[0].part == 0.88
    assert (found.treatment, found.is_least) == (60.0, False)


def test_a_parcel_that_is_too_poor_says_so() -> None:
    poor = terms_sheet(pays("Ag", 0.8, least_grade=0.02))
    steps = example_return(poor, TWENTY_KG).metals[0]
    assert (steps.is_too_little, steps.payable_ug, steps.paid) == (True, 0, 0.0)


def test_grades_are_of_the_weight_that_the_sheet_goes_by() -> None:
    """By hand: 18 kg dry with 10 g/kg of the dry weight hold 180 g."""
    dry = terms_sheet(pays("Ag", 0.8), dry=True, per_kg=1)
    found = example_return(dry, replace(TWENTY_KG, dry=mass("18 kg")))
    assert (found.weight_ug, found.metals[0].content_ug) == (18_000_000_000, 180_000_000)
    assert found.treatment == 18.0
    not_said = example_return(dry, TWENTY_KG)
    assert not_said.weight_ug == Mass(20_000_000_000).micrograms
    assert not_said.left_out == (
        "The sheet goes by dry weight; the weight as received is taken for it.",
    )
