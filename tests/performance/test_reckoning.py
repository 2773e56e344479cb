"""Working a book of 100 000 items out that is tied into one, with the window free meanwhile."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
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
from vault.reckoning import sparse_family
from vault.reckoning.reckoner import Reckoner
from vault.reckoning.selected_inverse import selected_inverse
from vault.reckoning.sparse_family import _PRIOR, SparseFamily, solve_sparse
from vault.screens.background import Background
from vault.screens.garbage import CycleCollector

TIMES = 3
FREE_S = 0.1
WHY_HELD = (
    "scipy copies the finished factor out in one piece; no other Python thread runs meanwhile"
)


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


class Stopwatch:
    """Adds up how long a function of the program takes, wherever it is called from."""

    def __init__(self, timed: Callable[[object], object]) -> None:
        self._timed = timed
        self.seconds = 0.0

    def __call__(self, factor: object) -> object:
        start = time.perf_counter()
        found = self._timed(factor)
        self.seconds += time.perf_counter() - start
        return found


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
    collector = CycleCollector(lambda: background.is_idle)
    whole: list[float] = []
    doubts: list[float] = []
    gaps: list[float] = []
    reckoners: list[Reckoner] = []

    def work_out(progress: object, stopped: object) -> float:
        reckoners[:] = [Reckoner()]
        start = time.perf_counter()
        reckoners[0].begin(tied_flow)
        return time.perf_counter() - start

    for turn in range(TIMES):
        watch = Stopwatch(selected_inverse)
        monkeypatch.setattr(sparse_family, "selected_inverse", watch)
        with Ticking() as ticking:
            background.run(work_out, whole.append, words="Working out …")
            qtbot.waitUntil(lambda done=turn + 1: len(whole) == done, timeout=300_000)
        doubts.append(watch.seconds)
        gaps.append(ticking.longest_gap_s)
    monkeypatch.undo()
    collector.close()
    background.close()
    families = reckoners[0]._standing.metals["Ag"].families.values()
    largest = max(families, key=lambda one: len(one.system.size))
    assert isinstance(largest, SparseFamily)
    return Tied(len(tied_flow.items), largest, median(whole), median(doubts), max(gaps))


def test_a_book_of_100_000_items_tied_into_one_beside_one_bare_factorisation(
    tied: Tied, table: Table
) -> None:
    family = tied.family
    unknowns = len(family.system.size)
    assert unknowns > 0.9 * HUNDRED_THOUSAND
    every_doubt_is_that_of_a_single_solve(family)
    normal = normal_equations(family)
    bare = seconds_of(lambda: factorised(normal), 5)
    solved = seconds_of(lambda: solve_sparse(family.system), 3)
    size = f"{spaced(tied.items)} items, {spaced(unknowns)} unknowns in one"
    told = f"{time_words(bare)}: one scipy splu"
    without = tied.whole_s - tied.doubts_s
    table.add(
        Measured(
            3, "full reckoning, rows and all", size, time_words(without), told, without / bare,
            "≤ 4", without <= 4 * bare,
            f"solved twice, since doubts scale with the contents found first: {time_words(solved)} "
            f"each, or {ratio_words(solved / bare)} × the factorisation; the rest is facts and "
            f"rows. With every ± {time_words(tied.whole_s)}",
        )
    )  # fmt: skip
    table.add(
        Measured(
            3, "meanwhile, the longest hold of the window", size, time_words(tied.longest_gap_s),
            target="≤ 100 ms", met=tied.longest_gap_s <= FREE_S,
            remark="" if tied.longest_gap_s <= FREE_S else WHY_HELD,
        )
    )  # fmt: skip
    table.add(
        Measured(
            4, "all ± of it", size, time_words(tied.doubts_s), told, tied.doubts_s / bare, "≤ 10",
            tied.doubts_s <= 10 * bare,
        )
    )  # fmt: skip


def every_doubt_is_that_of_a_single_solve(family: SparseFamily) -> None:
    """Hold some variances against solves of their own."""
    variances = family.variances()
    for at in np.linspace(0, len(variances) - 1, 7).astype(int):
        one = np.zeros((len(variances), 1))
        one[at] = 1.0
        assert variances[at] == pytest.approx(family.times(one)[at, 0], rel=1e-6)


def normal_equations(family: SparseFamily) -> sparse.csc_matrix:
    """Give the system that the program factorises."""
    matrix, weight = family.matrix, family.weight
    weighted = sparse.csr_matrix(matrix.T @ sparse.diags_array(weight))
    return (weighted @ matrix + _PRIOR * sparse.eye_array(matrix.shape[1])).tocsc()


def factorised(normal: sparse.csc_matrix) -> object:
    """Factorise it as the program does, and nothing else."""
    return linalg.splu(
        normal,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
