"""Cupellation: the lead it wants, and the silver that the cupel keeps."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vault.reckoning.handbook import handbook

Floats = NDArray[np.float64]


def lead_wanted(copper_share: float) -> tuple[float, float]:
    """Give parts of lead wanted for one part of silver alloy, as a range, by its copper.

    Linear between the rows of the published table; below its first row the first row holds.

    Example:
        >>> lead_wanted(0.10)
        (8.0, 8.0)
        >>> lead_wanted(0.75)
        (16.0, 18.0)
    """
    table = handbook("cupels")["lead_wanted"]
    percent = 100.0 * copper_share
    low = np.interp(percent, table["copper_percent"], table["parts_low"])
    high = np.interp(percent, table["copper_percent"], table["parts_high"])
    return float(low), float(high)


def lead_wanted_for_gold(copper_share: float) -> tuple[float, float]:
    """Give parts of lead wanted for one part of gold bullion, as a range, by its copper.

    Linear between the published steps, from the single amount at no copper.

    Example:
        >>> lead_wanted_for_gold(0.20), lead_wanted_for_gold(0.90)
        ((16.0, 16.0), (32.0, 32.0))
    """
    table = handbook("cupels")["lead_wanted_gold"]
    copper, times = [0.0, *table["copper_percent"]], [1.0, *table["times"]]
    parts = float(table["parts"] * np.interp(100.0 * copper_share, copper, times))
    return parts, parts


def silver_lost_mg(silver_mg: float, lead_g: float) -> float:
    """Give the silver that a bone-ash cupel takes, in mg, after the fit to the published rows.

    loss = 0.1545 · W^0.637 · (Pb / 20)^0.422, W mg of silver and Pb g of lead.

    Example:
        >>> round(silver_lost_mg(400.0, 20.0), 2)
        7.02
    """
    fit = handbook("cupels")["silver_fit"]
    by_lead = (lead_g / fit["lead_g"]) ** fit["lead_power"]
    return float(fit["factor"] * silver_mg ** fit["silver_power"] * by_lead)


def silver_share_kept(silver_g: Floats, lead_g: Floats, feed_g: Floats) -> Floats:
    """Give the share of the silver fed that cupels are first guessed to keep, one per work.

    Where no lead was weighed (0 g), four parts of it to one of the feed are taken. The fit is
    kept within its handbook limits, since a shop's beads lie far outside the published rows.
    """
    fit = handbook("cupels")["silver_fit"]
    silver_mg = np.maximum(silver_g, 1e-3) * 1000.0
    lead = np.maximum(np.where(lead_g > 0.0, lead_g, fit["lead_parts"] * feed_g), 1e-3)
    by_lead = (lead / fit["lead_g"]) ** fit["lead_power"]
    share = fit["factor"] * silver_mg ** (fit["silver_power"] - 1.0) * by_lead
    kept: Floats = np.clip(share, fit["least_share"], fit["most_share"])
    return kept
