"""Worlds: what could be true of residues, prices and furnace, drawn once for every option.

In each world the present stock has some contents and weight, the shop makes residues at some rate,
prices go some way, smelting here gives some recovery, and a sample comes out some way off. Every
option is played through in the same worlds, so that differences between them are no accident of
the draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.best_time import space_until, weekly
from vault.reckoning.choices import BestTime, Making, Residues
from vault.reckoning.circumstances import WEEKS_A_YEAR, Circumstances, OwnWorking
from vault.reckoning.draws import jointly, normal_draws, prices_at
from vault.reckoning.expected_pay import expected_payable
from vault.reckoning.facts import Floats
from vault.reckoning.net_return import DAYS_A_YEAR, Parcel, net_of
from vault.reckoning.payable import Amount, Pieces

_GRAMS_PER_KG = 1000.0
# A share got out lies between nothing and all: of a doubtful one only so much is expected.
_FROM_NOTHING_TO_ALL = Pieces(np.array([0.0, 1.0]), np.array([1.0, 0.0]), np.array([0.0, 1.0]))
_FROM_NOTHING = Pieces(np.array([0.0]), np.array([1.0]), np.array([0.0]))


@dataclass(frozen=True, slots=True, eq=False)
class Worlds:
    """Draws of all that is doubtful, m metals in n worlds.

    Attributes:
        residues: what they are draws of.
        contents_g, received_g: (m, n) and (n,) of the present stock, uncut.
        rates_g, rate_weight_g: (m, n) and (n,) made in a week.
        prices: (m, n) standard normal, of the price of each metal.
        recovery: (n,) standard normal, of smelting here, all metals together.
        slips: (m, n) standard normal, of a sample and its assay.
    """

    residues: Residues
    contents_g: Floats
    received_g: Floats
    rates_g: Floats
    rate_weight_g: Floats
    prices: Floats
    recovery: Floats
    slips: Floats

    def parcel(self, weeks: float, *, stock: bool = True) -> Parcel:
        """Give what would be sent after some weeks, with the present stock or without."""
        grams = self.contents_g * stock + weeks * self.rates_g
        received = np.maximum(self.received_g * stock + weeks * self.rate_weight_g, 0.0)
        dry = self.residues.dry_share
        return Parcel(
            received_g=received,
            contents_g=dict(zip(self.residues.metals, grams, strict=True)),
            dry_g=None if dry is None else dry * received,
            not_known=self.residues.not_known,
            shares=self.residues.shares,
        )

    def prices_after(
        self, circumstances: Circumstances, years: float, *, foreseen: bool
    ) -> dict[str, Amount]:
        """Give the price of each metal after some years, or that of today, which is expected."""
        found: dict[str, Amount] = {}
        for at, metal in enumerate(self.residues.metals):
            price = circumstances.prices.get(metal)
            if price is not None:
                spread = circumstances.price_spread.get(metal, 0.0)
                drawn = prices_at(price, spread, years, self.prices[at])
                found[metal] = drawn if foreseen else price
        return found


def worlds_of(residues: Residues, making: Making | None, count: int) -> Worlds:
    """Draw so many worlds, the same ones each time."""
    m = len(residues.metals)
    drawn = normal_draws(count, 4 * m + 3)
    adds = making or Making(0.0, 0.0, {})
    mean, covariance = np.array(residues.fine_g), np.array(residues.covariance_g2).reshape(m, m)
    contents = jointly(mean, covariance, drawn[:m])
    rates = np.array([adds.fine_g.get(metal, (0.0, 0.0)) for metal in residues.metals])
    rates = rates.reshape(m, 2)
    u = np.sqrt(np.diag(covariance))
    tied = np.where(u > 0.0, adds.tied, 0.0)
    off = (contents - mean[:, None]) / np.where(u > 0.0, u, 1.0)[:, None]
    own = np.sqrt(1.0 - tied**2)[:, None] * drawn[m : 2 * m]
    return Worlds(
        residues=residues,
        contents_g=contents,
        received_g=residues.received_g + residues.received_u_g * drawn[4 * m],
        rates_g=rates[:, :1] + rates[:, 1:] * (tied[:, None] * off + own),
        rate_weight_g=adds.weight_g + adds.weight_u_g * drawn[4 * m + 1],
        prices=drawn[2 * m : 3 * m],
        recovery=drawn[4 * m + 2],
        slips=drawn[3 * m : 4 * m],
    )


def sent(
    worlds: Worlds, sheet: TermsSheet, circumstances: Circumstances, *, foreseen: bool
) -> Floats:
    """Give what sending now under a sheet brings in every world.

    Args:
        worlds: the draws.
        sheet: the terms.
        circumstances: prices and costs.
        foreseen: whether prices are drawn; else they are those of today, which are expected.
    """
    return _net(worlds, worlds.parcel(0), sheet, circumstances, 0.0 if foreseen else None)


def waited(
    worlds: Worlds, time: BestTime, circumstances: Circumstances, *, foreseen: bool
) -> Floats:
    """Give what waiting for the best time brings in every world, against sending now.

    All that is sent after is played through in the same world: where metal is dear, or more is
    made than was thought, its delay costs more too.
    """
    if time.sheet is None or time.weeks is None:
        return np.zeros_like(worlds.received_g)
    weeks, i = time.weeks, weekly(circumstances)
    then = weeks / WEEKS_A_YEAR if foreseen else None
    net = _net(worlds, worlds.parcel(weeks), time.sheet, circumstances, then)
    following = np.zeros_like(net)
    if time.every_weeks is not None and time.every_sheet is not None:
        every = time.every_weeks
        heap = worlds.parcel(every, stock=False)
        each = _net(worlds, heap, time.every_sheet, circumstances, then)
        each = np.exp(-i * every) * each - _space(worlds, every, circumstances, stock=False)
        following = each / -np.expm1(-i * every)
    kept = float(np.exp(-i * weeks))
    space = _space(worlds, weeks, circumstances, stock=True)
    found: Floats = kept * net - (1.0 - kept) * following - space
    return found


def _net(
    worlds: Worlds,
    parcel: Parcel,
    sheet: TermsSheet,
    circumstances: Circumstances,
    then: float | None,
) -> Floats:
    """Give the net return with prices drawn so many years from now, or with those of today."""
    years = (then or 0.0) + sheet.days_to_settle / DAYS_A_YEAR
    prices = worlds.prices_after(circumstances, years, foreseen=then is not None)
    net = net_of(parcel, sheet, prices, circumstances.interest).net
    return np.broadcast_to(net, worlds.received_g.shape)


def _space(worlds: Worlds, weeks: int, circumstances: Circumstances, *, stock: bool) -> Floats:
    at = np.array([float(weeks)])
    found: Floats = space_until(at, 0.0, 1.0, circumstances)[0] * worlds.rate_weight_g
    if stock:
        found = found + space_until(at, 1.0, 0.0, circumstances)[0] * worlds.received_g
    return found


def worked(
    worlds: Worlds, working: OwnWorking, circumstances: Circumstances, *, foreseen: bool
) -> Floats:
    """Give what crushing and smelting here brings in every world.

    Args:
        worlds: the draws.
        working: what it takes and gives.
        circumstances: prices and costs.
        foreseen: whether prices and recovery are drawn; else they are as expected.
    """
    prices = worlds.prices_after(circumstances, working.days / DAYS_A_YEAR, foreseen=foreseen)
    brought = np.zeros_like(worlds.received_g)
    for at, metal in enumerate(worlds.residues.metals):
        if metal in prices and metal in working.recovery:
            share, u = working.recovery[metal]
            drawn = np.clip(share + u * worlds.recovery, 0.0, 1.0)
            got = drawn if foreseen else recovery_expected(share, u)
            brought += got * np.maximum(worlds.contents_g[at], 0.0) * prices[metal]
    return worked_value(brought, worlds.received_g, working, circumstances)


def recovery_expected(share: float, u: float) -> float:
    """Give the share that is expected to be got out, which lies between nothing and all."""
    return float(expected_payable(_FROM_NOTHING_TO_ALL, share, u))


def content_expected(mean_g: Amount, u_g: Amount) -> Floats:
    """Give the content that is expected, which is never below nothing."""
    shape = np.broadcast_shapes(np.shape(mean_g), np.shape(u_g))
    one = np.ones((1, *shape))
    pieces = Pieces(_FROM_NOTHING.starts[0] * one, one, 0.0 * one)
    return expected_payable(pieces, mean_g, u_g)


def worked_value(
    metal_value: Floats, received_g: Amount, working: OwnWorking, circumstances: Circumstances
) -> Floats:
    """Give what metal got out here is worth after selling it, waiting for it, and all costs."""
    kept = working.sells_at * (1.0 - circumstances.interest * working.days / DAYS_A_YEAR)
    kg = np.asarray(received_g, dtype=np.float64) / _GRAMS_PER_KG
    flux, energy, wages = working_costs(kg, working, circumstances)
    found: Floats = kept * metal_value - flux - energy - wages
    return found


def working_costs(
    kg: Floats, working: OwnWorking, circumstances: Circumstances
) -> tuple[Floats, Floats, Floats]:
    """Give the cost of flux, energy and work for some kilograms of residue."""
    hours = working.hours_per_lot + working.hours_per_kg * kg
    return (
        working.flux_per_kg * working.flux_price_per_kg * kg,
        working.energy_per_kg * kg,
        hours * circumstances.wage_per_hour,
    )
