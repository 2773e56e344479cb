"""Suspects: does the book contradict itself, where, and what could be wrong without being seen.

Records that check each other only together carry the same |z|; no reckoning can tell which of them
is wrong, so they are named together. Nothing is ever taken out or put right here.

Reference: S. Narasimhan & C. Jordache, Data Reconciliation and Gross Error Detection, Gulf 2000,
chapters 7 (global and measurement tests) and 8; Z. Šidák, JASA 62 (1967) 626-633.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from vault.reckoning.balance.factored import CHECKED_REDUNDANCY, RowStatistics
from vault.reckoning.balance.problem import Flags, Floats

SAME_SHARE = 0.98
"""Rows with at least this share of the largest |z| cannot be told apart from it."""

FALSE_ALARMS_OF_THE_WHOLE = 0.01
"""An alarm is raised if chance alone would give a larger χ² more seldom than this."""

FALSE_ALARMS_OF_ALL_ROWS = 0.05
"""The share of faultless books in which some row is beyond the critical z."""

_POWER_80 = 0.84  # the normal quantile of 0.80, as it is usually rounded
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Suspect:
    """One row that could be what is wrong.

    Attributes:
        row: which.
        z: its normalised residual.
        correction_g: by how much its value is off if it alone is wrong: take this from it.
        fall: by how much the χ² of the whole would fall, z².
    """

    row: int
    z: float
    correction_g: float
    fall: float


@dataclass(frozen=True, slots=True, eq=False)
class Examination:
    """What the tests say of a whole book.

    Attributes:
        alarm: whether the book contradicts itself more than chance would.
        chance: how often chance alone gives a χ² as large as this.
        critical_z: the |z| that some row of a faultless book reaches in 5 % of books.
        suspects: rows that cannot be told apart from the one with the largest |z|, largest first;
            named whether or not there is an alarm.
        noticeable_g: (m,) smallest error of each row that would be noticed in 4 of 5 cases;
            infinite where nothing checks the row.
    """

    alarm: bool
    chance: float
    critical_z: float
    suspects: tuple[Suspect, ...]
    noticeable_g: Floats


def examine(
    rows: RowStatistics,
    chi_square: float,
    degrees: float,
    *,
    tested: Flags | None = None,
) -> Examination:
    """Test a whole book, or one family, for wrong records.

    Args:
        rows: statistics of all rows.
        chi_square: J of the same rows.
        degrees: its degrees of freedom.
        tested: (m,) which rows may be named; without it all with ρ > 1e-4, so that exact rows,
            which are no records of anything measured, are not. Rows that nothing checks are
            never named.
    """
    may = rows.redundancy > CHECKED_REDUNDANCY if tested is None else tested & rows.checked
    critical = critical_z(int(may.sum()))
    size = np.where(may, np.abs(rows.z), 0.0)
    largest = float(size.max(initial=0.0))
    named = np.flatnonzero(may & (size >= SAME_SHARE * largest) & (size > 0.0))
    named = named[np.argsort(-size[named], kind="stable")]
    chance = chi_square_tail(chi_square, degrees)
    return Examination(
        alarm=chance < FALSE_ALARMS_OF_THE_WHOLE or largest > critical,
        chance=chance,
        critical_z=critical,
        suspects=tuple(
            Suspect(row, float(rows.z[row]), float(rows.correction[row]), float(rows.z[row] ** 2))
            for row in named.tolist()
        ),
        noticeable_g=smallest_noticeable(rows, critical),
    )


def critical_z(tests: int) -> float:
    """Give Šidák's bound on |z| for so many tests at 5 % false alarms in all.

        z = N⁻¹(1 − (1 − 0.95^(1/tests))/2)

    With no test nothing can be seen: infinite.

    >>> round(critical_z(1), 3), round(critical_z(6), 3)
    (1.96, 2.631)
    """
    if tests < 1:
        return float("inf")
    single = -np.expm1(np.log1p(-FALSE_ALARMS_OF_ALL_ROWS) / tests)
    return -_NORMAL.inv_cdf(float(single) / 2.0)


def chi_square_tail(chi_square: float, degrees: float) -> float:
    """Give the probability that χ² with these degrees of freedom is larger: Q(dof/2, J/2).

    Without degrees of freedom nothing is tested, and the answer is 1.

    >>> round(chi_square_tail(9.488, 4.0), 3)
    0.05
    """
    from scipy import special  # noqa: PLC0415  # heavy to import

    if degrees < CHECKED_REDUNDANCY:
        return 1.0
    return float(special.gammaincc(degrees / 2.0, max(chi_square, 0.0) / 2.0))


def smallest_noticeable(rows: RowStatistics, critical: float) -> Floats:
    """Give the smallest error of each row noticed in 4 of 5 cases, (z_crit + 0.84)·u/√ρ, grams.

    Args:
        rows: statistics of all rows.
        critical: the bound on |z|.

    Returns:
        Shape (m,); infinite where nothing checks the row.
    """
    return (critical + _POWER_80) * rows.spread
