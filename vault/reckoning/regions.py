"""Regions: the items that may hold a metal, as far as anybody has said anything of it.

A metal is followed where it was said of something: in that item (or in those that a settlement
names together), in all that it came from, and in all that came from those; and in what became of a
work to which it was added. Into this region further metal may come from a thing of which nobody has
said anything at all; such a thing and what became of it belong to the region too, as not known. A
thing of which other metals were said, and from which nothing was made that speaks of this one, is
taken to bring none.
"""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from vault.reckoning.facts import NOBODY, Bools, Facts, Ints
from vault.reckoning.guesses import unnamed_share


def region_of(facts: Facts, metal: int) -> Bools:
    """Tell for every item whether it belongs to the region of a metal, given by its code."""
    said = np.zeros(len(facts.tags), dtype=bool)
    said[facts.sayings.item[facts.sayings.metal == metal]] = True
    wholes = facts.wholes
    said[wholes.item[wholes.metal[wholes.whole] == metal]] = True
    if said.all():
        return said
    adding = np.zeros(len(facts.works.number), dtype=bool)
    adding[facts.additions.work[facts.additions.metal == metal]] = True
    given = np.zeros(len(facts.tags), dtype=bool)
    given[facts.made.item[adding[facts.made.work]]] = True
    if not (said | given).any():
        return said
    forward = _graph(facts)
    backward = forward.T.tocsr()
    region = _reach(forward, _reach(backward, said) | given)
    silent = facts.maker == NOBODY
    if unnamed_share(metal) >= 1.0:
        silent &= ~said
    else:
        silent[facts.sayings.item] = False
    silent &= ~region
    if silent.any():
        silent &= _reach(backward, region)
        region |= _reach(forward, silent)
    return region


def families_of(facts: Facts, region: Bools, metal: int | None = None) -> tuple[Ints, Ints]:
    """Number the connected families within a region: joined by works and by settled wholes.

    Where a metal is given by its code, only what was settled of that metal joins.

    Returns:
        The family of every item and of every work, `NOBODY` outside the region; families are
        numbered by their first item.
    """
    items, works = len(facts.tags), len(facts.works.number)
    ends = [
        (side.item[inside], side.work[inside] + items)
        for side in (facts.used, facts.made)
        for inside in [region[side.item]]
    ]
    wholes = facts.wholes
    joins = region[wholes.item]
    if metal is not None:
        joins &= wholes.metal[wholes.whole] == metal
    ends.append((wholes.item[joins], wholes.whole[joins] + items + works))
    rows = np.concatenate([one[0] for one in ends])
    columns = np.concatenate([one[1] for one in ends])
    size = items + works + len(wholes.metal)
    graph = sparse.csr_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), (size, size))
    _, label = csgraph.connected_components(graph, directed=False)
    touched = np.zeros(size, dtype=bool)
    touched[:items] = region
    touched[columns] = True
    _, first, family = np.unique(label[touched], return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    found = np.full(size, NOBODY, dtype=np.int64)
    found[touched] = rank[family]
    return found[:items], found[items : items + works]


def _graph(facts: Facts) -> sparse.csr_matrix:
    """Give the directed graph item → work → item."""
    items = len(facts.tags)
    size = items + len(facts.works.number)
    rows = np.concatenate([facts.used.item, facts.made.work + items])
    columns = np.concatenate([facts.used.work + items, facts.made.item])
    return sparse.csr_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), (size, size))


def _reach(graph: sparse.csr_matrix, starts: Bools) -> Bools:
    """Tell which items can be reached from the starting ones, those included."""
    size = graph.shape[0]
    first = np.flatnonzero(starts)
    if not len(first):
        return starts.copy()
    # One more node with an edge to every start makes one search of many.
    whole = sparse.csr_matrix(
        (
            np.ones(graph.nnz + len(first), dtype=np.int8),
            np.concatenate([graph.indices, first]),
            np.concatenate([graph.indptr, [graph.nnz + len(first)]]),
        ),
        (size + 1, size + 1),
    )
    order = csgraph.breadth_first_order(whole, size, return_predecessors=False)
    reached = np.zeros(size + 1, dtype=bool)
    reached[order] = True
    return reached[: len(starts)]
