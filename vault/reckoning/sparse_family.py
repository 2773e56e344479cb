"""A large family solved by a sparse factor of its normal equations.

Once residues are worked again, most of a shop hangs together, and QR of the whole is out of reach.
M = H'WH + prior is then factored, with weights W = 1/u² and in natural sizes. Exact rows get the
doubt 1e-6 there, and the estimate is put right for it, and for the prior, by steps of refinement on

    [ P   H' ] [x]   [ 0 ]        P the prior, R = u² (0 for exact rows)
    [ H  −R  ] [λ] = [ y ]

All variances come from the factor's own pattern, see `selected_inverse`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse import linalg

from vault.reckoning.facts import Floats, Ints, sums
from vault.reckoning.selected_inverse import SelectedInverse, selected_inverse
from vault.reckoning.systems import System

# As measured: a tighter prior decides figures, a vaguer one or stiffer exact rows break the factor.
_PRIOR = 1e-3
_EXACT_VARIANCE = 1e-12
_REFINEMENTS = 3


@dataclass(frozen=True, slots=True, eq=False)
class SparseFamily:
    """One solved family; see `DenseFamily` for what is the same.

    Attributes:
        system: what was solved.
        x0: grams at the first guesses of the house factors.
        shift: grams for one standard uncertainty of each factor in `system.kinds`.
        information, pull: what the family says of those factors.
        misfit: the sum of squares at the first guesses of the factors.
        matrix: H, rows by unknowns, in natural sizes.
        weight: W, one per row.
        factor: the factor of M.
    """

    system: System
    x0: Floats
    shift: Floats
    information: Floats
    pull: Floats
    misfit: float
    matrix: sparse.csr_matrix
    weight: Floats
    factor: Any
    inverse: list[SelectedInverse]

    def selected(self) -> SelectedInverse:
        """Give the entries of M⁻¹ in the pattern of its factor; worked out when first asked for."""
        if not self.inverse:
            self.inverse.append(selected_inverse(self.factor))
        return self.inverse[0]

    def variances(self) -> Floats:
        """Give the variances of all unknowns at given factors, in g²."""
        return self.selected().diagonal() * self.system.size**2

    def spreads(self) -> Floats:
        """Give the variance of every row's sum of unknowns at given factors, in g²."""
        one, other, row = _pairs(self.matrix)
        value = self.matrix.data[one] * self.matrix.data[other]
        unknown = self.matrix.indices.astype(np.int64)
        inverse = self.selected().at(unknown[one], unknown[other])
        return sums(row, value * inverse, len(self.weight))

    def times(self, vectors: Floats) -> Floats:
        """Multiply the covariance at given factors by vectors, shape (unknowns, any)."""
        size = self.system.size[:, None]
        product: Floats = size * self.factor.solve(size * vectors)
        return product

    def drawn(self, count: int, generator: np.random.Generator) -> Floats:
        """Draw deviations at given factors, shape (count, unknowns).

        M⁻¹(H'√W ε + √prior ε') has just the covariance M⁻¹.
        """
        noise = generator.standard_normal((self.matrix.shape[0], count))
        right = self.matrix.T @ (np.sqrt(self.weight)[:, None] * noise)
        right += np.sqrt(_PRIOR) * generator.standard_normal(right.shape)
        product: Floats = (self.system.size[:, None] * self.factor.solve(right)).T
        return product


def solve_sparse(system: System) -> SparseFamily:
    """Solve one family by a sparse factor."""
    rows, count = len(system.y), len(system.size)
    matrix = sparse.csr_matrix(
        (
            system.coefficient * system.size[system.entry_unknown],
            (system.entry_row, system.entry_unknown),
        ),
        (rows, count),
    )
    # Doubts in grams; rows with large coefficients are as exact as their own length.
    length = np.sqrt(np.asarray(matrix.multiply(matrix).sum(axis=1)).ravel())
    # A doubt in proportion to a feed of next to nothing is finer than an exact row's; with its
    # weight nothing would be left of the other figures in sixteen digits, so it counts as exact.
    finest = _EXACT_VARIANCE * length**2
    system = replace(system, u=np.where(system.u**2 > finest, system.u, 0.0))
    variance = system.u**2
    weight = 1.0 / np.where(variance > 0.0, variance, finest)
    weighted = sparse.csr_matrix(matrix.T @ sparse.diags_array(weight))
    normal = (weighted @ matrix + _PRIOR * sparse.eye_array(count)).tocsc()
    factor = linalg.splu(
        normal,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    leaning = system.leaning()
    right = np.column_stack([system.y, -leaning])
    solution = _refined(factor, matrix, weighted, weight, variance, right)
    inexact = np.where(variance > 0.0, weight, 0.0)[:, None]
    left = right - matrix @ solution
    return SparseFamily(
        system=system,
        x0=system.size * solution[:, 0],
        shift=system.size[:, None] * solution[:, 1:],
        information=(-leaning * inexact).T @ left[:, 1:],
        pull=(leaning * inexact).T @ left[:, 0],
        misfit=float(left[:, 0] @ (inexact[:, 0] * left[:, 0])),
        matrix=matrix,
        weight=weight,
        factor=factor,
        inverse=[],
    )


def _refined(  # the parts of one system of equations
    factor: Any,  # noqa: ANN401  # SuperLU objects have no public type
    matrix: sparse.csr_matrix,
    weighted: sparse.csr_matrix,
    weight: Floats,
    variance: Floats,
    right: Floats,
) -> Floats:
    """Solve the augmented system for several right-hand sides, by M and steps of refinement."""
    solution = factor.solve(weighted @ right)
    multiplier = weight[:, None] * (right - matrix @ solution)
    for _ in range(_REFINEMENTS):
        upper = matrix.T @ multiplier - _PRIOR_LEFT * solution
        lower = right - matrix @ solution - variance[:, None] * multiplier
        step = factor.solve(upper + weighted @ lower)
        solution = solution + step
        multiplier = multiplier + weight[:, None] * (lower - matrix @ step)
    found: Floats = solution
    return found


# The prior that is left after refinement; 1e-8 is 10 000 natural sizes.
_PRIOR_LEFT = 1e-8


def _pairs(matrix: sparse.csr_matrix) -> tuple[Ints, Ints, Ints]:
    """Give all pairs of entries that stand in one row, and their row."""
    width = np.diff(matrix.indptr)
    row = np.repeat(np.arange(len(width)), width)
    times = width[row]
    one = np.repeat(np.arange(matrix.nnz), times)
    first = np.concatenate([[0], np.cumsum(times)[:-1]])
    other = matrix.indptr[row[one]] + np.arange(len(one)) - first[one]
    return one, other, row[one]
