"""Terms sheets as open text: read back as written, and refused with every fault in its place."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import fineness
from terms import money
from terms_samples import GOLD, SHEET, altered
from vault.application.exchange.open_text import OpenTextRefused
from vault.application.exchange.terms_text import (
    percent_text,
    sheets_from_text,
    sheets_to_text,
)
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.masses import Mass
from vault.core.money import GREATEST_MILLIONTHS, Money
from vault.core.rules.terms_sheets import MOST_DAYS
from vault.core.terms_sheets import (
    Band,
    Basis,
    Comes,
    Fees,
    MetalTerms,
    Paid,
    Penalty,
    TermsSheet,
    Treatment,
)

FULL = replace(
    SHEET,
    valid_until=date(2031, 12, 31),
    metals=(
        replace(SHEET.metals[0], bands=(Band(fineness("5 ‰"), fineness("88 %")),)),
        replace(GOLD, paid=Paid.LESSER, least_fine=Mass(500_000)),
    ),
    treatment=Treatment(money("11.023113"), money("250"), Basis.DRY),
    returns=Comes.METAL,
    note="First line.\nSecond “line”, 50 ‰.",
)


def charges() -> st.SearchStrategy[Money]:
    return st.integers(0, GREATEST_MILLIONTHS).map(lambda one: Money(one, "EUR"))


def parts(least: int = 0) -> st.SearchStrategy[Fineness]:
    return st.integers(least, WHOLE_PPB).map(Fineness)


def terms_of(metal: str) -> st.SearchStrategy[MetalTerms]:
    return st.builds(
        MetalTerms,
        st.just(metal),
        payable=parts(),
        refining=charges(),
        deduction=parts(),
        paid=st.sampled_from(Paid),
        least_grade=parts(),
        least_fine=st.integers(0, 9_000_000_000_000).map(Mass),
        bands=st.lists(parts(1), max_size=3, unique=True).map(
            lambda grades: tuple(Band(one, one) for one in sorted(grades))
        ),
    )


FEES = {name: charges() for name in Fees.__slots__ if name != "drum_holds"}
SHEETS = st.builds(
    TermsSheet,
    name=st.sampled_from(["by the kilo", "flat lot fee", "Sieb & Söhne Nr. 4"]),
    version=st.integers(1, 999),
    party=st.sampled_from(["Lowland Residue Works", "Øst-Raffinering"]),
    valid_from=st.dates(date(1900, 1, 1), date(2031, 1, 1)),
    valid_until=st.none() | st.dates(date(2031, 1, 1), date(2199, 12, 31)),
    currency=st.just("EUR"),
    metals=st.tuples(terms_of("Ag"), terms_of("Pt")) | st.tuples(terms_of("Au")),
    treatment=st.builds(Treatment, charges(), charges(), st.sampled_from(Basis)),
    fees=st.builds(Fees, **FEES, drum_holds=st.integers(1, 10**12).map(Mass)),
    penalties=st.just(())
    | st.tuples(st.builds(Penalty, st.just("Pb"), parts(), parts(1), charges())),
    returns=st.sampled_from(Comes),
    days_to_settle=st.integers(0, MOST_DAYS),
    note=st.sampled_from(["", "a note\nof two lines"]),
)


@given(SHEETS, st.none() | parts())
def test_a_sheet_reads_back_as_it_was_written(made: TermsSheet, limit: Fineness | None) -> None:
    splitting = () if limit is None else ((made.metals[0].metal, limit),)
    whole = replace(made, splitting=splitting)
    assert sheets_from_text(sheets_to_text([whole])) == (whole,)


def test_several_sheets_read_back_in_their_order() -> None:
    both = (FULL, altered("flat lot fee"), replace(FULL, version=2))
    assert sheets_from_text(sheets_to_text(both)) == both


@pytest.mark.parametrize(("ppb", "text"), [(850_000_000, "85 %"), (1, "0.0000001 %"), (0, "0 %")])
def test_a_part_is_written_in_percent_to_its_last_digit(ppb: int, text: str) -> None:
    assert percent_text(Fineness(ppb)) == text


def test_what_is_left_out_is_nothing_as_on_paper() -> None:
    text = """{"terms sheets": 1, "sheets": [{
        "name": "by hand", "party": "Lowland", "valid_from": "2031-01-01", "currency": "USD",
        "metals": [{"metal": "Ag", "payable": "80 %"}],
        "treatment": {"per_kg": "$5.00/lb", "least": 250}
    }]}"""
    (read,) = sheets_from_text(text)
    assert read.version == 1
    assert read.valid_until is None
    assert read.metals == (MetalTerms("Ag", fineness("80 %"), money("0", "USD")),)
    # 5 / 0.45359237, the pound of NIST Handbook 44, Appendix C.
    assert read.treatment == Treatment(money("11.023113", "USD"), money("250", "USD"))
    assert read.penalties == ()
    assert read.returns is Comes.MONEY


def changed(path: str, value: object) -> str:
    """Give the usual sheets as text, one field of the first otherwise; "…" takes it away."""
    told: Any = json.loads(sheets_to_text([FULL, altered("flat lot fee")]))
    *way, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    at = told["sheets"][0]
    for step in way:
        at = at[step]
    if value == "…":
        del at[last]
    else:
        at[last] = value
    return json.dumps(told)


@pytest.mark.parametrize(
    ("path", "value", "column", "words"),
    [
        ("name", "", "name", "The sheet has no name"),
        ("name", True, "name", "A text in quotation marks is expected here."),
        ("name", None, "name", "A text in quotation marks is expected here."),
        ("party", "", "party", "names no refinery"),
        ("version", "two", "version", "“two” is no whole number"),
        ("version", 0, "version", "counted from 1"),
        ("valid_from", "…", "valid_from", "This is missing"),
        ("valid_from", "1.2.2031", "valid_from", "is no day; write it like 2031-03-14"),
        ("valid_until", "2020-01-01", "valid_until", "before it begins"),
        ("currency", "…", "currency", "This is missing"),
        ("currency", "euro", "currency", "“euro” is no currency"),
        ("returns", "gold", "returns", "“gold” cannot stand here; it is “money” or “metal”"),
        ("days_to_settle", -3, "days_to_settle", "“-3” is no whole number"),
        ("metals", [], "metals", "names no metal"),
        ("metals", {}, "metals", "A list in square brackets is expected here."),
        ("metals.1", "gold", "metals, row 2", "Fields are expected here, in curly brackets."),
        ("metals.1.metal", "Cu", "metals, row 2, metal", "no precious metal"),
        ("metals.1.metal", "Ag", "metals, row 2, metal", "stands on the sheet twice"),
        ("metals.1.payable", "…", "metals, row 2, payable", "This is missing"),
        ("metals.1.payable", "85", "metals, row 2, payable", "Is 85 meant as 85 ‰ or 85 %?"),
        ("metals.1.payable", "120 %", "metals, row 2, payable", "is impossible"),
        ("metals.1.payable", "85 ± 1 %", "metals, row 2, payable", "has a ±; terms are exact"),
        ("metals.1.deduction", "a little", "metals, row 2, deduction", "is no fineness"),
        ("metals.1.paid", "half", "metals, row 2, paid", "“half” cannot stand here"),
        ("metals.1.least_grade", "2 stone", "metals, row 2, least_grade", "no unit of fineness"),
        ("metals.1.least_fine", "2 stone", "metals, row 2, least_fine", "no unit of mass"),
        ("metals.1.least_fine", "-2 g", "metals, row 2, least_fine", "below zero"),
        ("metals.1.refining_per_g", "-1", "metals, row 2, refining_per_g", "below zero"),
        ("metals.1.refining_per_g", "x", "metals, row 2, refining_per_g", "is no amount"),
        ("metals.1.splitting", "x", "metals, row 2, splitting", "is no fineness"),
        ("metals.0.bands", {}, "metals, row 1, bands", "A list in square brackets"),
        ("metals.0.bands.0.grade", "…", "metals, row 1, bands, row 1, grade", "This is missing"),
        ("metals.0.bands.0.grade", "0 ‰", "metals, row 1, bands, row 1, grade", "do not rise"),
        ("metals.1.payabel", "85 %", "metals, row 2, payabel", "There is no field of this name"),
        ("treatment", [], "treatment", "Fields are expected here"),
        ("treatment.per_kg", "1 USD", "treatment, per_kg", "is not in EUR"),
        ("treatment.least", "-1", "treatment, least", "below zero"),
        ("treatment.basis", "wet", "treatment, basis", "“as received” or “dry”"),
        ("fees.assay", "-1", "fees, assay", "The assay fee is below zero"),
        ("fees.drum_holds", "0 g", "fees, drum_holds", "A drum holds more than nothing"),
        ("fees.tip", "1", "fees, tip", "There is no field of this name"),
        ("penalties.0.element", "", "penalties, row 1, element", "names no element"),
        ("penalties.0.step", "0 %", "penalties, row 1, step", "A step of nothing"),
        ("penalties.0.steps", "halves", "penalties, row 1, steps", "“halves” cannot stand here"),
        ("penalties.0.step", "…", "penalties, row 1, step", "This is missing"),
        ("penalties.0.per_kg", "…", "penalties, row 1, per_kg", "This is missing"),
        ("note", "a\u202eb", "note", "cannot be seen"),
        ("colour", "red", "colour", "There is no field of this name; it can be name, version"),
    ],
)
def test_what_is_wrong_in_a_file_is_told_with_its_sheet_and_field(
    path: str, value: object, column: str, words: str
) -> None:
    with pytest.raises(OpenTextRefused) as refused:
        sheets_from_text(changed(path, value))
    assert [(one.row, one.column) for one in refused.value.faults] == [(1, column)]
    assert words in refused.value.faults[0].sentence
    assert f"Sheet 1, {column}: " in str(refused.value)


def test_a_splitting_limit_that_cannot_be_is_told_beside_its_metal() -> None:
    wrong = altered("a", splitting=(("Ag", fineness("2 ‰")),))
    text = sheets_to_text([wrong]).replace('"splitting": "2 ‰"', '"splitting": "2"')
    with pytest.raises(OpenTextRefused, match="Sheet 1, metals, row 1, splitting: Is 2 meant as"):
        sheets_from_text(text)


def test_a_version_that_stands_twice_is_told() -> None:
    with pytest.raises(
        OpenTextRefused, match="Sheet 2, version: Version 1 of it stands here twice"
    ):
        sheets_from_text(sheets_to_text([FULL, FULL]))


def test_all_faults_of_all_sheets_are_told_at_once() -> None:
    told = json.loads(sheets_to_text([FULL, FULL]))
    told["sheets"][0]["currency"] = "euro"
    told["sheets"][1] |= {"version": "2", "valid_from": "soon", "returns": "gold"}
    with pytest.raises(OpenTextRefused) as refused:
        sheets_from_text(json.dumps(told))
    assert [(one.row, one.column) for one in refused.value.faults] == [
        (1, "currency"),
        (2, "valid_from"),
        (2, "returns"),
    ]


def without(text: str) -> Callable[[str], str]:
    return lambda whole: whole.replace(text, "", 1)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda _: "", "Line 1, sign 1: this is no JSON any more"),
        (lambda _: "[]", "This holds no terms sheets; a file of them begins with"),
        (lambda _: '{"daybook": 1}', "This holds no terms sheets"),
        (lambda _: '{"terms sheets": 1}', "The sheets are missing; they stand in square"),
        (lambda _: '{"terms sheets": 1, "sheets": {}}', "The sheets are missing"),
        (lambda _: '{"terms sheets": 2, "sheets": []}', "a newer version of this program"),
        (lambda _: "[" * 100_000, "its brackets never come to an end"),
        (without('"'), "Line 2, sign"),
        (without("},"), "this is no JSON any more"),
        (
            lambda whole: whole.replace('"name"', '"party"', 1),
            "The field “party” stands twice in one bracket",
        ),
    ],
)
def test_a_text_that_holds_no_sheets_is_refused_in_a_sentence(
    spoil: Callable[[str], str], words: str
) -> None:
    with pytest.raises(OpenTextRefused) as refused:
        sheets_from_text(spoil(sheets_to_text([FULL])))
    assert words in str(refused.value)
    assert refused.value.faults[0].row is None


def test_a_text_of_no_sheets_gives_none() -> None:
    assert sheets_from_text(sheets_to_text([])) == ()
