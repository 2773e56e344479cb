"""The border: house factors joined over all that was factored, and sums across families.

Every factored problem leaves a small triangle Rkk·κ = zk. Stacked over the handbook's word,
κ = 0 ± 1 for each factor and counted once for the whole shop, they give κ by one small QR:

    [ 1  | 0  ]
    [ Rkk| zk ]  …   →   R·κ = z,   Cκ = R⁻¹·R⁻ᵀ.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from vault.reckoning.balance.factored import Border, Budget, Factored, triangle_of
from vault.reckoning.balance.problem import Floats
from vault.reckoning.balance.threads import one_thread


def join(parts: Sequence[Factored], factor_sizes: Floats) -> Border:
    """Join factored problems of one shop; the order given is the order of the sums, to the bit.

    Args:
        parts: all families of the shop.
        factor_sizes: (k,) one standard uncertainty of each house factor's deviation.
    """
    k = len(factor_sizes)
    stacked = np.zeros((k + 1 + sum(len(one.border_rhs) for one in parts), k + 1))
    stacked[:k, :k] = np.eye(k)
    place = k
    for one in parts:
        after = place + len(one.border_rhs)
        stacked[place:after, :k] = one.border_triangle
        stacked[place:after, k] = one.border_rhs
        place = after
    with one_thread():
        triangle = triangle_of(stacked)
        inverse = np.linalg.inv(triangle[:k, :k])
    return Border(
        values=inverse @ triangle[:k, k],
        covariance=inverse @ inverse.T,
        chi_square=float(triangle[k, k] ** 2) + sum(one.chi_square for one in parts),
    )


def total(parts: Sequence[tuple[Factored, Floats]], border: Border) -> tuple[float, float]:
    """Give a sum over unknowns of several families and one standard uncertainty of it, grams.

        u²(t) = Σ |F′c|² + (Σ S′c)′·Cκ·(Σ S′c)

    Args:
        parts: factored problems, each once, with the coefficients (n,) of their unknowns.
        border: the house factors.
    """
    value, variance = 0.0, 0.0
    leaning = np.zeros(len(border.values))
    for one, coefficients in parts:
        own, lean = one.spread(coefficients)
        value += float(coefficients @ one.start)
        variance += own
        leaning = leaning + lean
    value += float(leaning @ border.values)
    variance += max(float(leaning @ border.covariance @ leaning), 0.0)
    return value, float(np.sqrt(variance))


def budget_of_total(parts: Sequence[tuple[Factored, Floats]], border: Border) -> list[Budget]:
    """Give the budget of a sum across families, one for each part.

    The shares of all rows of all parts and of the factors add up to one; each part repeats the
    same shares of factors, since the handbook's word is counted once.

    Args:
        parts: factored problems, each once, with the coefficients (n,) of their unknowns.
        border: the house factors.
    """
    _, u = total(parts, border)
    leaning = np.zeros(len(border.values))
    for one, coefficients in parts:
        leaning = leaning + one.lean.T @ coefficients
    return [
        one.budget(coefficients, border, leaning=leaning, variance=u**2)
        for one, coefficients in parts
    ]


def factor_deviations(border: Border, factor_sizes: Floats) -> tuple[Floats, Floats]:
    """Give the factors' deviations δk = s·κ and their covariance, in the unit of the factors.

    Args:
        border: the house factors in their own sizes.
        factor_sizes: (k,) s.

    Returns:
        δk (k,) and covariance (k, k).
    """
    return factor_sizes * border.values, np.outer(factor_sizes, factor_sizes) * border.covariance


def degrees_of_freedom(redundancies: Floats, border: Border) -> float:
    """Give the degrees of freedom of the whole, Σρ over all rows + Σ(1 − Cκ_cc) over factors.

    Args:
        redundancies: ρ of the rows of all families, from their row statistics.
        border: the house factors.
    """
    return float(redundancies.sum() + (1.0 - np.diagonal(border.covariance)).sum())
