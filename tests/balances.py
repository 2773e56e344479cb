"""Small balances written row by row and solved by the program's own engine, either way.

What a shop's records are to the engine, these rows are: `Σ c·x = y ± u`, exact where u = 0, with
house factors as shared unknowns. So published reconciliations test the very code that a book runs
through, without a shop around them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from vault.reckoning.dense_families import solve_dense
from vault.reckoning.doubts import Doubts, _row_shares, doubts_of
from vault.reckoning.facts import Floats
from vault.reckoning.families import Family
from vault.reckoning.house import COUNT, House, Sayings
from vault.reckoning.solved_metal import NOT_DETERMINABLE
from vault.reckoning.sparse_family import solve_sparse
from vault.reckoning.systems import System


def by_qr(system: System) -> Family:
    """Solve by QR, as small families are."""
    return next(iter(solve_dense([system])))


def by_factor(system: System) -> Family:
    """Solve by a sparse factor, as large families are."""
    return solve_sparse(system)


@dataclass
class Balance:
    """Rows in the making; unknowns by number, house factors by their own."""

    sizes: list[float]
    factor_u: Sequence[float] = ()
    rows: list[tuple[dict[int, float], float, float, tuple[int, float] | None]] = field(
        default_factory=list
    )

    def row(
        self,
        terms: dict[int, float],
        y: float,
        u: float,
        factor: tuple[int, float] | None = None,
    ) -> None:
        """Add Σ c·x + b·δ = y ± u; the factor is (its number, b)."""
        self.rows.append((terms, y, u, factor))

    def system(self) -> System:
        """Give the rows as the engine takes them; exact rows stand at u = 0."""
        entries = [(at, x, c) for at, (terms, *_) in enumerate(self.rows) for x, c in terms.items()]
        used = sorted({factor[0] for *_, factor in self.rows if factor is not None})
        leans = [
            (-1, 0.0)
            if factor is None
            else (used.index(factor[0]), factor[1] * self.factor_u[factor[0]])
            for *_, factor in self.rows
        ]
        count = len(self.sizes)
        return System(
            ground=cast("Any", None),  # words are not asked for here
            rows=cast("Any", None),
            row_ids=np.arange(len(self.rows)),
            unknowns=np.arange(count),
            items=count,
            size=np.array(self.sizes, dtype=np.float64),
            entry_row=np.array([one[0] for one in entries], dtype=np.int64),
            entry_unknown=np.array([one[1] for one in entries], dtype=np.int64),
            coefficient=np.array([one[2] for one in entries], dtype=np.float64),
            y=np.array([y for _, y, _, _ in self.rows], dtype=np.float64),
            u=np.array([u for _, _, u, _ in self.rows], dtype=np.float64),
            kinds=np.array(used, dtype=np.int64),
            factor=np.array([one[0] for one in leans], dtype=np.int64),
            # In grams for one standard uncertainty of the factor.
            factor_g=np.array([one[1] for one in leans], dtype=np.float64),
        )

    def solved(self, way: Callable[[System], Family] = by_qr) -> Solved:
        """Solve, alone in the world."""
        return solved_together([way(self.system())], self.factor_u)[0]


@dataclass
class Solved:
    """One solved balance, with the house factors that it shares."""

    family: Family
    house: House
    doubts: Doubts
    factor_u: Sequence[float]

    @property
    def x(self) -> Floats:
        return self.family.x0 + self.family.shift @ self.house.mean[self.family.system.kinds]

    @property
    def covariance(self) -> Floats:
        kinds, shift = self.family.system.kinds, self.family.shift
        own = self.family.times(np.eye(len(self.x)))
        return own + shift @ self.house.covariance[np.ix_(kinds, kinds)] @ shift.T

    @property
    def u(self) -> Floats:
        return np.sqrt(np.diagonal(self.covariance))

    @property
    def not_determinable(self) -> list[bool]:
        return [bool(one) for one in self.u > NOT_DETERMINABLE * self.family.system.size]

    @property
    def chi_square(self) -> float:
        return self.doubts.misfit + float(self.house.mean @ self.house.mean)

    @property
    def degrees(self) -> float:
        return self.doubts.freedom + float(np.sum(1.0 - np.diagonal(self.house.covariance)))

    @property
    def corrections(self) -> Floats:
        """What each record would have to change by, were it alone wrong."""
        checked = self.doubts.redundancy > 0.0
        safe = np.where(checked, self.doubts.redundancy, 1.0)
        return np.where(checked, -self.doubts.residual / safe, 0.0)

    def total(self, c: Floats) -> tuple[float, float]:
        return float(c @ self.x), math.sqrt(float(c @ self.covariance @ c))

    def budget(self, c: Floats) -> tuple[Floats, Floats]:
        """Give the share of every row, and of every factor's first guess, in a sum's variance."""
        kinds = self.family.system.kinds
        lean = np.zeros(COUNT)
        lean[kinds] = self.family.shift.T @ c
        moved = self.house.covariance @ lean
        shares = np.zeros(len(self.family.system.y))
        for value, _, row in _row_shares(self.family, self.family.times(c[:, None])[:, 0], moved):
            shares[row] = value
        variance = self.total(c)[1] ** 2
        return shares / variance, moved[kinds] ** 2 / variance

    @property
    def deviations(self) -> tuple[Floats, Floats]:
        """Give each house factor's deviation from its first guess, and its u."""
        scale = np.asarray(self.factor_u)
        kinds = self.family.system.kinds
        u = np.sqrt(np.diagonal(self.house.covariance))
        return scale * self.house.mean[kinds], scale * u[kinds]


def solved_together(families: Sequence[Family], factor_u: Sequence[float]) -> list[Solved]:
    """Join families by the house factors, as a book joins its lots."""
    sayings = Sayings()
    for one in families:
        sayings.add(one, np.zeros(COUNT), np.zeros(COUNT))
    house = sayings.house()
    metal = cast("Any", SimpleNamespace(house=house))
    return [Solved(one, house, doubts_of(one, metal), factor_u) for one in families]
