"""Terms sheets for tests, a word for each fact; invented, unless a test names its source."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.masses import Mass
from vault.core.money import Money
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

OZT_G = 31.1034768
LB_KG = 0.45359237
SHORT_TON_KG = 907.18474


def money(amount: float | str | Decimal, currency: str = "EUR") -> Money:
    """Give an amount rounded to whole millionths, as prices for a gram are kept."""
    return Money(int((Decimal(str(amount)) * 1_000_000).to_integral_value()), currency)


def grade(share: float | str) -> Fineness:
    """Give a share of the weight as a fineness."""
    return Fineness(int((Decimal(str(share)) * WHOLE_PPB).to_integral_value()))


def pays(
    metal: str,
    part: float,
    *,
    refining: float = 0.0,
    deduction: float = 0.0,
    lesser: bool = False,
    least_grade: float = 0.0,
    least_fine_g: float = 0.0,
    bands: Sequence[tuple[float, float]] = (),
) -> MetalTerms:
    """Give what a sheet says of a metal; grades and parts as shares, refining for a gram."""
    return MetalTerms(
        metal=metal,
        payable=grade(part),
        refining=money(refining),
        deduction=grade(deduction),
        paid=Paid.LESSER if lesser else Paid.AFTER_DEDUCTION,
        least_grade=grade(least_grade),
        least_fine=Mass(round(least_fine_g * 1_000_000)),
        bands=tuple(Band(grade(at), grade(part)) for at, part in bands),
    )


def charged(
    element: str, per_kg: float, *, free: float, step: float, whole_steps: bool = True
) -> Penalty:
    """Give the charge for an element: so much a kilogram for each step above what is free."""
    return Penalty(element, grade(free), grade(step), money(per_kg), whole_steps)


def fees(
    *,
    assay: float = 0.0,
    sampling: float = 0.0,
    umpire: float = 0.0,
    freight: float = 0.0,
    freight_per_kg: float = 0.0,
    drum: float = 0.0,
    manifest: float = 0.0,
) -> Fees:
    """Give fees, nothing where nothing is said."""
    return Fees(
        assay=money(assay),
        sampling=money(sampling),
        umpire=money(umpire),
        freight=money(freight),
        freight_per_kg=money(freight_per_kg),
        drum=money(drum),
        manifest=money(manifest),
    )


def sheet(
    *metals: MetalTerms,
    name: str = "by the kilo",
    per_kg: float = 0.0,
    least: float = 0.0,
    dry: bool = False,
    charges: Fees | None = None,
    penalties: Sequence[Penalty] = (),
    metal_back: bool = False,
    days: int = 0,
    valid_from: date = date(2030, 1, 1),
    valid_until: date | None = None,
) -> TermsSheet:
    """Give a sheet in euros; treatment for a kilogram, at least so much a lot."""
    return TermsSheet(
        name=name,
        version=1,
        party="Invented Refining Works",
        valid_from=valid_from,
        valid_until=valid_until,
        currency="EUR",
        metals=metals,
        treatment=Treatment(money(per_kg), money(least), Basis.DRY if dry else Basis.RECEIVED),
        fees=charges or fees(),
        penalties=tuple(penalties),
        returns=Comes.METAL if metal_back else Comes.MONEY,
        days_to_settle=days,
    )
