from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from builders import fineness
from terms import money
from terms_samples import GOLD, LEAD, SHEET, SILVER, altered
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.masses import Mass
from vault.core.rules.terms_sheets import (
    TermsRefused,
    faults_of_sheet,
    insist_on_sense,
    moneys_of,
)
from vault.core.terms_sheets import Band, Fees, TermsSheet

BELOW = money("-1")
ABOVE = Fineness(WHOLE_PPB + 1)
# Each sheet is wrong in one thing: its field, and words of the sentence.
WRONG: dict[str, tuple[TermsSheet, str, str]] = {
    "no name": (altered(name=""), "name", "The sheet has no name"),
    "a name with an invisible sign": (altered(name="a\u200bb"), "name", "cannot be seen (U+200B)"),
    "a name that is a formula": (altered(name="=1"), "name", "would run as a formula"),
    "a name like a version": (
        altered(name="by the kilo (version 2)"),
        "name",
        "ends like a version; leave that out",
    ),
    "no refinery": (altered(party=""), "party", "The sheet names no refinery"),
    "a refinery with spaces": (altered(party=" L"), "party", "has spaces around it"),
    "version nought": (altered(version=0), "version", "Versions are counted from 1."),
    "an end before its beginning": (
        altered(valid_until=date(2028, 12, 31)),
        "valid_until",
        "The sheet would end on 31 Dec 2028, before it begins on 1 Jan 2029",
    ),
    "a year of long ago": (
        altered(valid_from=date(203, 1, 1)),
        "valid_from",
        "The year 203 lies outside 1900 to 2199.",
    ),
    "a year of far ahead": (
        altered(valid_until=date(2999, 1, 1)),
        "valid_until",
        "The year 2999 lies outside 1900 to 2199.",
    ),
    "days below zero": (altered(days_to_settle=-1), "days_to_settle", "-1 days to settlement"),
    "days beyond ten years": (altered(days_to_settle=3651), "days_to_settle", "up to 3650"),
    "no metal": (
        altered(metals=(), splitting=()),
        "metals",
        "names no metal; add at least one. Where nothing is paid for it, its payable part is 0 %",
    ),
    "no metal that is known": (
        altered(metals=(SILVER, replace(GOLD, metal="Cu")), splitting=()),
        "metals.1.metal",
        "“Cu” is no precious metal known here.",
    ),
    "a metal twice": (
        altered(metals=(SILVER, GOLD, SILVER)),
        "metals.2.metal",
        "Ag stands on the sheet twice; name it once.",
    ),
    "a payable part above the whole": (
        altered(metals=(SILVER, replace(GOLD, payable=ABOVE))),
        "metals.1.payable",
        "The payable part of Au is above the whole; it is at most 100 %.",
    ),
    "a payable part below zero": (
        altered(metals=(SILVER, replace(GOLD, payable=Fineness(-1)))),
        "metals.1.payable",
        "The payable part of Au is below zero; it is at least nothing.",
    ),
    "a deduction above the whole": (
        altered(metals=(SILVER, replace(GOLD, deduction=ABOVE))),
        "metals.1.deduction",
        "The deduction of Au is above the whole",
    ),
    "a least grade above the whole": (
        altered(metals=(SILVER, replace(GOLD, least_grade=ABOVE))),
        "metals.1.least_grade",
        "The least grade of Au is above the whole",
    ),
    "a least mass below zero": (
        altered(metals=(SILVER, replace(GOLD, least_fine=Mass(-1)))),
        "metals.1.least_fine",
        "The least fine mass of Au is below zero",
    ),
    "a refining charge below zero": (
        altered(metals=(SILVER, replace(GOLD, refining=BELOW))),
        "metals.1.refining",
        "The refining charge for Au is below zero; a charge is written without a sign",
    ),
    "bands that fall": (
        altered(
            metals=(SILVER, replace(GOLD, bands=(Band(fineness("5 ‰"), fineness("95 %")),) * 2))
        ),
        "metals.1.bands.1.grade",
        "The bands of Au do not rise; each begins at a higher grade",
    ),
    "a band from nothing up": (
        altered(metals=(SILVER, replace(GOLD, bands=(Band(fineness("0 ‰"), fineness("95 %")),)))),
        "metals.1.bands.0.grade",
        "The bands of Au do not rise",
    ),
    "a band beyond pure metal": (
        altered(metals=(SILVER, replace(GOLD, bands=(Band(ABOVE, fineness("95 %")),)))),
        "metals.1.bands.0.grade",
        "The grade of a band of Au is above the whole",
    ),
    "a band that pays more than all": (
        altered(metals=(SILVER, replace(GOLD, bands=(Band(fineness("5 ‰"), ABOVE),)))),
        "metals.1.bands.0.payable",
        "The payable part of Au is above the whole",
    ),
    "a treatment charge below zero": (
        altered(treatment=replace(SHEET.treatment, per_kg=BELOW)),
        "treatment.per_kg",
        "The treatment charge is below zero",
    ),
    "a least charge below zero": (
        altered(treatment=replace(SHEET.treatment, least=BELOW)),
        "treatment.least",
        "The least charge for a lot is below zero",
    ),
    "a drum that holds nothing": (
        altered(fees=replace(SHEET.fees, drum_holds=Mass(0))),
        "fees.drum_holds",
        "A drum holds more than nothing",
    ),
    "a penalty for nothing": (
        altered(penalties=(replace(LEAD, element=""),)),
        "penalties.0.element",
        "A penalty names no element",
    ),
    "a penalty with an invisible sign": (
        altered(penalties=(replace(LEAD, element="P\u200bb"),)),
        "penalties.0.element",
        "cannot be seen",
    ),
    "a penalty twice": (
        altered(penalties=(LEAD, LEAD)),
        "penalties.1.free",
        "The penalty for Pb above this grade stands on the sheet twice.",
    ),
    "a free grade above the whole": (
        altered(penalties=(replace(LEAD, free=ABOVE),)),
        "penalties.0.free",
        "The free grade of Pb is above the whole",
    ),
    "a step of zero": (
        altered(penalties=(replace(LEAD, step=Fineness(0)),)),
        "penalties.0.step",
        "A step of nothing would charge Pb without end",
    ),
    "a step below zero": (
        altered(penalties=(replace(LEAD, step=Fineness(-1)),)),
        "penalties.0.step",
        "The step of Pb is below zero",
    ),
    "a penalty below zero": (
        altered(penalties=(replace(LEAD, per_kg=BELOW),)),
        "penalties.0.per_kg",
        "The penalty for Pb is below zero",
    ),
    "a splitting limit of a metal that is not there": (
        altered(splitting=(("Pt", fineness("2 ‰")),)),
        "splitting.0",
        "A splitting limit is given for Pt, which is not among the metals.",
    ),
    "a splitting limit twice": (
        altered(splitting=(("Ag", fineness("2 ‰")), ("Ag", fineness("3 ‰")))),
        "splitting.1",
        "The splitting limit of Ag is given twice",
    ),
    "a splitting limit above the whole": (
        altered(splitting=(("Ag", ABOVE),)),
        "splitting.0",
        "The splitting limit of Ag is above the whole",
    ),
    "a note with an invisible sign": (altered(note="a\u202eb"), "note", "cannot be seen"),
    "no currency": (altered(currency="eur"), "currency", "“eur” is no currency"),
    "an amount in another currency": (
        altered(treatment=replace(SHEET.treatment, least=money("30", "USD"))),
        "treatment.least",
        "An amount of this sheet is in USD, but the sheet is in EUR",
    ),
} | {
    f"{field} below zero": (
        altered(fees=replace(SHEET.fees, **{field: BELOW})),  # type: ignore[arg-type]  # all money
        f"fees.{field}",
        f"The {what} is below zero",
    )
    for field, what in {
        "assay": "assay fee",
        "sampling": "sampling fee",
        "umpire": "umpire fee",
        "freight": "freight",
        "freight_per_kg": "freight for one kilogram",
        "drum": "charge for a drum",
        "manifest": "charge for the transport papers",
    }.items()
}


