"""The terms sheets of the demonstration: what the shop sends under, and what was settled so."""

from __future__ import annotations

from datetime import UTC
from pathlib import Path

import pytest

from vault.application.exchange.daybook_csv import read_daybook
from vault.application.exchange.terms_text import sheets_from_text
from vault.application.terms_sheets import sheet_named, sheets_on
from vault.core.daybook import Act, Entry
from vault.core.rules import replay
from vault.core.terms_sheets import Basis, Comes, TermsSheet
from vault.reckoning.net_return import Parcel, net_of
from vault.reckoning.worth import prices_of

DEMO = Path(__file__).resolve().parents[3] / "demo_db"
_CENT = 0.01
_METAL_WORDS = {"Ag": "silver", "Au": "gold", "Pt": "platinum", "Pd": "palladium"}


@pytest.fixture(scope="module")
def entries() -> tuple[Entry, ...]:
    return read_daybook(DEMO / "daybook.csv", zone=UTC).entries


@pytest.fixture(scope="module")
def sheets() -> tuple[TermsSheet, ...]:
    """The committed sheets, read as anybody would read them."""
    return sheets_from_text((DEMO / "terms.json").read_text(encoding="utf-8"))


def sheet_of(sending: Entry, sheets: tuple[TermsSheet, ...]) -> TermsSheet:
    line = sending.lines[0]
    found = sheet_named(sheets, line.party, line.terms, sending.when.day)
    assert found is not None, line.terms
    return found


def test_the_sheets_show_what_sheets_can_say(sheets: tuple[TermsSheet, ...]) -> None:
    names = [one.name for one in sheets]
    assert names.count("by the kilo") == 2
    assert {"flat lot fee", "metal back"} < set(names)
    assert {one.returns for one in sheets} == set(Comes)
    assert {one.treatment.basis for one in sheets} == set(Basis)
    assert any(one.penalties for one in sheets)
    assert any(terms.bands for one in sheets for terms in one.metals)
    assert all("Invented" in one.note for one in sheets)


def test_every_shipment_went_under_a_sheet_that_was_valid_on_its_day(
    entries: tuple[Entry, ...], sheets: tuple[TermsSheet, ...]
) -> None:
    sent = [one for one in entries if one.act is Act.SEND]
    assert len(sent) > 8
    found = {sheet_of(one, sheets) for one in sent}
    assert {one.name for one in found} == {
        "bar by bar",
        "by the kilo",
        "each by itself",
        "flat lot fee",
    }


def test_on_the_last_day_one_version_of_each_sheet_is_valid(
    entries: tuple[Entry, ...], sheets: tuple[TermsSheet, ...]
) -> None:
    valid = sheets_on(sheets, entries[-1].when.day)
    assert sorted((one.name, one.version) for one in valid) == [
        ("bar by bar", 1),
        ("by the kilo", 2),
        ("each by itself", 1),
        ("flat lot fee", 1),
        ("metal back", 1),
    ]


def test_every_settlement_is_what_its_sheet_gives_to_the_cent(
    entries: tuple[Entry, ...], sheets: tuple[TermsSheet, ...]
) -> None:
    settled = [one for one in entries if one.act is Act.SETTLE]
    assert len(settled) > 7
    for one in settled:
        ref = one.lines[0].ref
        sending = next(e for e in entries if e.act is Act.SEND and e.lines[0].ref == ref)
        told = {line.note: float(line.money.amount) for line in one.lines if line.money}
        assert expected(one, sheet_of(sending, sheets), entries) == pytest.approx(told, abs=_CENT)


def expected(settled: Entry, sheet: TermsSheet, entries: tuple[Entry, ...]) -> dict[str, float]:
    """Give what the sheet says of the contents agreed, in the words of the settlement."""
    weighed = [line for line in settled.lines if line.gross is not None]
    contents: dict[str, float] = {}
    for line in weighed:
        for said in line.contents:
            grams = line.gross.grams * said.fineness.share
            contents[said.metal] = contents.get(said.metal, 0.0) + grams
    received = sum(line.gross.grams for line in weighed)
    prices = {
        metal: float(price.per_gram.amount)
        for metal, price in prices_of(replay(entries[: settled.number - 1])).items()
    }
    back = net_of(Parcel(received, contents), sheet, prices)
    told = {}
    for one in back.metals:
        if one.paid >= _CENT:
            part = sheet.terms_of(one.metal).payable.share
            told[f"{_METAL_WORDS[one.metal]} paid, {100 * part:g} %"] = float(one.paid)
    is_least = float(back.treatment) == float(sheet.treatment.least.amount)
    told["treatment, lot minimum" if is_least else "treatment"] = -float(back.treatment)
    return told | {"assays": -(back.assays + back.sampling)}
