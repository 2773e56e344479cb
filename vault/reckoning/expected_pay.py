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
    return _Normal(pieces, mean_g, u_g).expected()


def payable_moments(pieces: Pieces, mean_g: Amount, u_g: Amount) -> tuple[Floats, Floats]:
    """Give mean and variance of the payable metal, in grams and g²; arguments as above."""
    content = _Normal(pieces, mean_g, u_g)
    return content.expected(), content.variance()


class _Normal:
    """A normal content over some pieces, cut up at their breaks."""

    def __init__(self, pieces: Pieces, mean_g: Amount, u_g: Amount) -> None:
        self.pieces = pieces
        self.mean, u = np.asarray(mean_g, dtype=np.float64), np.asarray(u_g, dtype=np.float64)
        self.known = u <= _NO_DOUBT * (1.0 + np.abs(self.mean))
        self.u = np.where(self.known, 1.0, u)
        self.alpha = (pieces.starts - self.mean) / self.u
        self.phi = np.exp(-0.5 * self.alpha**2) / _ROOT_2_PI
        self.share = -_steps(ndtr(-self.alpha))
        self.first = self.mean * self.share - self.u * _steps(self.phi)

    def expected(self) -> Floats:
        lines = self.pieces.slopes * self.first + self.pieces.intercepts * self.share
        return np.where(self.known, _at(self.pieces, self.mean), np.sum(lines, axis=0))

    def variance(self) -> Floats:
        slopes, cuts = self.pieces.slopes, self.pieces.intercepts
        second = self.mean * self.first + self.u**2 * (self.share - _steps(self.alpha * self.phi))
        second = second - self.u * self.mean * _steps(self.phi)
        squares = slopes**2 * second + 2.0 * slopes * cuts * self.first + cuts**2 * self.share
        found = np.sum(squares, axis=0) - self.expected() ** 2
        return np.where(self.known, 0.0, np.maximum(found, 0.0))


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