@pytest.mark.parametrize("name", WRONG)
def test_what_a_sheet_cannot_say_is_told_with_its_field(name: str) -> None:
    wrong, field, words = WRONG[name]
    faults = faults_of_sheet(wrong)
    assert [one.field for one in faults] == [field]
    assert words in faults[0].sentence
    assert re.search(r"[.]\Z", faults[0].sentence)


def test_a_sheet_that_can_be_passes() -> None:
    assert faults_of_sheet(SHEET) == ()
    insist_on_sense(SHEET)


def test_a_second_step_for_the_same_element_may_begin_higher() -> None:
    dearer = replace(LEAD, free=fineness("40 %"), per_kg=money("0.05"))
    assert faults_of_sheet(altered(penalties=(LEAD, dearer))) == ()


def test_everything_that_is_wrong_is_told_at_once() -> None:
    wrong = altered(name="", valid_until=date(2028, 1, 1), days_to_settle=-1)
    with pytest.raises(TermsRefused) as refused:
        insist_on_sense(wrong)
    fields = [one.field for one in refused.value.faults]
    assert fields == ["name", "valid_until", "days_to_settle"]
    assert all(one.sentence in str(refused.value) for one in refused.value.faults)


def test_every_amount_of_a_sheet_is_looked_at() -> None:
    found = dict(moneys_of(SHEET))
    fees = [f"fees.{one}" for one in Fees.__slots__ if one != "drum_holds"]
    rows = ["metals.0.refining", "metals.1.refining", "penalties.0.per_kg"]
    assert sorted(found) == sorted([*fees, *rows, "treatment.per_kg", "treatment.least"])
    assert {one.currency for one in found.values()} == {"EUR"}
