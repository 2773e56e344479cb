"""Scales of doubts that grow with a content: that content as the first solution knows it.

A work that loses the share l ± s of its feed T loses it with the doubt s·T, and a word that is good
to a tenth is good to a tenth of what truly is there. Where T itself is known as x ± u, the variance
of what it scales is s²·E[T²] = s²·(x² + u²): the scale is the root of the mean square. It is never
nothing, and never the guess that stood there before the first solution.

T lies between nothing and its natural size d. So x counts cut to that, and u up to d/√12, which is
what "anywhere between nothing and d" has. Where nothing is known of T, d is no more than what the
work that made or used it was fed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from vault.core.turns import in_turns
from vault.reckoning.facts import NOBODY, Floats, sums
from vault.reckoning.nominal import added_of

if TYPE_CHECKING:
    from vault.reckoning.families import Family
    from vault.reckoning.row_pile import Ground, Rows

# No scale is less than this part of the natural size.
_LEAST = 1e-6
# How many works a bound is carried on; there and back along most books.
_MOST_SWEEPS = 40
_UNIFORM = 1.0 / np.sqrt(12.0)


def scale_of(x: Floats, u: Floats, most: Floats) -> Floats:
    """Give the root of the mean square of contents x ± u between nothing and the most they can be.

    Example: known well, below nothing, above the whole, and not known at all, each of 100 g.

    >>> import numpy as np
    >>> x, u = np.array([40.0, -3.0, 130.0, 20.0]), np.array([0.1, 2.0, 1.0, 1e6])
    >>> scale_of(x, u, np.full(4, 100.0)).round(2)
    array([ 40.  ,   2.  , 100.  ,  35.12])
    """
    found: Floats = np.hypot(np.clip(x, 0.0, most), np.minimum(u, _UNIFORM * most))
    return np.clip(found, _LEAST * most, most)


def rescaled(ground: Ground, rows: Rows, x: Floats, u: Floats) -> Ground:
    """Give the ground with the scales that a first solution of its rows, x ± u, gives."""
    scales = scale_of(x, u, _most_of(ground, rows, x, u))
    scales = np.maximum(scales, _LEAST * rows.size)
    fine = np.full(len(ground.facts.tags), np.nan)
    fine[rows.items] = scales[: len(rows.items)]
    feeds, part = ground.feeds.copy(), rows.feed != NOBODY
    feeds[part] = scales[rows.feed[part]]
    return replace(ground, fine=fine, feeds=feeds)


def estimates_of(rows: Rows, families: Iterable[Family]) -> tuple[Floats, Floats]:
    """Give every unknown of some rows with its doubt, as its family by itself knows it.

    With the guesses of the house factors and what the family says of them, without what other
    families teach: a family's figures are to hang on no other's scale.
    """
    x, u = np.zeros(len(rows.size)), np.zeros(len(rows.size))
    for family in in_turns(families):
        covariance = np.linalg.inv(np.eye(len(family.pull)) + family.information)
        mine, shift = family.system.unknowns, family.shift
        x[mine] = family.x0 + shift @ (covariance @ family.pull)
        variance = family.variances() + np.einsum("ik,kl,il->i", shift, covariance, shift)
        u[mine] = np.sqrt(np.maximum(variance, 0.0))
    return x, u


def _most_of(ground: Ground, rows: Rows, x: Floats, u: Floats) -> Floats:
    """Give the most that every unknown can be, in grams: its natural size or less.

    Of a lot that was sorted nobody may know what either heap holds; but neither holds more than the
    lot, which is known not to be over x + 2u.
    """
    facts = ground.facts
    unsure = u > _UNIFORM * rows.size
    most = np.where(unsure, rows.size, np.minimum(np.maximum(x, 0.0) + 2.0 * u, rows.size))
    added = np.nan_to_num(added_of(facts, ground.code)[0])
    count, part = len(rows.items), rows.feed != NOBODY
    by_item, by_work = np.zeros(len(facts.tags)), np.full(len(part) + 1, np.inf)
    for _ in range(_MOST_SWEEPS if unsure.any() else 0):
        before = most.copy()
        by_item[rows.items] = most[:count]
        fed = sums(facts.used.work, by_item[facts.used.item], len(part)) + added
        np.minimum.at(most, rows.feed[part], fed[part])
        by_work[:-1][part] = most[rows.feed[part]]
        # NOBODY is the last place, which bounds nothing.
        near = np.minimum(by_work[facts.maker[rows.items]], by_work[facts.user[rows.items]])
        most[:count] = np.minimum(most[:count], near)
        if np.array_equal(most, before):
            break
    return np.where(unsure, most, rows.size)
