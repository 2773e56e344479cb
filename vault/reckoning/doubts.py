"""How well records check each other, and which of them carry the doubt about a sum.

For a row y = h'x + b'κ ± u with residual r and the posterior covariance C of all unknowns:

    redundancy ρ = 1 − h'C h / u²,   z = r / (u √ρ),   the correction that would settle it: r / ρ.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from vault.reckoning.contents import BudgetLine, Places
from vault.reckoning.facts import Floats
from vault.reckoning.families import Family
from vault.reckoning.row_pile import RowKind
from vault.reckoning.wording import factor_words, kind_words, record_words

if TYPE_CHECKING:
    from vault.reckoning.solved_metal import SolvedMetal

# Below this redundancy nothing checks a record.
LEAST_REDUNDANCY = 1e-4
# A wrong record is found with this probability (80 %), in standard normal deviations.
_POWER = 0.84
# Lines of a budget that are told one by one.
_MOST_LINES = 40
_LEAST_SHARE = 0.0005


@dataclass(frozen=True, slots=True, eq=False)
class Doubts:
    """One family's records, each against all the others.

    Attributes:
        family: what was solved.
        residual: y − (h'x + b'κ) by row, in grams.
        redundancy: ρ by row; 0 where nothing checks it.
        z: normalised residual by row, 0 where nothing checks it.
        misfit: Σ (r/u)² over the family's own rows that anything checks.
        freedom: Σ ρ, its degrees of freedom.
    """

    family: Family
    residual: Floats
    redundancy: Floats
    z: Floats
    misfit: float
    freedom: float

    def noticeable(self, item: int, tests: int) -> float | None:
        """Give the smallest error of an item's surest own record that would be noticed, in g."""
        system = self.family.system
        said = np.flatnonzero(
            (system.rows.kind[system.row_ids] == RowKind.SAID)
            & (np.bincount(system.entry_row, system.entry_unknown == item, len(system.y)) > 0)
        )
        if not len(said):
            return None
        row = said[np.argmin(system.u[said])]
        if self.redundancy[row] <= LEAST_REDUNDANCY:
            return None
        return self.least_noticed(int(row), tests)

    def least_noticed(self, row: int, tests: int) -> float:
        """Give the smallest error of one record that would be noticed, in grams."""
        u = float(self.family.system.u[row])
        return (critical_z(tests) + _POWER) * u / float(np.sqrt(self.redundancy[row]))


def critical_z(tests: int) -> float:
    """Give the z beyond which one of so many tests is an alarm at 5 % (Šidák).

    Example:
        >>> round(critical_z(1), 2), round(critical_z(100), 2)
        (1.96, 3.47)
    """
    each = 1.0 - 0.95 ** (1.0 / max(tests, 1))
    return NormalDist().inv_cdf(1.0 - each / 2.0)


def doubts_of(family: Family, metal: SolvedMetal) -> Doubts:
    """Test every record of a family against all that the book says."""
    system, house = family.system, metal.house
    kinds = system.kinds
    mean, covariance = house.mean[kinds], house.covariance[np.ix_(kinds, kinds)]
    x = family.x0 + family.shift @ mean
    residual = system.y - system.leaning() @ mean - row_times(family, x)
    lean = row_leanings(family)
    spread = family.spreads() + np.einsum("rk,kl,rl->r", lean, covariance, lean)
    u = np.where(system.u > 0.0, system.u, np.inf)
    redundancy = np.clip(1.0 - spread / u**2, 0.0, 1.0)
    redundancy[system.u <= 0.0] = 0.0
    tested = redundancy > LEAST_REDUNDANCY
    z = np.where(tested, residual / (u * np.sqrt(np.where(tested, redundancy, 1.0))), 0.0)
    return Doubts(
        family=family,
        residual=residual,
        redundancy=np.where(tested, redundancy, 0.0),
        z=z,
        # What nothing checks has no residual but that of rounding, which is not to be weighed.
        misfit=float(np.sum((residual[tested] / u[tested]) ** 2)),
        freedom=float(redundancy.sum()),
    )


def row_times(family: Family, vectors: Floats) -> Floats:
    """Multiply the coefficients of a family's rows by vectors over its unknowns."""
    system = family.system
    if vectors.ndim == 1:
        product = system.coefficient * vectors[system.entry_unknown]
        return np.bincount(system.entry_row, product, len(system.y)).astype(np.float64)
    return np.column_stack(
        [np.zeros((len(system.y), 0)), *(row_times(family, one)[:, None] for one in vectors.T)]
    )


