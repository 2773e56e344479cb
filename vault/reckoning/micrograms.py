"""Whole micrograms: how figures are rounded so that what is shown adds up to what is shown.

The figure of an item is its estimate rounded to the microgram, and every total is the sum of such
figures; so all totals add up in every grouping. Only what splits an item, such as whose its metal
is, is rounded to fit.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from vault.core.fineness import WHOLE_PPB
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places, Total

Key = TypeVar("Key", bound=Hashable)

PER_GRAM = 1_000_000


def micrograms(grams: float) -> int:
    """Round grams to the nearest whole microgram."""
    return round(grams * PER_GRAM)


def shown(contents: Contents, metal: str) -> NDArray[np.int64]:
    """Give the figure shown for every item, by place; zero where absent or not known."""
    balance = contents.balances[metal]
    known = (balance.how != ABSENT) & (balance.how != NOT_KNOWN_CODE)
    grams = np.where(known, balance.estimates, 0.0)
    figures: NDArray[np.int64] = np.rint(grams * PER_GRAM).astype(np.int64)
    return figures


def figure_of(total: Total, fine_ug: int) -> Figure:
    """Give a total as it is shown, of the sum of its items' figures; None where none is known."""
    if total.how is How.NOT_KNOWN:
        return NOTHING_KNOWN
    return Figure(fine_ug, micrograms(total.u_g), total.how)


def figures_of_item(contents: Contents, tag: str) -> dict[str, Figure]:
    """Give the figure of every metal that anything is said of in an item."""
    return {
        metal: Figure(micrograms(one.fine_g), micrograms(one.u_g), one.how)
        if one.determinable
        else NOTHING_KNOWN
        for metal, one in contents.of(tag).items()
    }


def at_best_worked_out(how: How) -> How:
    """Give how something is known that is worked out, in part from what is known like this."""
    return How.DECLARED if how is How.DECLARED else How.WORKED_OUT


def sum_of(figures: NDArray[np.int64], places: Places) -> int:
    """Sum figures over some places, exactly."""
    return int(figures[places].sum())


def shared_out(parts: Mapping[Key, float], total_ug: int) -> dict[Key, int]:
    """Round parts in grams to whole micrograms that add up to a total (largest remainder).

    Example:
        >>> shared_out({"a": 0.0000014, "b": 0.0000014, "c": 0.0000012}, 4)
        {'a': 2, 'b': 1, 'c': 1}
    """
    if not parts:
        return {}
    exact = {key: grams * PER_GRAM for key, grams in parts.items()}
    whole = {key: math.floor(amount) for key, amount in exact.items()}
    each, more = divmod(total_ug - sum(whole.values()), len(parts))
    # Remainders equal but for the noise of floats go by order, so that the last part gives way.
    by_remainder = sorted(exact, key=lambda key: round(whole[key] - exact[key], 3))
    for rank, key in enumerate(by_remainder):
        whole[key] += each + (rank < more)
    return whole


def fineness_ppb(fine_ug: int | None, gross_ug: int | None) -> int | None:
    """Give fine metal per mass in ppb, cut to what is possible; None where either is not known.

    >>> fineness_ppb(925_000, 1_000_000), fineness_ppb(-3, 10), fineness_ppb(None, 10)
    (925000000, 0, None)
    """
    if fine_ug is None or not gross_ug:
        return None
    return min(max(round(fine_ug * WHOLE_PPB / gross_ug), 0), WHOLE_PPB)
