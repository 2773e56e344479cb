"""Rows of what settlements agreed of several items together: their sum is the figure agreed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.core.metals import ALL_SYMBOLS
from vault.reckoning.facts import NOBODY, Bools, Facts, Floats, sums
from vault.reckoning.row_pile import Pile, RowKind
from vault.reckoning.weights import Weights


@dataclass(frozen=True, slots=True)
class Weightless:
    """A whole that says nothing, since no weight is known that its share is a share of.

    Attributes:
        tags: its items, those first that nothing gives a weight for.
        entries: the settlement.
        ref: the shipment.
        metal: its symbol.
    """

    tags: tuple[str, ...]
    entries: tuple[int, ...]
    ref: str
    metal: str


def write_wholes(pile: Pile) -> None:
    """Write Σ x = y for every whole of the metal that has a weight."""
    ground = pile.ground
    wholes = ground.facts.wholes
    grams, doubt = agreed_grams(ground.facts, ground.weights)
    rows = np.flatnonzero((wholes.metal == ground.code) & ~np.isnan(grams))
    if not len(rows):
        return
    rank = np.full(len(wholes.metal), NOBODY, dtype=np.int64)
    rank[rows] = np.arange(len(rows))
    mine = rank[wholes.whole] != NOBODY
    group, item = rank[wholes.whole[mine]], wholes.item[mine]
    family = np.empty(len(rows), dtype=np.int64)
    family[group] = ground.item_family[item]
    group, term = pile.fold(
        group, pile.unknown_of[item], family=family, subject=rows, kind=RowKind.WHOLE
    )
    pile.put(
        RowKind.WHOLE,
        [(group, term, np.ones(len(group)))],
        y=grams[rows],
        u=doubt[rows],
        subject=rows,
        family=family,
    )


def agreed_grams(facts: Facts, weights: Weights) -> tuple[Floats, Floats]:
    """Give the grams agreed of every whole and their doubt; NaN where the weight is not known.

    A share without a weight is one of the weight of all the items, where it is the only share.
    """
    wholes, count = facts.wholes, len(facts.wholes.metal)
    own_g = sums(wholes.whole, weights.gross_g[wholes.item], count)
    own_var = sums(wholes.whole, weights.u_g[wholes.item] ** 2, count)
    several = np.bincount(wholes.of, minlength=count) > 1
    own_g[several] = np.nan
    own = np.isnan(wholes.gross_g)
    gross = np.where(own, own_g[wholes.of], wholes.gross_g)
    # A weight that came with the saying: a display step of its last printed digit or so.
    variance = np.where(own, own_var[wholes.of], (1e-4 * gross + 0.003) ** 2)
    grams = sums(wholes.of, gross * wholes.share, count)
    var = sums(wholes.of, (gross * wholes.u) ** 2 + wholes.share**2 * variance, count)
    return grams, np.sqrt(var)


def weightless_wholes(facts: Facts, weights: Weights) -> list[Weightless]:
    """Give the wholes that cannot be counted."""
    wholes = facts.wholes
    found = []
    for at in np.flatnonzero(np.isnan(agreed_grams(facts, weights)[0])).tolist():
        items = wholes.item[wholes.whole == at]
        lacking = np.isnan(weights.gross_g[items])
        tags = [facts.tags[one] for one in (*items[lacking], *items[~lacking])]
        metal = ALL_SYMBOLS[int(wholes.metal[at])]
        found.append(Weightless(tuple(tags), (int(wholes.entry[at]),), wholes.refs[at], metal))
    return found


def settled_alone(facts: Facts, metal: int) -> Bools:
    """Tell which items are the only one of a whole of a metal: what is agreed of it is theirs."""
    wholes = facts.wholes
    only = np.bincount(wholes.whole, minlength=len(wholes.metal)) == 1
    found = np.zeros(len(facts.tags), dtype=bool)
    found[wholes.item[only[wholes.whole] & (wholes.metal == metal)[wholes.whole]]] = True
    return found
