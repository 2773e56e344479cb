"""Draws: the same fixed set of possible worlds for every option of a choice.

A latin hypercube: each quantity is drawn once from each of n equally likely slices of a normal
distribution, in an order of its own. The draws are then turned so that their mean is 0 and their
covariance the unit matrix, both exactly; whatever is linear therefore comes out exactly. Seed and
generator are fixed, so that the same question has the same answer to the last bit.

Contents are not cut at zero here: that happens where they are paid for.

Reference: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239 (from memory).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import ndtri

from vault.reckoning.facts import Floats

_SEED = 20_290_314


@lru_cache(maxsize=8)
def normal_draws(count: int, quantities: int) -> Floats:
    """Give standard normal draws, not to be written to.

    Args:
        count: how many draws, more than quantities.
        quantities: how many independent quantities.

    Returns:
        (quantities, count); mean 0, covariance the unit matrix, exactly.
    """
    # The raw stream of the bit generator is promised to stay as it is; what numpy's generators make
    # of it is not.
    raw = np.random.PCG64(_SEED).random_raw(count * quantities).reshape(quantities, count)
    order = np.argsort(raw, axis=1, kind="stable")
    drawn = ndtri((order + 0.5) / count)
    drawn -= drawn.mean(axis=1, keepdims=True)
    turned: Floats = np.linalg.solve(np.linalg.cholesky(drawn @ drawn.T / count), drawn)
    turned.flags.writeable = False
    return turned


def jointly(mean: Floats, covariance: Floats, drawn: Floats) -> Floats:
    """Give draws of a normal vector.

    Args:
        mean: (m,) its mean.
        covariance: (m, m); may be singular.
        drawn: (m, n) standard normal draws.

    Returns:
        (m, n).
    """
    return mean[:, None] + root_of(covariance) @ drawn


def root_of(covariance: Floats) -> Floats:
    """Give a matrix A with A·A′ = C, also where C is singular; what rounding left below 0 is 0."""
    values, vectors = np.linalg.eigh(covariance)
    root: Floats = vectors * np.sqrt(np.maximum(values, 0.0))
    return root


def prices_at(price: float, spread: float, years: float, drawn: Floats) -> Floats:
    """Give draws of a price after some years: lognormal, its mean the price of today.

    Args:
        price: today, for a gram.
        spread: relative standard deviation s over a year; the logarithm has σ² = ln(1 + s²).
        years: until it is fixed.
        drawn: (n,) standard normal draws.
    """
    variance = np.log1p(spread**2) * years
    found: Floats = price * np.exp(np.sqrt(variance) * drawn - variance / 2.0)
    return found
