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

import numpy as np
from scipy import sparse
from scipy.sparse import linalg

from vault.reckoning.dissection import cuts_of
from vault.reckoning.facts import Ints

# A whole branch with no more unknowns than this is one front.
_LEAF = 16
# Neighbours become one front below this width; above it, where no more of its triangle stays empty
# than this share.
_SMALL = 20
_EMPTY = 0.3


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
    tied = sparse.csc_array(pattern.T @ pattern)
    cut, time = cuts_of(tied.tocsr(), items)
    free, held = np.flatnonzero(cut == 0), np.flatnonzero(cut > 0)
    order, own = _taken_apart(tied[free][:, free] if len(held) else tied)
    # The smallest cuts, those between the smallest pieces, come first.
    held = held[np.lexsort((time[held], -cut[held]))]
    sizes = np.bincount(cut[held])[::-1]
    own = np.concatenate([own, sizes[sizes > 0]])
    place = np.empty(unknowns, dtype=np.int64)
    place[np.concatenate([free[order], held])] = np.arange(unknowns)
    last = np.cumsum(own) - 1
    parent, beyond = _beyond(row, place[unknown], rows, own)
    lengths = [len(one) for one in beyond]
    return Elimination(
        place=place,
        first=last - own + 1,
        last=last,
        parent=parent,
        start=np.concatenate([[0], np.cumsum(lengths)]),
        beyond=np.concatenate(beyond),
    )


def _taken_apart(tied: sparse.csc_array) -> tuple[Ints, Ints]:
    """Give an order for one part, or for several apart, and the sizes of its fronts."""
    if not tied.shape[0]:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    place, start, below = _filled(tied)
    width = np.diff(start)
    up = np.where(width > 0, np.append(below, 0)[start[:-1]], -1)
    size, after = _branches(up.tolist())
    before = np.argsort(after)
    up = np.where(up >= 0, after[up], -1)[before]
    own = _fronts(up.tolist(), width[before].tolist(), size[before].tolist())
    return np.argsort(after[place]), own


def _beyond(row: Ints, place: Ints, rows: int, own: Ints) -> tuple[Ints, list[Ints]]:
    """Give the parent of every front, and the places beyond it: of its rows and its children."""
    last, front_of = np.cumsum(own) - 1, np.repeat(np.arange(len(own)), own)
    span = len(front_of)
    first = np.full(rows, span - 1)
    np.minimum.at(first, row, place)
    front = front_of[first][row]
    far = place > last[front]
    front, reached = np.divmod(np.unique(front[far] * span + place[far]), span)
    starts = np.searchsorted(front, np.arange(len(last) + 1)).tolist()
    parent = np.full(len(last), -1, dtype=np.int64)
    beyond: list[Ints] = []
    children: dict[int, list[Ints]] = {}
    for at, end in enumerate(last.tolist()):
        mine = reached[starts[at] : starts[at + 1]]
        if at in children:
            mine = np.unique(np.concatenate([mine, *children.pop(at)]))
            mine = mine[mine > end]
        beyond.append(mine)
        if len(mine):
            up = int(front_of[mine[0]])
            parent[at] = up
            children.setdefault(up, []).append(mine)
    return parent, beyond


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


def _filled(tied: sparse.csc_array) -> tuple[Ints, Ints, Ints]:
    """Give the place of each unknown, and where the fill below each place starts, and the fill.

    Minimum degree, as the sparse solver has it; its factor of a matrix with the same pattern, in
    which nothing can cancel, tells the fill.
    """
    heavy = sparse.diags_array(2.0 * tied.sum(axis=1) + 1.0)
    factor = linalg.splu(
        sparse.csc_array(heavy - tied),
        permc_spec="MMD_AT_PLUS_A",
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


def _fronts(up: list[int], width: list[int], size: list[int]) -> Ints:
    """Cut an order into fronts, and give how many unknowns each takes out."""
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
    return np.array(own, dtype=np.int64)
