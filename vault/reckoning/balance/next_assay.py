"""The next assay: how much surer a sum becomes by assaying one thing, or several together.

If thing i is assayed with uncertainty u_i, the variance of the sum t = Σ c·x falls by

    w_i²/(C_ii + u_i²),   w = C·c,

and for a bundle B by w_B′·(C_BB + U_B)⁻¹·w_B, U_B the diagonal of u². The slag and the cupel of one
well-known bag know much of each other: the first assay of the pair then gains little and the second
much, so pairs are worth asking for as pairs. What is gained does not depend on what is found.

Reference: the conditional covariance of a normal vector, e.g. C. R. Rao, Linear Statistical
Inference and Its Applications, 2nd ed., Wiley 1973, section 8a.2.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from vault.reckoning.balance.factored import Border, Factored
from vault.reckoning.balance.problem import Floats


def after_one(
    variance: float, with_sum: Floats, uncertainties: Floats, assay: Floats | float
) -> Floats:
    """Give the uncertainty of a sum after assaying each of some things alone, grams.

    Args:
        variance: u²(t) now, g².
        with_sum: (…) w_i, covariance of each thing with the sum, g².
        uncertainties: (…) √C_ii of each thing, grams.
        assay: u_i of the assay of each thing, grams.

    Returns:
        u(t) after each assay, shape (…).

    Example: the sum of two things, each ± 1 g on its own, after an exact assay of one is ± 1 g.

    >>> import numpy as np
    >>> after_one(2.0, np.array([1.0]), np.array([1.0]), 0.0)
    array([1.])
    """
    spread = uncertainties**2 + np.square(assay)
    gain = np.divide(with_sum**2, spread, out=np.zeros_like(spread), where=spread > 0.0)
    return np.sqrt(np.maximum(variance - gain, 0.0))


def after_bundle(
    variance: float, with_sum: Floats, covariance: Floats, assay: Sequence[float] | Floats
) -> float:
    """Give the uncertainty of a sum after assaying several things, grams.

    Args:
        variance: u²(t) now, g².
        with_sum: (b,) w_B, covariance of each thing with the sum, g².
        covariance: (b, b) C_BB of the things, g².
        assay: (b,) u of each assay, grams; above 0, or the things not tied by an exact balance.
    """
    inner = covariance + np.diag(np.square(np.asarray(assay, dtype=np.float64)))
    gain = float(with_sum @ np.linalg.solve(inner, with_sum))
    return float(np.sqrt(max(variance - gain, 0.0)))


def covariance_among(solved: Factored, unknowns: Sequence[int], border: Border) -> Floats:
    """Give the covariance among a few unknowns of one factored problem, (b, b), g².

    Args:
        solved: the problem.
        unknowns: which of its unknowns; one solve for each.
        border: the house factors.
    """
    found = np.empty((len(unknowns), len(unknowns)))
    for place, unknown in enumerate(unknowns):
        alone = np.zeros(solved.unknowns)
        alone[unknown] = 1.0
        found[place] = solved.covariance_with(alone, border)[list(unknowns)]
    symmetric: Floats = (found + found.T) / 2.0
    return symmetric
