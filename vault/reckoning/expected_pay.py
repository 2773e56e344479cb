"""Expected pay: the exact mean and variance of the payable metal where the content is doubtful.

The payable metal is a line s·x + c between breaks (`payable.py`), and nothing below the first of
them. With the content x normal, mean μ and standard deviation u, and α = (break − μ)/u, a piece
from α to β adds

    P = Φ(β) − Φ(α)
    M₁ = μP + u(φ(α) − φ(β))
    M₂ = (μ² + u²)P + 2μu(φ(α) − φ(β)) + u²(αφ(α) − βφ(β))

    E f = Σ s·M₁ + c·P        E f² = Σ s²·M₂ + 2sc·M₁ + c²·P

A content below zero is cut off here, in the payoff, and nowhere before.

Reference: moments of the truncated normal distribution, N. L. Johnson, S. Kotz, N. Balakrishnan,
Continuous Univariate Distributions, vol. 1, 2nd ed., Wiley 1994, section 13.10 (from memory).
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from scipy.special import ndtr

from vault.reckoning.facts import Floats
from vault.reckoning.payable import Amount, Pieces

_ROOT_2_PI = sqrt(2.0 * pi)
# A doubt below this share of the weight of things is none; the lines then give the value itself.
_NO_DOUBT = 1e-12


def expected_payable(pieces: Pieces, mean_g: Amount, u_g: Amount) -> Floats:
    """Give the expected payable metal in grams.

    Args:
        pieces: (k, …) the lines.
        mean_g: (…) of the content.
        u_g: (…) its standard uncertainty; where it is zero, the payable metal of the mean.

    Example: of a content of 0 ± 1 g, all paid, the mean of what is paid is 1/√(2π) g.

        >>> import numpy as np
        >>> one = Pieces(np.array([0.0]), np.array([1.0]), np.array([0.0]))
        >>> round(float(expected_payable(one, 0.0, 1.0)), 6)
        0.398942
    """
    return payable_moments(pieces, mean_g, u_g)[0]


def payable_moments(pieces: Pieces, mean_g: Amount, u_g: Amount) -> tuple[Floats, Floats]:
    """Give mean and variance of the payable metal, in grams and g²; arguments as above."""
    mean, u = np.asarray(mean_g, dtype=np.float64), np.asarray(u_g, dtype=np.float64)
    known = u <= _NO_DOUBT * (1.0 + np.abs(mean))
    spread = np.where(known, 1.0, u)
    alpha = (pieces.starts - mean) / spread
    phi = np.exp(-0.5 * alpha**2) / _ROOT_2_PI
    share = -_steps(ndtr(-alpha))
    edge = -_steps(phi)
    first = mean * share + spread * edge
    second = mean * first + spread**2 * share + spread * mean * edge
    second = second - spread**2 * _steps(alpha * phi)
    slopes, cuts = pieces.slopes, pieces.intercepts
    expected = np.sum(slopes * first + cuts * share, axis=0)
    squared = np.sum(slopes**2 * second + 2.0 * slopes * cuts * first + cuts**2 * share, axis=0)
    exact = _at(pieces, mean)
    return (
        np.where(known, exact, expected),
        np.where(known, 0.0, np.maximum(squared - expected**2, 0.0)),
    )


def _steps(values: Floats) -> Floats:
    """Give each value's successor less itself, along the pieces; nothing follows the last."""
    following: Floats = np.concatenate([values[1:], np.zeros_like(values[:1])])
    return following - values


def _at(pieces: Pieces, content: Floats) -> Floats:
    """Give the payable metal of an exact content."""
    ends = np.concatenate([pieces.starts[1:], np.full_like(pieces.starts[:1], np.inf)])
    here = (content >= pieces.starts) & (content < ends)
    lines = np.where(here, pieces.slopes * content + pieces.intercepts, 0.0)
    found: Floats = np.sum(lines, axis=0)
    return found
