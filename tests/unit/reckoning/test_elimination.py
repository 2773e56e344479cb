"""The order of elimination: whatever stands in one row comes together in one front."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse import csgraph

from vault.reckoning import dissection
from vault.reckoning.dissection import cuts_of
from vault.reckoning.elimination import Elimination, elimination_of
from vault.reckoning.facts import Ints


def random_rows(rows: int, unknowns: int, reach: int, seed: int) -> tuple[Ints, Ints]:
    """Rows over unknowns that lie near each other, and here and there one far away."""
    chance = np.random.default_rng(seed)
    row = np.repeat(np.arange(rows), 3)
    centre = np.repeat(chance.integers(0, unknowns, rows), 3)
    unknown = np.clip(centre + chance.integers(-reach, reach + 1, 3 * rows), 0, unknowns - 1)
    pairs = np.unique(np.stack([row, unknown]), axis=1)
    # Every unknown stands in a row, be it alone.
    alone = np.setdiff1d(np.arange(unknowns), pairs[1])
    more = np.stack([rows + np.arange(len(alone)), alone])
    both = np.concatenate([pairs, more], axis=1)
    return both[0], both[1]


def columns_of(order: Elimination, front: int) -> set[int]:
    own = range(int(order.first[front]), int(order.last[front]) + 1)
    return {*own, *order.beyond[order.start[front] : order.start[front + 1]].tolist()}


CASES = [(1, 1, 1), (6, 4, 2), (60, 40, 3), (500, 400, 6), (900, 1200, 40)]


@pytest.fixture(params=[False, True], ids=["minimum degree", "cut by time"])
def by_cuts(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    if request.param:
        monkeypatch.setattr(dissection, "_PIECE", 50)
    return bool(request.param)


@pytest.mark.parametrize(("rows", "unknowns", "reach"), CASES)
def test_every_row_lies_in_the_front_that_takes_its_first_unknown_out(
    rows: int, unknowns: int, reach: int, *, by_cuts: bool
) -> None:
    row, unknown = random_rows(rows, unknowns, reach, 5)
    order = elimination_of(row, unknown, int(row.max()) + 1, unknowns, unknowns)
    assert sorted(order.place.tolist()) == list(range(unknowns))
    for one in range(int(row.max()) + 1):
        places = order.place[unknown[row == one]]
        front = int(np.searchsorted(order.last, places.min()))
        assert set(places.tolist()) <= columns_of(order, front)


@pytest.mark.parametrize(("rows", "unknowns", "reach"), CASES)
def test_what_a_front_leaves_over_is_its_parents_to_take(
    rows: int, unknowns: int, reach: int, *, by_cuts: bool
) -> None:
    row, unknown = random_rows(rows, unknowns, reach, 6)
    order = elimination_of(row, unknown, int(row.max()) + 1, unknowns, unknowns)
    taken = [one for a, b in zip(order.first, order.last, strict=True) for one in range(a, b + 1)]
    assert taken == list(range(unknowns))
    for front, parent in enumerate(order.parent.tolist()):
        beyond = order.beyond[order.start[front] : order.start[front + 1]].tolist()
        assert beyond == sorted(beyond)
        assert (parent < 0) == (not beyond)
        if beyond:
            assert parent > front
            assert order.first[parent] <= beyond[0] <= order.last[parent]
            assert set(beyond) <= columns_of(order, parent)


def tied_of(row: Ints, unknown: Ints) -> sparse.csr_array:
    pattern = sparse.csr_array((np.ones(len(row)), (row, unknown)))
    return sparse.csr_array(pattern.T @ pattern)


def test_without_what_stands_in_the_cuts_the_pieces_fall_apart(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(dissection, "_PIECE", 50)
    row, unknown = random_rows(1500, 1000, 5, 7)
    tied = tied_of(row, unknown)
    cut, _ = cuts_of(tied, 1000)
    left = np.flatnonzero(cut == 0)
    _, part = csgraph.connected_components(tied[left][:, left], directed=False)
    assert np.bincount(part).max() <= 1000 // 16
    assert len(left) > 700


def test_a_chain_is_cut_by_one_link_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dissection, "_PIECE", 64)
    # Cut 1 in the middle, 2 and 3 in the middle of the halves, and so on.
    links = np.arange(511)
    row, unknown = np.repeat(links, 2), np.stack([links, links + 1], axis=1).ravel()
    cut, _ = cuts_of(tied_of(row, unknown), 512)
    assert np.bincount(cut)[1:].tolist() == [1] * 7
    assert [int(np.flatnonzero(cut == one)[0]) // 64 for one in (1, 2, 3)] == [3, 1, 5]


def test_what_is_no_item_takes_its_time_from_what_it_is_tied_to() -> None:
    """Three sums at the end of the list, over the first, the middle and the last items."""
    rows = [(0, 1, 2, 30), (14, 15, 16, 31), (27, 28, 29, 32)]
    row = np.repeat(np.arange(3), 4)
    unknown = np.array([one for members in rows for one in members])
    alone = np.arange(33)
    tied = tied_of(np.append(row, 3 + alone), np.append(unknown, alone))
    _, time = cuts_of(tied, 30)
    assert time[:30].tolist() == list(range(30))
    assert time[30:] == pytest.approx([1, 15, 28], abs=0.5)
