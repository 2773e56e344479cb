"""Circumstances: prices and what money, space, work and samples cost this shop.

All of it is the owner's to set; `usual` gives the handbook's first guesses. Amounts are in one
currency, which the terms sheets must share.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot

from vault.core.daybook import Process
from vault.reckoning.guesses import DEFAULT, loss_of
from vault.reckoning.handbook import handbook

WEEKS_A_YEAR = 365.0 / 7.0


@dataclass(frozen=True, slots=True)
class OwnWorking:
    """What crushing and smelting residues in the house takes and gives.

    Attributes:
        recovery: by metal, share of the content that is got out and its standard uncertainty.
        kept: by metal, share that stays in the new slag and cupel; the rest is lost.
        flux_per_kg: kilograms of flux for each of residue.
        flux_price_per_kg, energy_per_kg: amounts, for a kilogram of flux and of residue.
        hours_per_lot, hours_per_kg: of work.
        sells_at: share of the price that metal got in the house brings.
        days: until that is there.
    """

    recovery: Mapping[str, tuple[float, float]]
    kept: Mapping[str, float]
    flux_per_kg: float
    flux_price_per_kg: float
    energy_per_kg: float
    hours_per_lot: float
    hours_per_kg: float
    sells_at: float
    days: float


@dataclass(frozen=True, slots=True)
class OwnSampling:
    """What it takes to blend residues and have a sample of them assayed.

    Attributes:
        hours_per_lot, hours_per_kg: of crushing and blending.
        assay: the assayer's fee for each metal.
        assay_share: relative standard uncertainty of the assay itself.
        sample_g: weight of the sample.
    """

    hours_per_lot: float
    hours_per_kg: float
    assay: float
    assay_share: float
    sample_g: float


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What a choice about residues depends on beside the residues and the sheets.

    Attributes:
        currency: of every amount.
        prices: for a gram of fine metal, today; a metal without a price is left out and named.
        price_spread: relative standard deviation of each price over a year; over t years the
            spread goes with √t, and the expected price stays what it is today.
        interest: cost of money, a share of it a year.
        space_per_kg_week: cost of keeping a kilogram of residues for a week.
        wage_per_hour: cost of an hour of work.
        working, sampling: what the house can do itself; None where it does not.
    """

    currency: str
    prices: Mapping[str, float]
    price_spread: Mapping[str, float]
    interest: float
    space_per_kg_week: float
    wage_per_hour: float
    working: OwnWorking | None
    sampling: OwnSampling | None


def usual(currency: str, prices: Mapping[str, float]) -> Circumstances:
    """Give the handbook's circumstances at some prices."""
    table = handbook("sending")
    spread = table["price_spread"]
    return Circumstances(
        currency=currency,
        prices=dict(prices),
        price_spread={metal: float(spread.get(metal, spread["default"])) for metal in prices},
        interest=table["interest"]["per_year"],
        space_per_kg_week=table["space"]["per_kg_week"],
        wage_per_hour=table["wage"]["per_hour"],
        working=usual_working(prices),
        sampling=usual_sampling(),
    )


def usual_working(metals: Iterable[str]) -> OwnWorking:
    """Give the handbook's guess of what smelting residues here takes and gives.

    Of a metal the slag of poor feed keeps k₁ and the cupel k₂ of what is left, and the furnace
    loses l₁ and l₂; what is got out is (1 − k₁ − l₁)(1 − k₂ − l₂), as doubtful as the keeps are.
    """
    table = handbook("sending")["working"]
    recovery, kept = {}, {}
    for metal in metals:
        slag, cupel = (DEFAULT.keep(kind, metal) for kind in ("slag of poor feed", "spent cupel"))
        in_button = 1.0 - slag.share - loss_of(Process.SMELT, metal)[0]
        in_bead = 1.0 - cupel.share - loss_of(Process.CUPEL, metal)[0]
        doubts = [one.share * hypot(one.house, one.batch) for one in (slag, cupel)]
        u = hypot(in_bead * doubts[0], in_button * doubts[1])
        recovery[metal] = in_button * in_bead, u
        kept[metal] = slag.share + in_button * cupel.share
    return OwnWorking(
        recovery=recovery,
        kept=kept,
        flux_per_kg=table["flux_per_kg"],
        flux_price_per_kg=table["flux_price_per_kg"],
        energy_per_kg=table["energy_per_kg"],
        hours_per_lot=table["hours_per_lot"],
        hours_per_kg=table["hours_per_kg"],
        sells_at=table["sells_at"],
        days=table["days"],
    )


def usual_sampling() -> OwnSampling:
    """Give the handbook's guess of what blending and sampling takes."""
    table = handbook("sending")["sampling"]
    return OwnSampling(
        hours_per_lot=table["hours_per_lot"],
        hours_per_kg=table["hours_per_kg"],
        assay=table["assay"],
        assay_share=table["assay_share"],
        sample_g=table["sample_g"],
    )
