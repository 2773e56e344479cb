"""One invented terms sheet that says a little of everything, and the same with a thing changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from builders import fineness
from terms import charged, fees, money, pays
from vault.core.terms_sheets import TermsSheet, Treatment

SILVER = pays("Ag", 0.85, refining=0.012, deduction=0.00003)
GOLD = pays("Au", 0.93, refining=0.35, least_grade=0.000002)
LEAD = charged("Pb", 0.02, free=0.2, step=0.01)
SHEET = TermsSheet(
    name="by the kilo",
    version=1,
    party="Lowland Residue Works",
    valid_from=date(2029, 1, 1),
    valid_until=None,
    currency="EUR",
    metals=(SILVER, GOLD),
    treatment=Treatment(money("1.50"), money("30")),
    fees=fees(assay=15, umpire=90, freight=40),
    penalties=(LEAD,),
    days_to_settle=75,
    splitting=(("Ag", fineness("2 ‰")), ("Au", fineness("0.5 ‰"))),
    note="Paper of January 2029.",
)


def altered(name: str = SHEET.name, party: str = SHEET.party, **how: object) -> TermsSheet:
    """Give the sheet under another name, or otherwise in one thing or another."""
    return replace(SHEET, name=name, party=party, **how)  # type: ignore[arg-type]  # any field
