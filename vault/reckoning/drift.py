"""Drift: whether what residues of one kind keep has changed, and since when.

The balance takes one house factor δ for all residues of a kind, whatever their date. Here the
measured ones (those assayed or settled, alone or together with others) may have two, β_b before a
work and β_a from it on, on top of δ. With A the two columns that this adds to their rows, f grams
for one unit of δ, R the variances of the rows, H their coefficients and C the covariance of all
that was solved for,

    s = A′R⁻¹r,   V = A′R⁻¹A − A′R⁻¹H C H′R⁻¹A,   β = V⁻¹s ± V⁻¹,   δ moves by −C H′R⁻¹A β

exactly as if everything had been solved anew with them. The other residues and the first guess keep
their own δ, so that a wrong guess looks like no drift. The test is z = (β_a − β_b)/u for every work
at which the change could have been; the largest |z| counts, against what the largest of as many
that hang together as these do comes to by chance, drawn with the covariance that follows from V.

Where batches scatter more than they are taken to, Σ(r/u)² is more than its degrees of freedom; z is
divided by the root of that ratio, never by less than one, and chance draws are divided by the root
of a χ² over its freedom, as for Student's t.

Reference: the score test of an added variable, e.g. C. R. Rao, Linear Statistical Inference and
Its Applications, 2nd ed., Wiley 1973, section 6e; the largest over unknown times as in D. W. K.
Andrews, Econometrica 61 (1993) 821 (both from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from vault.core.turns import in_turns
from vault.reckoning.doubts import row_leanings
from vault.reckoning.facts import (
    KINDS,
    NOBODY,
    PROCESSES,
    WORD,
    Bools,
    Edges,
    Facts,
    Floats,
    Ints,
)
from vault.reckoning.families import Family
from vault.reckoning.guesses import COLD
from vault.reckoning.row_pile import RowKind
from vault.reckoning.solved_metal import SolvedMetal

# A drift is told where chance alone would make as much of one in a hundred such factors.
FALSE_ALARM = 0.01
# With fewer degrees of freedom nothing can be told from scatter.
_LEAST_FREEDOM = 5.0
# At least so many residues lie on each side of a change, and so many changes are tried.
_LEAST_SIDE = 3
_LEAST_SIDE_SHARE = 0.1
_MOST_CHANGES = 16
_DRAWS = 20_000
# A z that is no surprise by itself is none as the largest of several.
_NO_SURPRISE = 2.0
_COLD = np.array([process in COLD for process in PROCESSES])


@dataclass(frozen=True, slots=True)
class Drift:
    """A change in what residues of a kind keep of a metal.

    Attributes:
        kind: the residue kind in words.
        metal: its symbol.
        since: entry of the first work after the change.
        before, before_u: share of the feed kept by the works up to then, and its doubt.
        after, after_u: the same from then on.
        chance: how often chance alone makes as much where nothing changed.
        measured: how many works it rests on.
    """

    kind: str
    metal: str
    since: int
    before: float
    before_u: float
    after: float
    after_u: float
    chance: float
    measured: int


@dataclass(frozen=True, slots=True)
class Look:
    """What a look at the measured residues of a kind gave.

    Attributes:
        kind: the residue kind in words.
        measured: works whose residue was measured.
        is_enough: whether a change could be told from scatter.
        drift: None where none is to be seen.
    """

    kind: str
    measured: int
    is_enough: bool
    drift: Drift | None


@dataclass(frozen=True, slots=True, eq=False)
class _Measured:
    """The keep rows of one family and one kind whose residue was measured.

    Attributes:
        rows: positions in the family.
        works: the entry of each.
        factor_g: grams for one unit of δ.
        residual, redundancy: as `Doubts` has them.
    """

    family: Family
    rows: Ints
    works: Ints
    factor_g: Floats
    residual: Floats
    redundancy: Floats


def drifts_of(balance: SolvedMetal) -> list[Drift]:
    """Give every residue kind whose measured residues tell of a change in what they keep."""
    return [one.drift for one in looks_of(balance) if one.drift is not None]


def looks_of(balance: SolvedMetal) -> list[Look]:
    """Look at every residue kind of which anything was measured."""
    by_kind: dict[int, list[_Measured]] = {}
    for kind, measured in _all_measured(balance):
        by_kind.setdefault(kind, []).append(measured)
    return [_look(balance, kind, by_kind[kind]) for kind in sorted(by_kind)]


def _all_measured(balance: SolvedMetal) -> Iterator[tuple[int, _Measured]]:
    known: dict[int, Bools] = {}
    for number, family in in_turns(balance.in_order):
        system = family.system
        facts, rows = system.ground.facts, system.rows
        keeps = np.flatnonzero((rows.kind[system.row_ids] == RowKind.KEEP) & (system.factor >= 0))
        if not len(keeps):
            continue
        if id(facts) not in known:
            known[id(facts)] = _measured_keeps(facts, system.ground.code)
        ids = system.row_ids[keeps]
        work, kind = rows.subject[ids], rows.factor[ids]
        seen = known[id(facts)][work, kind]
        for one in np.unique(kind[seen]).tolist():
            mine = np.flatnonzero(seen & (kind == one))
            doubts = balance.doubts(number)
            yield (
                one,
                _Measured(
                    family=family,
                    rows=keeps[mine],
                    works=facts.works.number[work[mine]],
                    factor_g=rows.factor_g[ids[mine]],
                    residual=doubts.residual[keeps[mine]],
                    redundancy=doubts.redundancy[keeps[mine]],
                ),
            )


def _measured_keeps(facts: Facts, metal: int) -> Bools:
    """Tell by work and kind whether a residue was measured, alone or as a part of a whole."""
    said = facts.sayings
    items = np.zeros(len(facts.tags), dtype=np.bool_)
    items[said.item[(said.metal == metal) & (said.source != WORD)]] = True
    wholes = facts.wholes
    items[wholes.item[wholes.metal[wholes.whole] == metal]] = True
    # Later works first, so that a blend of blends is followed back to its beginning.
    for work in np.flatnonzero(_COLD[facts.works.process])[::-1].tolist():
        if items[_of_work(facts.made, work)].any():
            items[_of_work(facts.used, work)] = True
    found = np.zeros((len(facts.works.number), len(KINDS)), dtype=np.bool_)
    fits = items & (facts.maker != NOBODY) & (facts.kind != NOBODY)
    found[facts.maker[fits], facts.kind[fits]] = True
    return found


def _of_work(edges: Edges, work: int) -> Ints:
    """Give the items at one side of a work."""
    first, past = np.searchsorted(edges.work, [work, work + 1])
    found: Ints = edges.item[first:past]
    return found


def _look(balance: SolvedMetal, kind: int, measured: list[_Measured]) -> Look:
    works = np.sort(np.concatenate([one.works for one in measured]))
    freedom = _freedom(measured)
    changes = _changes_of(works)
    is_enough = freedom >= _LEAST_FREEDOM and len(changes) > 0
    drift = _drift(balance, kind, measured, works, changes) if is_enough else None
    return Look(KINDS[kind], len(works), is_enough, drift)


def _drift(
    balance: SolvedMetal, kind: int, measured: list[_Measured], works: Ints, changes: Ints
) -> Drift | None:
    freedom = _freedom(measured)
    sums = _Sums.of(balance, measured, works[changes])
    z, root = sums.tests()
    at = int(np.argmax(np.abs(z)))
    misfit = sum(_misfit(one) for one in measured)
    scale = float(np.sqrt(max(1.0, (misfit - z[at] ** 2) / freedom)))
    most = float(np.abs(z[at])) / scale
    if most < _NO_SURPRISE:
        return None
    chance = _chance(root, most, freedom)
    if chance > FALSE_ALARM:
        return None
    keep = balance.guesses.keep(KINDS[kind], balance.metal)
    share = float(balance.house.kept_g[kind] / balance.house.fed_g[kind])
    levels, u = sums.levels(at, kind, balance, keep.house)
    return Drift(
        kind=KINDS[kind],
        metal=balance.metal,
        since=int(works[changes[at]]),
        before=share * (1.0 + float(levels[0])),
        before_u=share * scale * float(u[0]),
        after=share * (1.0 + float(levels[1])),
        after_u=share * scale * float(u[1]),
        chance=chance,
        measured=len(works),
    )


def _changes_of(works: Ints) -> Ints:
    """Give positions in the sorted works at which a change is tried, evenly spread."""
    count = len(works)
    side = max(_LEAST_SIDE, int(np.ceil(_LEAST_SIDE_SHARE * count)))
    if count < 2 * side:
        return np.zeros(0, dtype=np.int64)
    tried = np.linspace(side, count - side, _MOST_CHANGES).round().astype(np.int64)
    # Two residues of one work are never on two sides of a change.
    return np.unique(np.searchsorted(works, works[np.unique(tried)]))


def _freedom(measured: list[_Measured]) -> float:
    """Give the degrees of freedom of the rows, one taken for the change."""
    return float(sum(one.redundancy.sum() for one in measured)) - 1.0


def _misfit(one: _Measured) -> float:
    return float(np.sum((one.residual / one.family.system.u[one.rows]) ** 2))


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """The score and its covariance for a column of ones and a step at every change tried.

    Attributes:
        s, v: A′R⁻¹r and its covariance V, over 1 + changes columns.
        lean: H′R⁻¹A as far as it leans on the factors, kinds by columns.
    """

    s: Floats
    v: Floats
    lean: Floats

    @classmethod
    def of(cls, balance: SolvedMetal, measured: list[_Measured], since: Ints) -> _Sums:
        """Sum over families; a step is one for works from each of `since` on."""
        count = len(since) + 1
        s, v, lean = np.zeros(count), np.zeros((count, count)), np.zeros((len(KINDS), count))
        for one in measured:
            system = one.family.system
            steps = np.column_stack([np.ones(len(one.works)), one.works[:, None] >= since])
            added = one.factor_g[:, None] * steps
            weighted = np.zeros((len(system.y), count))
            weighted[one.rows] = added / system.u[one.rows][:, None] ** 2
            s += weighted[one.rows].T @ one.residual
            v += weighted[one.rows].T @ added
            across = np.zeros((len(system.size), count))
            np.add.at(
                across,
                system.entry_unknown,
                system.coefficient[:, None] * weighted[system.entry_row],
            )
            v -= across.T @ one.family.times(across)
            lean[system.kinds] += row_leanings(one.family).T @ weighted
        return cls(s, v - lean.T @ balance.house.covariance @ lean, lean)

    def tests(self) -> tuple[Floats, Floats]:
        """Give z for every change, and a root of the correlation of all of them."""
        contrasts = np.array([self._difference(at) for at in range(len(self.s) - 1)])
        covariance = contrasts @ self.v @ contrasts.T
        u = np.sqrt(np.diag(covariance))
        correlation = covariance / np.outer(u, u)
        values, vectors = np.linalg.eigh(correlation)
        root: Floats = vectors * np.sqrt(np.maximum(values, 0.0))
        return contrasts @ self.s / u, root

    def _sides(self, at: int) -> tuple[Floats, Floats]:
        """Give the columns before and after a change, as sums of those at hand, and V⁻¹ of both."""
        sides = np.zeros((2, len(self.s)))
        sides[0, 0], sides[0, at + 1], sides[1, at + 1] = 1.0, -1.0, 1.0
        spread: Floats = np.linalg.pinv(sides @ self.v @ sides.T).astype(np.float64)
        return sides, spread

    def _difference(self, at: int) -> Floats:
        """Give what turns s into β after less β before a change."""
        sides, spread = self._sides(at)
        found: Floats = np.array([-1.0, 1.0]) @ spread @ sides
        return found

    def levels(
        self, at: int, kind: int, balance: SolvedMetal, unit: float
    ) -> tuple[Floats, Floats]:
        """Give δ of the measured residues before and after a change, and the doubts about both.

        Args:
            at: which change.
            kind: code of the residue kind.
            balance: what was solved.
            unit: δ of one first doubt, in which the house factors are told.
        """
        sides, spread = self._sides(at)
        beta = spread @ (sides @ self.s)
        # The shared factor gives way by what the measured residues took with them.
        moved = unit * (balance.house.covariance[kind] @ self.lean) @ sides.T
        shared = unit * float(balance.house.mean[kind]) - float(moved @ beta)
        variance = unit**2 * float(balance.house.covariance[kind, kind])
        variance += float(moved @ spread @ moved)
        u = np.sqrt(np.maximum(variance + np.diag(spread) - 2.0 * (moved @ spread), 0.0))
        return shared + beta, u


def _chance(root: Floats, most: float, freedom: float) -> float:
    """Give how often the largest of as many tests is so large where nothing changed."""
    generator = np.random.default_rng(20310101)
    draws = np.abs(generator.standard_normal((_DRAWS, root.shape[1])) @ root.T).max(axis=1)
    scatter = np.sqrt(generator.chisquare(freedom, _DRAWS) / freedom)
    return float((np.count_nonzero(draws / scatter >= most) + 1) / (_DRAWS + 1))
