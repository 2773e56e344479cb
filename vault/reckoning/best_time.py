"""The best time to send, with the shop making more of the same.

A shipment ends one heap and begins the next, as felling ends one stand of trees and begins another.
Let N(x) be what heap x brings net, r what a week adds, i the cost of money and C the cost of space.
Sending every T weeks for ever, beginning with nothing, is worth

    V* = max over T of (e^−iT · N(rT) − C(T)) / (1 − e^−iT),        and not below 0,

since never sending is allowed. The present stock S is then best sent after the w weeks that
maximise

    e^−iw · (N(S + rw) + V*) − C(w),

and what waiting brings, to be set against sending now and against keeping, is that less V*. So
every week of waiting bears the delay of all that follows, and the present stock is not credited
with metal that would come anyway.

Where N is a straight line, value v a year less a fixed charge F, T comes close to √(2F/(i·v)), the
square-root rule; minimums and thresholds bend the true curve, which is what is searched here, week
by week.

References: M. Faustmann 1849 on the value of land under trees; F. W. Harris 1913 on the square-root
rule (both from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import BestTime, Making, Residues, Setting, SquareRoot
from vault.reckoning.circumstances import WEEKS_A_YEAR, Circumstances
from vault.reckoning.expected_net import ExpectedNet, expected_under
from vault.reckoning.facts import Bools, Floats
from vault.reckoning.net_return import Parcel
from vault.reckoning.payable import Amount

MOST_WEEKS = 260
MOST_WEEKS_BETWEEN = 520
# Money that costs nothing would make all that follows worth infinitely much.
_LEAST_INTEREST = 1e-6
# The net counts as a straight line where it leaves one by less than this share of the fixed charge.
_STRAIGHT = 0.02
_GRAMS_PER_KG = 1000.0
_NOTHING_MADE = Making(0.0, 0.0, {})


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """What is expected of each sheet from week to week.

    Attributes:
        sheets: those that can be used.
        weeks: (w,) weeks to wait for the present stock, from 0 on, rising.
        stock: by sheet, the present stock with what is made meanwhile, at those weeks.
        between: (t,) weeks between later shipments.
        heaps: by sheet, what is made in those weeks; empty where nothing is made.
        open: (s, w) whether the sheet is still valid then.
        space: (w,) and (t,) cost of space until then, as an amount of today.
        interest: cost of money, a share of it a week.
    """

    sheets: tuple[TermsSheet, ...]
    weeks: Floats
    stock: tuple[ExpectedNet, ...]
    between: Floats
    heaps: tuple[ExpectedNet, ...]
    open: Bools
    space: tuple[Floats, Floats]
    interest: float

    def following(self, prices: Mapping[str, Amount]) -> Floats:
        """Give (s, …, t) what sending every t weeks under a sheet is worth, without a floor."""
        kept = np.exp(-self.interest * self.between)
        # A sheet that pays none of the metals brings the same at every price.
        nets = np.array(np.broadcast_arrays(*(one.at(prices) for one in self.heaps)))
        worth: Floats = (kept * nets - self.space[1]) / -np.expm1(-self.interest * self.between)
        return worth

    def worth_of_following(self, prices: Mapping[str, Amount]) -> Floats:
        """Give (…) V*, at least nothing."""
        if not self.heaps:
            return np.zeros(())
        found: Floats = np.maximum(self.following(prices).max(axis=(0, -1)), 0.0)
        return found

    def curves(self, prices: Mapping[str, Amount]) -> Floats:
        """Give (s, …, w) what sending at each week brings, −∞ where a sheet is no longer valid."""
        later = self.worth_of_following(prices)[..., None]
        kept = np.exp(-self.interest * self.weeks)
        curves = []
        for one, valid in zip(self.stock, self.open, strict=True):
            brought = kept * one.at(prices) - (1.0 - kept) * later - self.space[0]
            curves.append(np.where(valid, brought, -np.inf))
        return np.array(np.broadcast_arrays(*curves))


def outlook_of(
    setting: Setting, *, weeks: Floats | None = None, between: Floats | None = None
) -> Outlook:
    """Look ahead at every week, or at some.

    A sheet is used from its first day to its last, but later shipments are reckoned as if somebody
    always offered such terms.

    Args:
        setting: what is asked about.
        weeks: weeks to wait, from 0 on; every one up to five years where left out.
        between: weeks between later shipments; every one up to ten years where left out.
    """
    residues, adds = setting.residues, setting.making or _NOTHING_MADE
    wait = np.arange(MOST_WEEKS + 1.0) if weeks is None else weeks
    apart = np.arange(1.0, MOST_WEEKS_BETWEEN + 1.0) if between is None else between
    nothing = (0.0,) * len(residues.metals)
    empty = replace(
        residues, fine_g=nothing, covariance_g2=(nothing,) * len(nothing), received_g=0.0
    )
    heaps = () if setting.making is None else _stock(replace(setting, residues=empty), apart)
    days = [setting.day + timedelta(weeks=week) for week in wait.tolist()]
    valid = [[one.holds_on(then) for then in days] for one in setting.sheets]
    return Outlook(
        sheets=setting.sheets,
        weeks=wait,
        stock=_stock(setting, wait),
        between=apart,
        heaps=heaps,
        open=np.array(valid, dtype=np.bool_).reshape(len(valid), len(days)),
        space=(
            space_until(wait, residues.received_g, adds.weight_g, setting.circumstances),
            space_until(apart, 0.0, adds.weight_g, setting.circumstances),
        ),
        interest=weekly(setting.circumstances),
    )


def _stock(setting: Setting, weeks: Floats) -> tuple[ExpectedNet, ...]:
    """Give what is expected of the residues under each sheet after some weeks, (w,)."""
    parcel, doubts = grown(setting.residues, setting.making or _NOTHING_MADE, weeks)
    interest = setting.circumstances.interest
    return tuple(expected_under(one, parcel, doubts, interest) for one in setting.sheets)


def grown(
    residues: Residues,
    making: Making,
    weeks: Floats,
    fine_g: Mapping[str, Floats] | None = None,
) -> tuple[Parcel, dict[str, Amount]]:
    """Give the parcel after some weeks, with the means of its contents, and their doubts.

    With u the doubt of a content, v that of a week's making, and ρ how far the two are tied, the
    doubt after w weeks is √(u² + 2ρuvw + v²w²).

    Args:
        residues: as they stand.
        making: what is added.
        weeks: (w,) how long.
        fine_g: other estimates of some contents, (…, 1), the doubt about them as it is.
    """
    contents: dict[str, Amount] = {}
    doubts: dict[str, Amount] = {}
    for at, metal in enumerate(residues.metals):
        rate, rate_u = making.fine_g.get(metal, (0.0, 0.0))
        variance = residues.covariance_g2[at][at]
        shared = 2.0 * making.tied * np.sqrt(variance) * rate_u * weeks
        contents[metal] = (fine_g or {}).get(metal, residues.fine_g[at]) + rate * weeks
        doubts[metal] = np.sqrt(variance + shared + (rate_u * weeks) ** 2)
    received = residues.received_g + making.weight_g * weeks
    dry = None if residues.dry_share is None else residues.dry_share * received
    return Parcel(received, contents, dry, residues.not_known, residues.shares), doubts


def weekly(circumstances: Circumstances) -> float:
    """Give the cost of money as a share of it a week, never quite nothing."""
    return max(circumstances.interest, _LEAST_INTEREST) / WEEKS_A_YEAR


def space_until(
    weeks: Floats, first_g: float, adds_g: float, circumstances: Circumstances
) -> Floats:
    """Give the cost of space for a growing heap until some weeks from now, as an amount of today.

    ∫ c·(m + rt)·e^−it dt = c·m·(1 − e^−iw)/i + c·r·(1 − e^−iw(1 + iw))/i².
    """
    i = weekly(circumstances)
    gone = -np.expm1(-i * weeks)
    first = first_g * gone / i
    added = adds_g * (gone - i * weeks * np.exp(-i * weeks)) / i**2
    found: Floats = circumstances.space_per_kg_week / _GRAMS_PER_KG * (first + added)
    return found


def best_time(outlook: Outlook, setting: Setting) -> BestTime:
    """Give when to send the present stock, and how often after that.

    The outlook is that of the same setting, over every week from 0 on.
    """
    circumstances = setting.circumstances
    prices = circumstances.prices
    curves = outlook.curves(prices)
    curve = curves.max(axis=0) if len(curves) else np.zeros_like(outlook.weeks)
    week = int(np.argmax(curve))
    pays = len(curves) > 0 and float(curve[week]) > 0.0
    every = _every(outlook, prices)
    waiting = max(float(curve[0]), 0.0) * outlook.interest
    space = circumstances.space_per_kg_week * setting.residues.received_g / _GRAMS_PER_KG
    return BestTime(
        weeks=week if pays else None,
        sheet=outlook.sheets[int(np.argmax(curves[:, week]))] if pays else None,
        net=float(curve[week]) if pays else 0.0,
        curve=tuple(curve.tolist()),
        every_weeks=None if every is None else int(outlook.between[every[1]]),
        every_sheet=None if every is None else outlook.sheets[every[0]],
        following=float(outlook.worth_of_following(prices)),
        root=None if every is None else _square_root(outlook, every, setting),
        week_costs=waiting + space,
    )


def _every(outlook: Outlook, prices: Mapping[str, Amount]) -> tuple[int, int] | None:
    """Give the places of sheet and weeks of the best rhythm; None where none pays."""
    if not outlook.heaps:
        return None
    worth = outlook.following(prices)
    best = np.unravel_index(int(np.argmax(worth)), worth.shape)
    return (int(best[0]), int(best[1])) if worth[best] > 0.0 else None


def _square_root(outlook: Outlook, every: tuple[int, int], setting: Setting) -> SquareRoot | None:
    """Give the square-root rule for the best rhythm, from the line through its neighbourhood.

    The line goes through the net at half and at twice the best rhythm; the rule applies where the
    net at the best rhythm lies on it.
    """
    (sheet, at), circumstances = every, setting.circumstances
    net, weeks = outlook.heaps[sheet].at(circumstances.prices), outlook.between
    ends = [int(np.abs(weeks - weeks[at] * times).argmin()) for times in (0.5, 2.0)]
    run = float(weeks[ends[1]] - weeks[ends[0]])
    if run <= 0.0:
        return None
    slope = float(net[ends[1]] - net[ends[0]]) / run
    fixed = slope * float(weeks[ends[0]]) - float(net[ends[0]])
    adds = (setting.making or _NOTHING_MADE).weight_g
    holding = outlook.interest * slope
    holding += circumstances.space_per_kg_week * adds / _GRAMS_PER_KG
    if fixed <= 0.0 or holding <= 0.0:
        return None
    off = abs(slope * float(weeks[at]) - fixed - float(net[at]))
    return SquareRoot(
        fixed=fixed,
        value_per_year=slope * WEEKS_A_YEAR,
        weeks=float(np.sqrt(2.0 * fixed / holding)),
        applies=off <= _STRAIGHT * fixed,
    )
