"""Families solved: small ones by one QR, large ones front by front, each metal by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from vault.core.metals import ALL_SYMBOLS
from vault.reckoning.dense_families import DenseFamily, solve_dense
from vault.reckoning.facts import KINDS, Facts, Floats
from vault.reckoning.fronts import Fronts
from vault.reckoning.guesses import Guesses
from vault.reckoning.marks import assayed_items, declared_doubts
from vault.reckoning.nominal import feeds_of, keeps_of, nominal_contents
from vault.reckoning.regions import families_of, region_of
from vault.reckoning.row_pile import Ground
from vault.reckoning.rows import rows_of
from vault.reckoning.scales import estimates_of, rescaled
from vault.reckoning.sparse_family import SparseFamily, solve_sparse
from vault.reckoning.systems import System, systems_of
from vault.reckoning.weights import Weights

Family = DenseFamily | SparseFamily
Tick = Callable[[], None]

# Both ways give the same figures; up to some such size one QR of the whole is the faster.
LARGEST_DENSE = 250


@dataclass(frozen=True, slots=True, eq=False)
class MetalSolved:
    """The families of one metal, solved over one set of facts.

    Attributes:
        metal: its symbol.
        ground: what the rows stood on.
        families: solved, in no particular order.
        assayed: by item of the facts, whether the metal was measured in it.
        declared_u_g: by item, the doubt of what was declared of it, NaN where nothing was.
    """

    metal: str
    ground: Ground
    families: list[Family]
    assayed: np.ndarray
    declared_u_g: Floats


def solve_metals(
    facts: Facts, weights: Weights, guesses: Guesses, tick: Tick
) -> Iterator[MetalSolved]:
    """Solve every metal that anything is said of; `tick` is called between pieces of work."""
    told = (facts.sayings.metal, facts.wholes.metal, facts.additions.metal)
    spoken = {code for metals in told for code in metals.tolist()}
    for metal in sorted(spoken):
        tick()
        solved = _solve_metal(facts, weights, guesses, metal, tick)
        if solved is not None:
            yield solved


def _solve_metal(
    facts: Facts, weights: Weights, guesses: Guesses, metal: int, tick: Tick
) -> MetalSolved | None:
    """Solve one metal twice: the first solution sets the scale of the doubts of the second."""
    region = region_of(facts, metal)
    if not region.any():
        return None
    symbol = ALL_SYMBOLS[metal]
    item_family, work_family = families_of(facts, region, metal)
    keeps = keeps_of(guesses, symbol)
    fine = nominal_contents(facts, weights, region, metal, keeps)
    feeds = feeds_of(facts, fine, weights, metal)
    unscaled = np.full(len(facts.tags), np.nan)
    first = Ground(facts, weights, guesses, symbol, item_family, work_family, unscaled, feeds)
    rows = rows_of(first)
    orders: dict[int, Fronts] = {}
    x, u = estimates_of(rows, _solve(systems_of(first, rows), orders, tick))
    second = rescaled(first, rows, x, u)
    families = list(_solve(systems_of(second, rows_of(second)), orders, tick))
    assayed = assayed_items(facts, metal)
    return MetalSolved(symbol, second, families, assayed, declared_doubts(facts, weights, metal))


def _solve(systems: list[System], orders: dict[int, Fronts], tick: Tick) -> Iterator[Family]:
    """Solve families; `orders` of work, by number in the list, are found once and then kept."""
    small = [system for system in systems if len(system.size) <= LARGEST_DENSE]
    for at, family in enumerate(solve_dense(small)):
        if at % 256 == 0:
            tick()
        yield family
    for number, system in enumerate(systems):
        if len(system.size) > LARGEST_DENSE:
            tick()
            if number not in orders or not orders[number].fit(system):
                orders[number] = Fronts(system)
            yield solve_sparse(system, orders[number])


def kept_and_fed(system: System) -> tuple[Floats, Floats]:
    """Give nominal grams kept and fed by residue kind, over the keep rows of a family."""
    kept, fed = np.zeros(len(KINDS)), np.zeros(len(KINDS))
    leans = np.flatnonzero(system.factor >= 0)
    rows = system.row_ids[leans]
    kind = system.rows.factor[rows]
    np.add.at(kept, kind, -system.rows.factor_g[rows])
    np.add.at(fed, kind, system.ground.feeds[system.rows.subject[rows]])
    return kept, fed
