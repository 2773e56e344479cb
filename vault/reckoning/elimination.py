"""In which order the unknowns of a large family are taken out of its rows, and in what company.

Taking an unknown out joins all rows it stands in, and with them all other unknowns of these rows;
an order is good if few come together. The unknowns that are taken out together are a front; what
its rows say of unknowns beyond goes to the front that takes out the first of those, its parent.

Reference: J. W. H. Liu, The multifrontal method for sparse matrix solution, SIAM Review 34 (1992)
82-109.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

import numpy as np
from scipy import sparse
from scipy.sparse import linalg

from vault.reckoning.dissection import cuts_of
from vault.reckoning.facts import Ints

# A whole branch with no more unknowns than this is one front.
_LEAF = 16
# Neighbours become one front below this width; above it, where no more of its triangle stays empty
# than this share.
_SMALL = 32
_EMPTY = 0.2
# Cuts by time are made use of if they hold more than so many unknowns.
_WIDE_CUT = 100


@dataclass(frozen=True, slots=True, eq=False)
class Elimination:
    """An order of elimination, cut into fronts of neighbours in it.

    Attributes:
        place: place of every unknown in the order.
        first, last: the first and the last place of each front.
        parent: of each front, −1 where it has none; parents come later.
        start, beyond: the places beyond each front, rising, one front after the other.
    """

    place: Ints
    first: Ints
    last: Ints
    parent: Ints
    start: Ints
    beyond: Ints


def elimination_of(row: Ints, unknown: Ints, rows: int, unknowns: int, items: int) -> Elimination:
    """Find an order for rows given by their entries, by position; items come first, as made."""
    pattern = sparse.csr_array((np.ones(len(row)), (row, unknown)), (rows, unknowns))
    place, start, below = _filled(sparse.csc_array(pattern.T @ pattern), items)
    width = np.diff(start)
    up = np.where(width > 0, np.append(below, 0)[start[:-1]], -1)
    size, after = _branches(up.tolist())
    before = np.argsort(after)
    up = np.where(up >= 0, after[up], -1)[before]
    last, own = _fronts(up.tolist(), width[before].tolist(), size[before].tolist())
    of_place = np.repeat(np.arange(len(last)), own)
    lengths = width[before[last]]
    front, nth = numbered(lengths)
    beyond = after[below[start[before[last]][front] + nth]]
    return Elimination(
        place=after[place],
        first=last - own + 1,
        last=last,
        parent=np.where(up[last] >= 0, of_place[up[last]], -1),
        start=np.concatenate([[0], np.cumsum(lengths)]),
        beyond=beyond[np.lexsort((beyond, front))],
    )


def numbered(lengths: Ints) -> tuple[Ints, Ints]:
    """Give, for each member of runs of these lengths, its run and its number in it.

    >>> import numpy as np
    >>> numbered(np.array([2, 0, 3]))
    (array([0, 0, 2, 2, 2]), array([0, 1, 0, 1, 2]))
    """
    run = np.repeat(np.arange(len(lengths)), lengths)
    return run, np.arange(len(run)) - np.repeat(np.cumsum(lengths) - lengths, lengths)


def _branches(up: list[int]) -> tuple[Ints, Ints]:
    """Give the size of the branch under every place, and an order with each branch in one run.

    Args:
        up: the place that each hangs on; it comes later.
    """
    size = [1] * len(up)
    for at, parent in enumerate(up):
        if parent >= 0:
            size[parent] += size[at]
    free = [0] * len(up)
    after = [0] * len(up)
    end = len(up)
    for at in range(len(up) - 1, -1, -1):
        parent = up[at]
        if parent >= 0:
            mine = free[parent]
            free[parent] = mine - size[at]
        else:
            mine = end
            end -= size[at]
        after[at] = free[at] = mine - 1
    return np.array(size, dtype=np.int64), np.array(after, dtype=np.int64)


def _filled(tied: sparse.csc_array, items: int) -> tuple[Ints, Ints, Ints]:
    """Give the place of each unknown, and where the fill below each place starts, and the fill.

    Minimum degree, as the sparse solver has it; in pieces, where cuts are wide.
    """
    cut, time = cuts_of(tied.tocsr(), items)
    counts = np.bincount(cut[cut >= 0])
    if not len(counts) or (counts / 2.0 ** np.arange(len(counts))).max() < _WIDE_CUT:
        return _factor_of(tied, "MMD_AT_PLUS_A")
    free, held = np.flatnonzero(cut < 0), np.flatnonzero(cut >= 0)
    within, _, _ = _factor_of(tied[free][:, free], "MMD_AT_PLUS_A")
    order = np.concatenate([free[np.argsort(within)], held[np.lexsort((time[held], -cut[held]))]])
    place, start, below = _factor_of(tied[order][:, order], "NATURAL")
    found = np.empty_like(place)
    found[order] = place
    return found, start, below


def _factor_of(
    tied: sparse.csc_array, way: Literal["MMD_AT_PLUS_A", "NATURAL"]
) -> tuple[Ints, Ints, Ints]:
    """Give places and fill by a factor of a matrix with that pattern, in which nothing cancels."""
    heavy = sparse.diags_array(2.0 * tied.sum(axis=1) + 1.0)
    factor = linalg.splu(
        sparse.csc_array(heavy - tied),
        permc_spec=way,
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    lower = factor.L
    lower.sort_indices()
    start = lower.indptr.astype(np.int64)
    inner = np.ones(lower.nnz, dtype=np.bool_)
    inner[start[:-1]] = False
    return (
        factor.perm_c.astype(np.int64),
        start - np.arange(len(start)),
        lower.indices[inner].astype(np.int64),
    )


def _fronts(up: list[int], width: list[int], size: list[int]) -> tuple[Ints, Ints]:
    """Cut the order into fronts: the last place of each, and how many it takes out."""
    last: list[int] = []
    own: list[int] = []
    # Entries of the triangle that are not empty.
    full: list[int] = []
    ends = list(accumulate(width, initial=0))
    for at, parent in enumerate(up):
        if size[at] <= _LEAF:
            if parent < 0 or size[parent] > _LEAF:
                last.append(at)
                own.append(size[at])
                full.append(ends[at + 1] - ends[at + 1 - size[at]] + size[at])
            continue
        mine, entries = 1, width[at] + 1
        while last and up[last[-1]] == at and last[-1] == at - mine:
            both = mine + own[-1]
            room = both * (both + 1) // 2 + both * width[at]
            if both + width[at] > _SMALL and entries + full[-1] < (1.0 - _EMPTY) * room:
                break
            last.pop()
            mine += own.pop()
            entries += full.pop()
        last.append(at)
        own.append(mine)
        full.append(entries)
    return np.array(last, dtype=np.int64), np.array(own, dtype=np.int64)
