"""An independent way to the same answers: the whole of a problem in exact fractions.

All unknowns and factors of all rows in one matrix, exact rows by Lagrange multipliers,

    [ N  H' ] [x]   [b]
    [ H  0  ] [λ] = [y],

inverted by elimination in `Fraction`, so that no rounding can be blamed for a difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from vault.reckoning.balance.problem import Problem

Floats = NDArray[np.float64]
VAGUE = Fraction(1, 10**8)


@dataclass
class Exact:
    """Estimates and covariance over unknowns and factors (in grams and in units of k); J; rows."""

    x: Floats
    covariance: Floats
    chi_square: float
    redundancy: Floats
    z: Floats
    correction: Floats


def exact_balance(problem: Problem) -> Exact:
    n, k = problem.unknowns, problem.factors
    rows = [[Fraction(0)] * (n + k) for _ in range(problem.rows)]
    for row, column, c in zip(
        problem.place_rows.tolist(),
        problem.columns.tolist(),
        problem.coefficients.tolist(),
        strict=True,
    ):
        rows[row][column] += Fraction(c)
    y = [Fraction(one) for one in problem.values.tolist()]
    u = [Fraction(one) for one in problem.uncertainties.tolist()]
    hard = [j for j in range(problem.rows) if u[j] == 0]
    soft = [j for j in range(problem.rows) if u[j] != 0]
    prior = [VAGUE / Fraction(d) ** 2 for d in problem.sizes.tolist()]
    prior += [1 / Fraction(s) ** 2 for s in problem.factor_sizes.tolist()]
    span = n + k + len(hard)
    matrix = [[Fraction(0)] * span for _ in range(span)]
    right = [Fraction(0)] * span
    for i, one in enumerate(prior):
        matrix[i][i] = one
    for j in soft:
        reached = [i for i in range(n + k) if rows[j][i]]
        for i in reached:
            right[i] += rows[j][i] * y[j] / u[j] ** 2
            for other in reached:
                matrix[i][other] += rows[j][i] * rows[j][other] / u[j] ** 2
    for place, j in enumerate(hard, start=n + k):
        right[place] = y[j]
        for i in range(n + k):
            matrix[i][place] = matrix[place][i] = rows[j][i]
    inverse = _inverse(matrix)
    found = [sum(a * b for a, b in zip(line, right, strict=True) if b) for line in inverse]
    x = found[: n + k]
    misfit = [
        y[j] - sum(c * one for c, one in zip(rows[j], x, strict=True)) for j in range(problem.rows)
    ]
    redundancy, z, correction = np.zeros((3, problem.rows))
    for j in soft:
        reached = [i for i in range(n + k) if rows[j][i]]
        inner = sum(rows[j][a] * inverse[a][b] * rows[j][b] for a in reached for b in reached)
        free = 1 - inner / u[j] ** 2
        redundancy[j] = float(free)
        z[j] = float(misfit[j]) / (float(u[j]) * float(free) ** 0.5)
        correction[j] = float(misfit[j] / free)
    for place, j in enumerate(hard, start=n + k):
        # The multiplier pulls the row back, so it has the sign of −r; its variance is −(K⁻¹)jj.
        variance = -inverse[place][place]
        z[j] = -float(found[place]) / float(variance) ** 0.5
        correction[j] = -float(found[place] / variance)
    chi = sum((misfit[j] / u[j]) ** 2 for j in soft)
    chi += sum(one * v**2 for one, v in zip(prior[n:], x[n:], strict=True))
    return Exact(
        x=np.array([float(one) for one in x]),
        covariance=np.array([[float(one) for one in line[: n + k]] for line in inverse[: n + k]]),
        chi_square=float(chi),
        redundancy=redundancy,
        z=z,
        correction=correction,
    )


def _inverse(matrix: list[list[Fraction]]) -> list[list[Fraction]]:
    size = len(matrix)
    wide = [line + [Fraction(int(i == j)) for j in range(size)] for i, line in enumerate(matrix)]
    for column in range(size):
        pivot = next(row for row in range(column, size) if wide[row][column])
        wide[column], wide[pivot] = wide[pivot], wide[column]
        head = wide[column][column]
        wide[column] = [one / head for one in wide[column]]
        for row in range(size):
            if row != column and wide[row][column]:
                by = wide[row][column]
                wide[row] = [a - by * b for a, b in zip(wide[row], wide[column], strict=True)]
    return [line[size:] for line in wide]
