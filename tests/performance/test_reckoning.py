"""Working a book of 100 000 items out that is tied into one, with the window free meanwhile."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partialmethod
from statistics import median

import numpy as np
import pytest
from pytestqt.qtbot import QtBot
from scipy import sparse
from scipy.sparse import linalg

from performance.big_books import entries_of_a_book
from performance.conftest import HUNDRED_THOUSAND
from performance.table import Measured, Table, ratio_words, seconds_of, spaced, time_words
from performance.ticking import Ticking
from vault.core.flow import Flow, flow_of
from vault.core.shop import Shop
from vault.reckoning import row_pile
from vault.reckoning.facts import Floats
from vault.reckoning.fronts import Fronts
from vault.reckoning.reckoner import Reckoner
from vault.reckoning.rows import rows_of
from vault.reckoning.sparse_family import SparseFamily, solve_sparse
from vault.reckoning.systems import System, systems_of
from vault.screens.background import Background
from vault.screens.garbage import CycleCollector

TIMES = 3
FREE_S = 0.1
# A prior without which the normal equations cannot be factorised, and the doubt of exact rows.
PRIOR = 1e-3
EXACT = 1e-6


@dataclass(frozen=True, slots=True)
class Tied:
    """A reckoned book that hangs together, and how long that took.

    Attributes:
        family: the largest family, solved.
        whole_s, doubts_s: all of it, and of it working out every ±; medians.
        longest_gap_s: the longest hold of the window in all runs.
    """

    items: int
    family: SparseFamily
    whole_s: float
    doubts_s: float
    longest_gap_s: float


@pytest.fixture(scope="module")
def tied_flow() -> Flow:
    shop = Shop()
    for entry in entries_of_a_book(HUNDRED_THOUSAND, tied=True):
        shop.take(entry)
    return flow_of(shop)


@pytest.fixture
def tied(qtbot: QtBot, tied_flow: Flow, monkeypatch: pytest.MonkeyPatch) -> Tied:
    """Reckon it in the program's own writer thread, while a window ticks."""
    background = Background()
    collector = CycleCollector(background)
    whole: list[float] = []
    doubts: list[float] = []
    gaps: list[float] = []
    reckoners: list[Reckoner] = []

    def work_out(progress: object, stopped: object) -> float:
        reckoners[:] = [Reckoner()]
        start = time.perf_counter()
        reckoners[0].begin(tied_flow)
        return time.perf_counter() - start

    spent = [0.0]

    def timed(family: SparseFamily, variances: Callable[[SparseFamily], Floats]) -> Floats:
        start = time.perf_counter()
        found = variances(family)
        spent[0] += time.perf_counter() - start
        return found

    monkeypatch.setattr(SparseFamily, "variances", partialmethod(timed, SparseFamily.variances))
    for turn in range(TIMES):
        spent[0] = 0.0
        with Ticking() as ticking:
            background.run(work_out, whole.append, words="Working out …")
            qtbot.waitUntil(lambda done=turn + 1: len(whole) == done, timeout=300_000)
        doubts.append(spent[0])
        gaps.append(ticking.longest_gap_s)
    monkeypatch.undo()
    collector.close()
    background.close()
    families = reckoners[0]._standing.metals["Ag"].families.values()
    largest = max(families, key=lambda one: len(one.system.size))
    assert isinstance(largest, SparseFamily)
    return Tied(len(tied_flow.items), largest, median(whole), median(doubts), max(gaps))


def test_a_book_of_100_000_items_tied_into_one_beside_one_bare_factorisation(
    tied: Tied, table: Table, monkeypatch: pytest.MonkeyPatch
) -> None:
    family = tied.family
    unknowns = len(family.system.size)
    assert unknowns > 0.9 * HUNDRED_THOUSAND
    every_doubt_is_that_of_a_single_solve(family)
    plain = normal_equations(as_the_book_has_it(family.system, monkeypatch))
    ours = normal_equations(family.system)
    bare = seconds_of(lambda: factorised(plain), 5)
    bare_of_ours = seconds_of(lambda: factorised(ours), 5)
    order = Fronts(family.system)
    ordered = seconds_of(lambda: Fronts(family.system), 3)
    solved = seconds_of(lambda: solve_sparse(family.system, order), 3)
    size = f"{spaced(tied.items)} items, {spaced(unknowns)} unknowns in one"
    told = f"{time_words(bare)}: one scipy splu"
    without = tied.whole_s - tied.doubts_s
    table.add(
        Measured(
            3, "full reckoning, rows and all", size, time_words(without), told, without / bare,
            "≤ 4", without <= 4 * bare,
            f"by QR, solved twice, since doubts scale with the contents found first: the order "
            f"{time_words(ordered)}, then {time_words(solved)} each; the rest is facts and rows. "
            f"With every ± {time_words(tied.whole_s)}. With sums written in the program's own "
            f"order a bare factorisation takes {time_words(bare_of_ours)}, and all of it is "
            f"{ratio_words(without / bare_of_ours)} × that",
        )
    )  # fmt: skip
    table.add(
        Measured(
            3, "meanwhile, the longest hold of the window", size, time_words(tied.longest_gap_s),
            target="≤ 100 ms", met=tied.longest_gap_s <= FREE_S,
        )
    )  # fmt: skip
    table.add(
        Measured(
            4, "all ± of it", size, time_words(tied.doubts_s), told, tied.doubts_s / bare, "≤ 10",
            tied.doubts_s <= 10 * bare, "worked out after both solutions",
        )
    )  # fmt: skip


def every_doubt_is_that_of_a_single_solve(family: SparseFamily) -> None:
    """Hold some variances against solves of their own."""
    variances = family.variances()
    for at in np.linspace(0, len(variances) - 1, 7).astype(int):
        one = np.zeros((len(variances), 1))
        one[at] = 1.0
        assert variances[at] == pytest.approx(family.times(one)[at, 0], rel=1e-6)


def as_the_book_has_it(system: System, monkeypatch: pytest.MonkeyPatch) -> System:
    """Give the same family with every sum in one row, however wide."""
    with monkeypatch.context() as patch:
        patch.setattr(row_pile, "WIDEST_SUM", 10**9)
        whole = systems_of(system.ground, rows_of(system.ground))
    found = max(whole, key=lambda one: len(one.size))
    assert found.items == system.items
    return found


def normal_equations(system: System) -> sparse.csc_matrix:
    """Give H'WH + prior, in natural sizes."""
    shape = (len(system.y), len(system.size))
    value = system.coefficient * system.size[system.entry_unknown]
    matrix = sparse.csr_matrix((value, (system.entry_row, system.entry_unknown)), shape)
    length = np.sqrt(np.asarray(matrix.multiply(matrix).sum(axis=1)).ravel())
    weight = 1.0 / np.maximum(system.u, EXACT * length) ** 2
    weighted = sparse.csr_matrix(matrix.T @ sparse.diags_array(weight))
    normal: sparse.csc_matrix = (weighted @ matrix + PRIOR * sparse.eye_array(shape[1])).tocsc()
    return normal


def factorised(normal: sparse.csc_matrix) -> object:
    """Factorise it for good, and nothing else."""
    return linalg.splu(
        normal,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