def row_leanings(family: Family) -> Floats:
    """Give how every row moves with each factor of the family, rows by `kinds`, in grams."""
    found: Floats = family.system.leaning() + row_times(family, family.shift)
    return found


# A share of a variance: how much in g², and of which row of a family, or of which guess.
Share = tuple[float, Family | None, int]
_TAUGHT = "what other lots teach of slag and cupels here"


@dataclass(frozen=True, slots=True)
class _Budget:
    """The variance of a sum, split up.

    Attributes:
        total: all of it, in g².
        shares: of the records of the families in the sum, and of the guesses.
        others: what comes from other families, by what they teach of the house factors.
    """

    total: float
    shares: list[Share]
    others: float


def budget_lines(metal: SolvedMetal, places: Places) -> list[BudgetLine]:
    """Give each record's share in the variance of a sum over places, largest first.

    The share of row j is (c'C h_j)² / (u_j² u²(t)); those of all records add up to one. Records of
    other families matter only through what they teach of the house factors, and are told as one.
    """
    budget = _split_up(metal, places)
    return _told(budget) if budget.total > 0.0 else []


def budget_by_kind(metal: SolvedMetal, places: Places) -> list[BudgetLine]:
    """Give the share of each kind of record in the variance of a sum, largest first.

    A total of many items rests on hundreds of records with a little each; which sort of them it
    is says more than the largest few.
    """
    budget = _split_up(metal, places)
    if budget.total <= 0.0:
        return []
    kinds: dict[str, float] = defaultdict(float)
    for value, family, at in budget.shares:
        kinds[_kind_of(family, at)] += value
    kinds[_TAUGHT] += budget.others
    lines = [BudgetLine(words, None, "", value / budget.total) for words, value in kinds.items()]
    return sorted(
        (line for line in lines if line.share > 0.0), key=lambda line: (-line.share, line.words)
    )


def _kind_of(family: Family | None, at: int) -> str:
    if family is None:
        return f"the guess of {factor_words(at)}"
    system = family.system
    return kind_words(system.ground, system.rows, int(system.row_ids[at]))


def _split_up(metal: SolvedMetal, places: Places) -> _Budget:
    house = metal.house
    lean = np.zeros(len(house.mean))
    parts: list[tuple[Family, Floats]] = []
    for number in np.unique(metal.family[places]).tolist():
        family = metal.families[number]
        c = np.zeros(len(family.x0))
        np.add.at(c, metal.position[places[metal.family[places] == number]], 1.0)
        parts.append((family, c))
        lean += metal.expand(family, family.shift.T @ c)
    moved = house.covariance @ lean
    rest = house.information.copy()
    found: list[Share] = []
    total = float(lean @ moved)
    for family, c in parts:
        near = family.times(c[:, None])[:, 0]
        total += float(c @ near)
        rest[np.ix_(family.system.kinds, family.system.kinds)] -= family.information
        found += _row_shares(family, near, moved)
    found += [(value**2, None, kind) for kind, value in enumerate(moved) if house.fed_g[kind] > 0.0]
    return _Budget(total, found, float(moved @ rest @ moved))


def _row_shares(family: Family, near: Floats, moved: Floats) -> list[Share]:
    system = family.system
    lean = row_leanings(family)
    reach = row_times(family, near) + lean @ moved[system.kinds]
    squares = np.where(system.u > 0.0, reach**2 / np.where(system.u > 0.0, system.u, 1.0) ** 2, 0.0)
    return [(float(squares[row]), family, int(row)) for row in np.flatnonzero(squares)]


def _told(budget: _Budget) -> list[BudgetLine]:
    total = budget.total
    found = sorted(budget.shares, key=lambda one: -one[0])
    named = [one for one in found[:_MOST_LINES] if one[0] >= _LEAST_SHARE * total]
    lines = []
    for value, family, at in named:
        if family is None:
            lines.append(BudgetLine(_kind_of(None, at), None, "", value / total))
            continue
        system = family.system
        words, entry, tag = record_words(system.ground, system.rows, int(system.row_ids[at]))
        lines.append(BudgetLine(words, entry, tag, value / total))
    if budget.others > _LEAST_SHARE * total:
        lines.append(BudgetLine(_TAUGHT, None, "", budget.others / total))
        lines.sort(key=lambda line: -line.share)
    left = 1.0 - sum(line.share for line in lines)
    if left > 1e-9:
        count = len(found) - len(named)
        lines.append(BudgetLine(f"{count} further records together", None, "", left))
    return lines
