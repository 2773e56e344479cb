"""Swapped pairs: would two bags, exchanged, make the book close?

For works of one kind that do not close, every pair of things that went into them is exchanged in
thought: in the rows of the two works the one stands where the other stood. The pair after which the
misfit falls most is named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from vault.reckoning.contradictions import Trouble
from vault.reckoning.dense_families import solve_dense
from vault.reckoning.facts import Floats, Ints
from vault.reckoning.families import LARGEST_DENSE, Family
from vault.reckoning.row_pile import RowKind
from vault.reckoning.solved_metal import SolvedMetal
from vault.reckoning.sparse_family import solve_sparse
from vault.reckoning.systems import System

# A work that closes better than this is not looked at, in standard deviations.
_LEAST_Z = 2.0
# Pairs tried by solving anew: the likeliest by what the works lack and the items hold.
# Beyond so many unknowns a trial takes long enough for few to be made.
_LARGE = 200
_MOST_PAIRS = 150
_MOST_PAIRS_LARGE = 16
_AS_WELL = 0.9


@dataclass(frozen=True, slots=True)
class Swap:
    """A pair that, exchanged, makes the book close better.

    Attributes:
        tags: the two items.
        entries: the works that used them.
        before, after: misfit of the families concerned, as recorded and exchanged.
    """

    tags: tuple[str, str]
    entries: tuple[int, int]
    before: float
    after: float


@dataclass(frozen=True, slots=True, eq=False)
class _Bag:
    """A thing that went into a work that does not close."""

    family: int
    unknown: int
    work: int
    process: int
    lacks_g: float
    holds_g: float


def swaps_of(metal: SolvedMetal, troubles: list[Trouble]) -> list[Swap]:
    """Give the pairs whose exchange settles as much as any single record would, best first."""
    numbers = sorted({one.family for one in troubles})
    bags = [bag for number in numbers for bag in _bags(metal, number)]
    pairs = [
        (one, other)
        for one, other in combinations(bags, 2)
        if one.process == other.process
        and (one.family, one.work) != (other.family, other.work)
        and one.lacks_g * other.lacks_g < 0.0
    ]
    pairs.sort(key=_unlikeliness)
    large = any(len(metal.families[number].x0) > _LARGE for number in numbers)
    tried = [_tried(metal, *pair) for pair in pairs[: _MOST_PAIRS_LARGE if large else _MOST_PAIRS]]
    # An exchange has nothing to fit, leaving a record out has: about as well is well enough.
    single = max((float(one.z[0]) ** 2 for one in troubles), default=0.0)
    found = [
        one for one in tried if one.before - one.after > max(_AS_WELL * single, 0.5 * one.before)
    ]
    # What bags were swapped shows as well in all that was made of them: the earliest pair first
    # among those that close about as well as the best.
    best = max((one.before - one.after for one in found), default=0.0)
    return sorted(
        found,
        key=lambda one: (
            one.before - one.after < _AS_WELL * best,
            min(one.entries),
            one.after - one.before,
        ),
    )


def _unlikeliness(pair: tuple[_Bag, _Bag]) -> float:
    one, other = pair
    gain = other.holds_g - one.holds_g
    return abs(one.lacks_g - gain) + abs(other.lacks_g + gain)


def _bags(metal: SolvedMetal, number: int) -> Iterator[_Bag]:
    doubts = metal.doubts(number)
    system = doubts.family.system
    facts = system.ground.facts
    kinds, subjects = system.rows.kind[system.row_ids], system.rows.subject[system.row_ids]
    x = metal.values_of(doubts.family)
    local = {
        int(item): at for at, item in enumerate(system.rows.items[system.unknowns[: system.items]])
    }
    for row in np.flatnonzero((kinds == RowKind.LOSS) & (np.abs(doubts.z) > _LEAST_Z)).tolist():
        work = int(subjects[row])
        start, end = np.searchsorted(facts.used.work, [work, work + 1])
        # More came out than went in: this much more must have gone in.
        lacks = float(doubts.residual[row] / doubts.redundancy[row])
        for item in facts.used.item[start:end].tolist():
            if item in local:
                yield _Bag(
                    family=number,
                    unknown=local[item],
                    work=work,
                    process=int(facts.works.process[work]),
                    lacks_g=lacks,
                    holds_g=float(x[local[item]]),
                )


def _tried(metal: SolvedMetal, one: _Bag, other: _Bag) -> Swap:
    systems = [metal.families[one.family].system]
    shift = 0
    if other.family != one.family:
        systems.append(metal.families[other.family].system)
        shift = len(systems[0].size)
    whole = _joined(systems)
    first, second = one.unknown, other.unknown + shift
    rows = [_rows_of(systems[0], one.work), _rows_of(systems[-1], other.work)]
    if shift:
        rows[1] = rows[1] + len(systems[0].y)
    unknown = whole.entry_unknown.copy()
    for row_ids, here, there in ((rows[0], first, second), (rows[1], second, first)):
        mine = np.isin(whole.entry_row, row_ids) & (whole.entry_unknown == here)
        unknown[mine] = there
    before = sum(metal.misfit_of(number) for number in {one.family, other.family})
    after = _misfit(metal, replace(whole, entry_unknown=unknown))
    facts = [system.ground.facts for system in systems]
    tags = [
        facts[0].tags[systems[0].rows.items[systems[0].unknowns[one.unknown]]],
        facts[-1].tags[systems[-1].rows.items[systems[-1].unknowns[other.unknown]]],
    ]
    entries = (int(facts[0].works.number[one.work]), int(facts[-1].works.number[other.work]))
    return Swap((tags[0], tags[1]), entries, before, after)


def _rows_of(system: System, work: int) -> Ints:
    """Give the rows in which a work's own feed stands."""
    kinds, subjects = system.rows.kind[system.row_ids], system.rows.subject[system.row_ids]
    feeding = np.isin(kinds, [RowKind.FEED, RowKind.LOSS, RowKind.KEEP, RowKind.SUM])
    return np.flatnonzero(feeding & (subjects == work))


def _misfit(metal: SolvedMetal, system: System) -> float:
    family: Family
    if len(system.size) > LARGEST_DENSE:
        family = solve_sparse(system)
    else:
        family = next(iter(solve_dense([system])))
    return metal.misfit_at(family)


def _joined(systems: list[System]) -> System:
    """Put two families side by side as one; the words they came from stay with the first."""
    if len(systems) == 1:
        return systems[0]
    one, other = systems
    kinds = np.union1d(one.kinds, other.kinds)

    def factor(system: System) -> Ints:
        if not len(system.kinds):
            return system.factor
        place = np.searchsorted(kinds, system.kinds)
        return np.where(system.factor >= 0, place[system.factor], -1)

    def both(name: str) -> Floats:
        return np.concatenate([getattr(one, name), getattr(other, name)])

    return replace(
        one,
        row_ids=np.concatenate([one.row_ids, other.row_ids]),
        unknowns=np.concatenate([one.unknowns, other.unknowns]),
        size=both("size"),
        entry_row=np.concatenate([one.entry_row, other.entry_row + len(one.y)]),
        entry_unknown=np.concatenate([one.entry_unknown, other.entry_unknown + len(one.size)]),
        coefficient=both("coefficient"),
        y=both("y"),
        u=both("u"),
        kinds=kinds,
        factor=np.concatenate([factor(one), factor(other)]),
        factor_g=both("factor_g"),
    )
