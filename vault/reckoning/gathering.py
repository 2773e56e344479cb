"""Gathering: how fast residues of one kind come together in this shop.

Over the whole weeks before a day, with m_w what was made in week w and W weeks,

    rate = Σ m_w / W,   u² = s²/W + (u_Σ/W)²,   s² the variance of the m_w

so that a shop that cupels once a month says less of its rate than one that cupels daily, and what
is not known of the contents (u_Σ, with the covariance of the items) is in it as well. Weeks before
the first thing ever made of the kind do not count. Items of which a metal is not known are left
out of that metal's rate, and counted.

Reference: standard error of a mean and root of summed variances, JCGM 100:2008 (GUM), 4.2.3 and
5.1.2.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from vault.core.items import Item
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places
from vault.reckoning.facts import Floats

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class Rate:
    """So much a week, and its standard uncertainty, in grams."""

    grams: float
    u_g: float


@dataclass(frozen=True, slots=True)
class Gathering:
    """How fast residues gather.

    Attributes:
        weeks: whole weeks looked at; none where nothing was made.
        items: how many were made in them.
        weight: on the scale, by week; those not weighed with the weight worked out for them.
        fine: fine metal by week, for each metal that is known in any of them.
        not_weighed: how many have no weight, not even one worked out.
        not_known: by metal, how many are left out of its rate.
    """

    weeks: int
    items: int
    weight: Rate
    fine: Mapping[str, Rate]
    not_weighed: int
    not_known: Mapping[str, int]


def gathering_of(
    items: Sequence[Item], contents: Contents, *, until: date, most_weeks: int
) -> Gathering:
    """Give how fast such items were made in the weeks up to and with a day.

    Args:
        items: all that were ever made of the kind, wherever they are now.
        contents: a reckoned book.
        until: the last day looked at.
        most_weeks: how far to look back.
    """
    ages = [(until - one.made_on).days for one in items]
    weeks = min(most_weeks, max(ages, default=-1) // DAYS_A_WEEK + 1)
    seen = [
        (one, age // DAYS_A_WEEK)
        for one, age in zip(items, ages, strict=True)
        if 0 <= age < weeks * DAYS_A_WEEK
    ]
    week = np.array([at for _, at in seen], dtype=np.int64)
    places = contents.places(one.tag for one, _ in seen)
    gross = contents.gross_g[places]
    weighed = ~np.isnan(gross)
    doubt = float(np.sqrt(np.square(contents.gross_u_g[places][weighed]).sum()))
    fine: dict[str, Rate] = {}
    not_known: dict[str, int] = {}
    for metal, balance in contents.balances.items():
        codes = balance.how[places]
        known = (codes != ABSENT) & (codes != NOT_KNOWN_CODE)
        if left_out := int((codes == NOT_KNOWN_CODE).sum()):
            not_known[metal] = left_out
        if known.any():
            total = contents.total((one.tag for one, _ in seen), metal)
            grams = balance.estimates[places][known]
            fine[metal] = _rate(grams, week[known], weeks, total.u_g)
    return Gathering(
        weeks=max(weeks, 0),
        items=len(seen),
        weight=_rate(gross[weighed], week[weighed], weeks, doubt),
        fine=fine,
        not_weighed=int((~weighed).sum()),
        not_known=not_known,
    )


def _rate(grams: Floats, week: Places, weeks: int, u_g: float) -> Rate:
    """Give the mean of weekly sums and its uncertainty; one week says nothing of its scatter."""
    if weeks <= 0:
        return Rate(0.0, 0.0)
    sums = np.bincount(week, weights=grams, minlength=weeks)
    scatter = float(sums.var(ddof=1)) / weeks if weeks > 1 else float(sums.sum()) ** 2
    return Rate(float(sums.sum()) / weeks, float(np.sqrt(scatter + (u_g / weeks) ** 2)))
