"""Shortfalls of weight: what is lighter than the book says, before any metal is looked at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot

import numpy as np

from vault.core.items import Item, Weighing
from vault.core.turns import in_turns
from vault.reckoning.closure import LIMIT, closing_limit_g
from vault.reckoning.facts import PROCESSES, Facts, sums
from vault.reckoning.guesses import COLD, MOLTEN, closing_share, weight_u
from vault.reckoning.weights import Weights

_CLOSES = np.array([process in COLD | MOLTEN for process in PROCESSES])
_MOLTEN = np.array([process in MOLTEN for process in PROCESSES])
_CLOSING = np.array([closing_share(process) for process in PROCESSES])


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A weight that is not what the book lets expect.

    Attributes:
        tags: the items it is about.
        entries: the entries that say the two weights.
        expected_g, found_g: the two weights.
        u_g: one standard uncertainty of their difference.
        reweighed: whether one item was weighed twice; else a work does not close.
    """

    tags: tuple[str, ...]
    entries: tuple[int, ...]
    expected_g: float
    found_g: float
    u_g: float
    reweighed: bool


def reweighed_lighter(items: Iterable[Item]) -> list[Shortfall]:
    """Give the items whose last weighing says clearly less than the one before."""
    found = []
    for item in in_turns(items):
        if len(item.weighings) < 2:
            continue
        before, after = item.weighings[-2:]
        expected, grams = before.gross.grams, after.gross.grams
        u = hypot(_doubt(before), _doubt(after))
        if expected - grams > LIMIT * u:
            entries = (before.entry, after.entry)
            found.append(Shortfall((item.tag,), entries, expected, grams, u, reweighed=True))
    return found


def unclosed_works(facts: Facts, weights: Weights) -> list[Shortfall]:
    """Give the cold works and melts whose weights, all off the scale, clearly do not close."""
    works, used, made = facts.works, facts.used, facts.made
    count = len(works.number)
    # In the crucible a flux has lost its gas; on the table a thing added weighs what it did.
    joined = np.where(_MOLTEN[works.process], works.left_g, works.cold_g)
    put_in = sums(used.work, weights.gross_g[used.item], count) + joined
    out = sums(made.work, weights.gross_g[made.item], count)
    weighed = sums(used.work, ~weights.known[used.item], count) == 0
    weighed &= sums(made.work, ~weights.known[made.item], count) == 0
    variance = sums(used.work, weights.u_g[used.item] ** 2, count)
    variance += sums(made.work, weights.u_g[made.item] ** 2, count)
    limit = closing_limit_g(put_in, variance, _CLOSING[works.process])
    short = weighed & _CLOSES[works.process] & (np.abs(put_in - out) > limit)
    found = np.flatnonzero(short)
    # Edges stand in the order of the works, so each work's products are one slice.
    starts, ends = np.searchsorted(made.work, [found, found + 1])
    return [
        Shortfall(
            tuple(facts.tags[at] for at in made.item[start:end].tolist()),
            (int(works.number[work]),),
            float(put_in[work]),
            float(out[work]),
            float(limit[work]) / LIMIT,
            reweighed=False,
        )
        for work, start, end in zip(found.tolist(), starts.tolist(), ends.tolist(), strict=True)
    ]


def _doubt(weighing: Weighing) -> float:
    return weight_u(weighing.gross.grams) if weighing.u is None else weighing.u.grams
