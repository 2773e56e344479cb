"""The terms sheets of the shop's refineries, as their invented papers say and as they settle.

What the simulator settles by (`campaigns.SHEETS`) is the beginning of each; freight, drums and
transport papers are paid to the carrier, so no settlement has them. A settlement charges sampling
and assays in one line, which stands here as the fee for sampling.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from demo_db.simulator.campaigns import REFINERY, RESIDUE_WORKS, SHEETS
from demo_db.simulator.paper import CURRENCY, euros
from vault.core.fineness import Fineness
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
    Takes,
    TermsSheet,
    Treatment,
)

_PPB_PER_PERMILLE = 1_000_000
_FIRST_DAY = date(2029, 1, 1)
_SPLITTING = (("Ag", Fineness(2_000_000)), ("Au", Fineness(500_000)))
_NONE = Money(0, CURRENCY)


def sheets() -> tuple[TermsSheet, ...]:
    """Give every version that the shop keeps."""
    by_the_kilo = _settled_by(RESIDUE_WORKS, "by the kilo", days=75, freight=4_500, drum=1_800)
    return (
        by_the_kilo,
        _by_the_kilo_of_2031(by_the_kilo),
        _settled_by(RESIDUE_WORKS, "each by itself", days=60, freight=4_500, drum=1_800),
        _flat_lot_fee(),
        _settled_by(REFINERY, "bar by bar", days=35, freight=3_800, drum=0),
        _metal_back(),
    )


def _settled_by(party: str, name: str, *, days: int, freight: int, drum: int) -> TermsSheet:
    """Give a sheet that says what the simulator settles by; amounts in cents."""
    terms = SHEETS[party]
    return TermsSheet(
        name=name,
        version=1,
        party=party,
        valid_from=_FIRST_DAY,
        valid_until=None,
        currency=CURRENCY,
        metals=tuple(
            MetalTerms(metal, Fineness(permille * _PPB_PER_PERMILLE), _NONE)
            for metal, permille in terms.pays.items()
        ),
        treatment=Treatment(euros(terms.per_kg_cents), euros(terms.least_cents)),
        fees=Fees(
            assay=_NONE,
            sampling=euros(terms.assay_cents),
            umpire=euros(12_000),
            freight=euros(freight),
            freight_per_kg=euros(35),
            drum=euros(drum),
            manifest=euros(2_500) if party == RESIDUE_WORKS else _NONE,
        ),
        days_to_settle=days,
        splitting=_SPLITTING,
        note="Invented. Sampling and assays come as one charge for the lot.",
        takes=Takes.RESIDUES if party == RESIDUE_WORKS else Takes.METAL,
    )


def _by_the_kilo_of_2031(before: TermsSheet) -> TermsSheet:
    """Give what the refinery wrote for 2031: dearer, with a refining charge and a penalty."""
    refining = {"Ag": Money(15_000, CURRENCY), "Au": Money(400_000, CURRENCY)}
    return replace(
        before,
        version=2,
        valid_from=date(2031, 1, 1),
        valid_until=date(2031, 12, 31),
        metals=tuple(
            replace(one, refining=refining.get(one.metal, _NONE)) for one in before.metals
        ),
        treatment=Treatment(euros(180), euros(4_500)),
        penalties=(
            Penalty("As", Fineness(1_000_000), Fineness(1_000_000), euros(5)),
            Penalty("Cl", Fineness(5_000_000), Fineness(1_000_000), euros(2)),
        ),
        note="Invented. Paper of December 2030; sampling and assays come as one charge.",
    )


def _flat_lot_fee() -> TermsSheet:
    """Give a sheet that charges one fee for any lot, and pays a larger part of a rich one."""
    return replace(
        _settled_by(RESIDUE_WORKS, "flat lot fee", days=90, freight=4_500, drum=1_800),
        metals=(
            MetalTerms(
                "Ag",
                Fineness(800_000_000),
                Money(12_000, CURRENCY),
                least_grade=Fineness(500_000),
                bands=(Band(Fineness(5_000_000), Fineness(880_000_000)),),
            ),
            MetalTerms(
                "Au",
                Fineness(930_000_000),
                Money(400_000, CURRENCY),
                deduction=Fineness(2_000),
                paid=Paid.LESSER,
                least_fine=Mass(500_000),
            ),
        ),
        treatment=Treatment(_NONE, euros(16_000)),
        fees=Fees(
            assay=euros(1_500),
            sampling=_NONE,
            umpire=euros(12_000),
            freight=euros(4_500),
            freight_per_kg=euros(35),
            drum=euros(1_800),
            manifest=euros(2_500),
        ),
        valid_from=date(2030, 7, 1),
        note="Invented. One fee for a lot up to 500 kg.",
    )


def _metal_back() -> TermsSheet:
    """Give a sheet under which fine metal comes back and only the charges are money."""
    return replace(
        _settled_by(REFINERY, "metal back", days=28, freight=3_800, drum=0),
        metals=(
            MetalTerms("Ag", Fineness(920_000_000), _NONE, deduction=Fineness(50_000)),
            MetalTerms("Au", Fineness(970_000_000), _NONE, deduction=Fineness(5_000)),
        ),
        treatment=Treatment(euros(1_200), euros(6_000), Basis.DRY),
        returns=Comes.METAL,
        valid_from=date(2030, 1, 1),
        note="Invented. Silver comes back as grain, gold as cast bars.",
    )
