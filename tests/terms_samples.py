"""Invented terms sheets, as tests want them; a word changes what matters to one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from vault.core.fineness import Fineness, fineness_from_text
from vault.core.masses import Mass
from vault.core.money import Money, money_from_text
from vault.core.terms_sheets import Fees, MetalTerms, Penalty, TermsSheet, Treatment

CURRENCY = "EUR"


def money(text: str = "0", currency: str = CURRENCY) -> Money:
    """`money("1.50")` is in euros."""
    return money_from_text(text, currency)


def part(text: str) -> Fineness:
    """`part("85 %")`, `part("300 g/t")`."""
    return fineness_from_text(text)


_NONE = money()
NO_FEES = Fees(
    assay=_NONE,
    sampling=_NONE,
    umpire=_NONE,
    freight=_NONE,
    freight_per_kg=_NONE,
    drum=_NONE,
    manifest=_NONE,
)
SILVER = MetalTerms("Ag", part("85 %"), money("0.012"), deduction=part("30 g/t"))
GOLD = MetalTerms("Au", part("93 %"), money("0.35"), least_grade=part("2 g/t"))
LEAD = Penalty("Pb", part("20 %"), part("1 %"), money("0.02"))
SHEET = TermsSheet(
    name="by the kilo",
    version=1,
    party="Lowland Residue Works",
    valid_from=date(2029, 1, 1),
    valid_until=None,
    currency=CURRENCY,
    metals=(SILVER, GOLD),
    treatment=Treatment(money("1.50"), money("30")),
    fees=replace(NO_FEES, assay=money("15"), umpire=money("90"), freight=money("40")),
    penalties=(LEAD,),
    days_to_settle=75,
    splitting=(("Ag", part("2 ‰")), ("Au", part("0.5 ‰"))),
    note="Paper of January 2029.",
)


def sheet(
    name: str = "by the kilo", party: str = "Lowland Residue Works", **how: object
) -> TermsSheet:
    """Give the usual sheet under another name, or otherwise in one thing or another."""
    return replace(SHEET, name=name, party=party, **how)  # type: ignore[arg-type]  # any field


def grams(text: str) -> Mass:
    """`grams("12.5")`."""
    return Mass(round(float(text) * 1_000_000))
