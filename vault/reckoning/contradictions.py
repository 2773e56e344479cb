"""Contradictions: records that the rest of the book disagrees with, every suspect named.

A family is an alarm where one normalised residual passes the limit for all tests of the book, or
where its misfit as a whole would be a rare accident. Suspects are all records whose residual is
within 2 % of the largest: they cannot be told apart. To look for a second trouble behind the first,
the likeliest suspect is left out in thought: for every other row i,

    r_i ← r_i + (h_i'C h_j) r_j/(u_j² ρ_j),     h_i'C h_i ← h_i'C h_i + (h_i'C h_j)²/(u_j² ρ_j).

Nothing is ever removed from the book.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincc

from vault.core.turns import in_turns
from vault.reckoning.doubts import LEAST_REDUNDANCY, Doubts, critical_z, row_leanings, row_times
from vault.reckoning.facts import Floats, Ints
from vault.reckoning.row_pile import RowKind
from vault.reckoning.solved_metal import SolvedMetal

_ALIKE = 0.98
_RARE = 0.01
# Troubles told of one family; a book in worse order wants its first ones settled before.
_MOST_TROUBLES = 8


@dataclass(frozen=True, slots=True, eq=False)
class Trouble:
    """One contradiction in one family.

    Attributes:
        metal, family: where it is.
        doubts: how well the family's records check each other.
        rows: the suspect rows, likeliest first.
        z: their normalised residuals.
        change_g: what each record would have to change by, in grams, to settle it.
        spread_g: the doubt of that change.
    """

    metal: SolvedMetal
    family: int
    doubts: Doubts
    rows: Ints
    z: Floats
    change_g: Floats
    spread_g: Floats


def troubles_of(metal: SolvedMetal) -> Iterator[Trouble]:
    """Give every contradiction in a metal's families."""
    limit = critical_z(metal.tests)
    rare = 1.0 - (1.0 - _RARE) ** (1.0 / max(len(metal.families), 1))
    for number, _ in in_turns(metal.in_order):
        # A family whose whole misfit is smaller holds no residual beyond the limit.
        if metal.misfit_of(number) < limit**2:
            continue
        doubts = metal.doubts(number)
        chance = float(gammaincc(max(doubts.freedom, 1e-9) / 2.0, doubts.misfit / 2.0))
        if np.abs(doubts.z).max() > limit or chance < rare:
            yield from _troubles_in(metal, number, doubts, limit)


def _troubles_in(
    metal: SolvedMetal, number: int, doubts: Doubts, limit: float
) -> Iterator[Trouble]:
    system = doubts.family.system
    soft = system.u > 0.0
    u = np.where(soft, system.u, 1.0)
    residual = np.where(soft, doubts.residual, 0.0)
    redundancy = doubts.redundancy.copy()
    for at in range(_MOST_TROUBLES):
        tested = redundancy > LEAST_REDUNDANCY
        root = np.sqrt(np.where(tested, redundancy, 1.0))
        z = np.where(tested, residual / (u * root), 0.0)
        most = float(np.abs(z).max())
        if at and most <= limit:
            return
        rows = np.flatnonzero(np.abs(z) >= _ALIKE * most)
        rows = rows[np.argsort(-np.abs(z[rows]), kind="stable")]
        yield Trouble(
            metal,
            number,
            doubts,
            rows,
            z[rows],
            -residual[rows] / redundancy[rows],
            u[rows] / root[rows],
        )
        chief = int(_likeliest(doubts, rows, z))
        shared = _shared_with(metal, doubts, chief)
        pull = u[chief] ** 2 * redundancy[chief]
        residual = residual + shared * residual[chief] / pull
        redundancy = np.clip(redundancy - shared**2 / (pull * u**2), 0.0, 1.0)
        redundancy[chief], residual[chief] = 0.0, 0.0


def _likeliest(doubts: Doubts, rows: Ints, z: Floats) -> int:
    """Give the suspect to leave out in thought: what somebody recorded before what is a guess."""
    system = doubts.family.system
    said = np.isin(system.rows.kind[system.row_ids[rows]], [RowKind.SAID, RowKind.WHOLE])
    return int(max(rows.tolist(), key=lambda row: (bool(said[rows == row][0]), abs(z[row]))))


def _shared_with(metal: SolvedMetal, doubts: Doubts, row: int) -> Floats:
    """Give h_i'C h_j of every row i of a family with one of its rows j."""
    family = doubts.family
    system = family.system
    h = np.zeros(len(system.size))
    mine = system.entry_row == row
    h[system.entry_unknown[mine]] = system.coefficient[mine]
    lean = row_leanings(family)
    covariance = metal.house.covariance[np.ix_(system.kinds, system.kinds)]
    near = row_times(family, family.times(h[:, None])[:, 0])
    found: Floats = near + lean @ covariance @ lean[row]
    return found
