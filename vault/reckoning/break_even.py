"""Break-even: the weight and the grade from which a parcel pays under a sheet.

The weight is searched at today's grade, the grade at today's weight with the metals in today's
proportion; doubts keep their share of the contents. What is told is the level from which on the
expected net never falls below nothing again, so that the fee of one drum more is no surprise.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import Setting
from vault.reckoning.expected_net import expected_under
from vault.reckoning.facts import Floats
from vault.reckoning.net_return import Parcel
from vault.reckoning.turns import doubts_of

# Searched within this factor of today's weight or grade, at so many levels, twice over.
_FARTHEST = 1000.0
_LEVELS = 301


def pays_from_g(setting: Setting, sheet: TermsSheet) -> float | None:
    """Give the weight in grams from which it pays at today's grade; None where it never does."""
    times = _even(lambda one: _expected(setting, sheet, weight=one, content=one))
    return None if times is None else times * setting.residues.received_g


def pays_from_grade(setting: Setting, sheet: TermsSheet) -> dict[str, float] | None:
    """Give the fine metal per mass from which it pays at today's weight; None where it never does.

    Of metals estimated at nothing or below nothing is said.
    """
    weight = setting.residues.received_g
    times = _even(lambda one: _expected(setting, sheet, weight=np.ones_like(one), content=one))
    if times is None or weight <= 0.0:
        return None
    contents = zip(setting.residues.metals, setting.residues.fine_g, strict=True)
    return {metal: times * grams / weight for metal, grams in contents if grams > 0.0}


def _expected(setting: Setting, sheet: TermsSheet, *, weight: Floats, content: Floats) -> Floats:
    """Give what is expected where weight and contents are so many times today's."""
    residues, costs = setting.residues, setting.circumstances
    received = residues.received_g * weight
    contents = dict(zip(residues.metals, residues.fine_g, strict=True))
    parcel = Parcel(
        received,
        {metal: grams * content for metal, grams in contents.items()},
        None if residues.dry_share is None else residues.dry_share * received,
        residues.not_known,
        residues.shares,
    )
    doubts = {metal: u * content for metal, u in doubts_of(setting).items()}
    return expected_under(sheet, parcel, doubts, costs.interest).at(costs.prices)


def _even(expected: Callable[[Floats], Floats]) -> float | None:
    """Give the times from which on the expected net stays at nothing or above."""
    levels = np.geomspace(1.0 / _FARTHEST, _FARTHEST, _LEVELS)
    for _ in range(2):
        losing = np.flatnonzero(expected(levels) < 0.0)
        if not len(losing):
            return float(levels[0])
        last = int(losing[-1])
        if last == len(levels) - 1:
            return None
        levels = np.linspace(levels[last], levels[last + 1], _LEVELS)
    return float(levels[-1])
