"""A large family cut in halves by time, again and again, as few things as possible in the cuts.

At any day only so many sums are being gathered and so many residues lie about: what ties all before
that day to all after it is a narrow cut, however residues are mixed. The halves are worked on
first, and what stands in the cut last. Minimum degree alone loses its way in books where residues
lie about for long, and its factor of the whole would be large enough to hold the window.

Reference: A. George, Nested dissection of a regular finite element mesh, SIAM Journal on Numerical
Analysis 10 (1973) 345-363.
"""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from vault.reckoning.facts import Bools, Floats, Ints

# Pieces of about this many unknowns are not cut further.
_PIECE = 500
# How often what is no item takes its time from what it is tied to.
_SWEEPS = 12


def cuts_of(tied: sparse.csr_array, items: int) -> tuple[Ints, Floats]:
    """Give the cut in which every unknown stands, 0 for none, and its time.

    The first cut is 1; the halves on either side of cut c are cut by 2c and 2c + 1.

    Args:
        tied: which unknowns stand in a row together.
        items: how many of them are items; these come first, in the order of making.
    """
    count = tied.shape[0]
    time = _times(tied, items)
    rank = np.empty(count, dtype=np.int64)
    rank[np.argsort(time, kind="stable")] = np.arange(count)
    pairs = sparse.triu(tied, 1).tocoo()
    one, other = pairs.row.astype(np.int64), pairs.col.astype(np.int64)
    cut = np.zeros(count, dtype=np.int64)
    halves = 1
    while halves * _PIECE < count:
        halves *= 2
        piece = rank * halves // count
        # What older cuts have not parted already lies in one piece of the last round.
        across = (cut[one] == 0) & (cut[other] == 0) & (piece[one] != piece[other])
        one, other, crossing = one[~across], other[~across], (one[across], other[across])
        chosen = _smaller_sides(*crossing, piece % 2 == 1)
        cut[chosen] = (halves + piece[chosen]) // 2
    return cut, time


def _times(tied: sparse.csr_array, items: int) -> Floats:
    """Give every unknown a time: to items their place, to others the mean of what they touch."""
    count = tied.shape[0]
    ties = sparse.csr_array((np.ones(tied.nnz), tied.indices, tied.indptr), tied.shape)
    made = np.arange(items, dtype=np.float64)
    time, known = np.zeros(count), np.zeros(count)
    time[:items], known[:items] = made, 1.0
    for _ in range(_SWEEPS):
        total: Floats = np.asarray(ties @ known)
        time = np.asarray(ties @ (time * known)) / np.maximum(total, 1.0)
        known = np.minimum(total, 1.0)
        time[:items] = made
    return time


def _smaller_sides(one: Ints, other: Ints, right: Bools) -> Ints:
    """Give, of everything that hangs together across a cut, the side with fewer members."""
    if not len(one):
        return one
    names, places = np.unique(np.concatenate([one, other]), return_inverse=True)
    size = len(names)
    graph = sparse.coo_array(
        (np.ones(len(one)), (places[: len(one)], places[len(one) :])), (size, size)
    )
    groups, group = csgraph.connected_components(graph, directed=False)
    side = right[names]
    rights = np.bincount(group[side], minlength=groups)
    lefts = np.bincount(group[~side], minlength=groups)
    found: Ints = names[side == (rights < lefts)[group]]
    return found
