"""Weights of what was not weighed: worked out from the works around it, before the metals.

What a scale said stands as it is. An item without a weight gets one from the closure of the work
that made it, or else of the work that used it: what went in, with fluxes after their gas, lead as
litharge and the new cupel, against what came out. The doubt is honest and wide; where two items of
one work have no weight, each lies anywhere up to what is left. An item that no closure reaches
stays without a weight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import PROCESSES, Bools, Facts, Floats, sums
from vault.reckoning.guesses import COLD, MOLTEN, closing_share

_CLOSING = np.array([closing_share(process) for process in PROCESSES])
_BURNS = np.array([process is Process.BURN_OFF for process in PROCESSES])
_FIRE = np.array([process not in COLD | MOLTEN for process in PROCESSES])
# What a burn-off leaves of its feed, where nobody weighed it (common practice, no source).
LEFT_BY_BURNING, LEFT_BY_BURNING_U = 0.6, 0.25
# The least that an item without a weight is taken to weigh, as a share of its work's feed.
_LEAST_SHARE = 0.01
_UNIFORM = 1.0 / np.sqrt(12.0)


@dataclass(frozen=True, slots=True)
class Weights:
    """Weight of every item.

    Attributes:
        gross_g, u_g: grams and one standard uncertainty, NaN where nothing says.
        known: whether it was read off a scale.
    """

    gross_g: Floats
    u_g: Floats
    known: Bools


def weights_of(facts: Facts) -> Weights:
    """Give every item its weight: off the scale, or from the closure of the works around it."""
    gross, u = facts.gross_g.copy(), facts.gross_u_g.copy()
    known = ~np.isnan(gross)
    missing = int((~known).sum())
    while missing:
        _from_makers(facts, gross, u)
        _from_users(facts, gross, u)
        left = int(np.isnan(gross).sum())
        if left == missing:
            break
        missing = left
    return Weights(gross, u, known)


def _from_makers(facts: Facts, gross: Floats, u: Floats) -> None:
    """Fill in made items of works whose whole feed has a weight."""
    works, used, made = facts.works, facts.used, facts.made
    count = len(works.number)
    feed = sums(used.work, gross[used.item], count)
    feed_var = sums(used.work, u[used.item] ** 2, count)
    lacking = np.isnan(gross[made.item])
    out = sums(made.work, np.where(lacking, 0.0, gross[made.item]), count)
    lack = sums(made.work, lacking, count)
    burns = _BURNS[works.process]
    total = np.where(burns, LEFT_BY_BURNING * feed, feed) + works.left_g
    spread = np.where(burns, LEFT_BY_BURNING_U * feed, _CLOSING[works.process] * total)
    rest = np.maximum(total - out, _LEAST_SHARE * total)
    each = rest / np.maximum(lack, 1)
    doubt = np.sqrt(spread**2 + feed_var + np.where(lack > 1, (rest * _UNIFORM) ** 2, 0.0))
    doubt = np.where(_open_ended(facts), np.maximum(doubt, rest * _UNIFORM), doubt)
    _fill(gross, u, made.item[lacking], each[made.work[lacking]], doubt[made.work[lacking]])


def _open_ended(facts: Facts) -> Bools:
    """Tell for which works no metal at all was weighed, so that metal and slag cannot be told."""
    made, count = facts.made, len(facts.works.number)
    aims = facts.kind[made.item] < 0
    weighed_aims = sums(made.work, aims & ~np.isnan(facts.gross_g[made.item]), count)
    open_ended: Bools = (
        _FIRE[facts.works.process] & ~_BURNS[facts.works.process] & (weighed_aims == 0)
    )
    return open_ended


def _from_users(facts: Facts, gross: Floats, u: Floats) -> None:
    """Fill in used items of works all of whose products have a weight."""
    works, used, made = facts.works, facts.used, facts.made
    count = len(works.number)
    out = sums(made.work, gross[made.item], count)
    out_var = sums(made.work, u[made.item] ** 2, count)
    lacking = np.isnan(gross[used.item])
    feed = sums(used.work, np.where(lacking, 0.0, gross[used.item]), count)
    lack = sums(used.work, lacking, count)
    burns = _BURNS[works.process]
    total = np.where(burns, out / LEFT_BY_BURNING, out - works.left_g)
    spread = np.where(
        burns, LEFT_BY_BURNING_U / LEFT_BY_BURNING * total, _CLOSING[works.process] * out
    )
    rest = np.maximum(total - feed, _LEAST_SHARE * out)
    each = rest / np.maximum(lack, 1)
    doubt = np.sqrt(spread**2 + out_var + np.where(lack > 1, (rest * _UNIFORM) ** 2, 0.0))
    _fill(gross, u, used.item[lacking], each[used.work[lacking]], doubt[used.work[lacking]])


def _fill(gross: Floats, u: Floats, items: np.ndarray, grams: Floats, doubt: Floats) -> None:
    fits = ~np.isnan(grams)
    gross[items[fits]] = grams[fits]
    u[items[fits]] = doubt[fits]
