"""Split rows: how the parts of a well mixed whole share its metal."""

from __future__ import annotations

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import NOBODY, PROCESSES, Facts, Floats, Ints, sums
from vault.reckoning.guesses import LIKE_PARTS, MOLTEN, sampling_constant
from vault.reckoning.row_pile import WIDEST_SUM, Pile, RowKind

_SPLITS = np.array([process in LIKE_PARTS for process in PROCESSES])
_MOLTEN = np.array([process in MOLTEN for process in PROCESSES])
_BLEND = PROCESSES.index(Process.BLEND)


def write_splits(pile: Pile) -> None:
    """Let the parts of a well mixed whole share its fineness, as closely as sampling allows."""
    ground, facts = pile.ground, pile.ground.facts
    works, made = facts.works, facts.made
    gross = ground.weights.gross_g[made.item]
    mine = _SPLITS[works.process[made.work]] & (facts.kind[made.item] == NOBODY)
    mine &= (pile.unknown_of[made.item] != NOBODY) & ~np.isnan(gross)
    several = np.bincount(made.work[mine], minlength=len(works.number)) > 1
    mine &= several[made.work]
    items = made.item[mine]
    if not len(items):
        return
    split, first, group = np.unique(made.work[mine], return_index=True, return_inverse=True)
    whole = sums(group, gross[mine], len(split))
    constant = np.array(
        [
            _sampling_of(facts, int(work), int(items[at]))
            for work, at in zip(split, first, strict=True)
        ]
    )
    split_among(pile, items, group, ground.feeds[split], np.sqrt(constant / whole))


def _sampling_of(facts: Facts, work: int, first_made: int) -> float:
    """Give the sampling constant of what a work divides."""
    process = int(facts.works.process[work])
    if _MOLTEN[process]:
        return sampling_constant("molten")
    if process == _BLEND:
        return sampling_constant(facts.forms[first_made])
    at = np.searchsorted(facts.used.work, work)
    return sampling_constant(facts.forms[facts.used.item[at]])


def split_among(pile: Pile, items: Ints, group: Ints, nominal: Floats, h: Floats | float) -> None:
    """Write the n − 1 split rows of every group of n items; `group` is sorted.

    Row j compares x_j with what is left from j on, so that the rows are independent and give
    together Cov = h²X²(diag f − f f'). To it comes the doubt of the weights.
    """
    ground = pile.ground
    count = np.bincount(group, minlength=len(nominal))
    several = (count[group] > 1) & ~np.isnan(ground.weights.gross_g[items])
    items, group = items[several], group[several]
    if not len(items):
        return
    count = np.bincount(group, minlength=len(nominal))
    # Whole micrograms, so that running sums are exact whatever else stands in the same array.
    gross = np.rint(ground.weights.gross_g[items] * 1e6).astype(np.int64)
    end = np.cumsum(count)
    running = np.concatenate([[0], np.cumsum(gross)])
    whole = (running[end] - running[end - count])[group]
    left = running[end][group] - running[:-1]
    at = np.arange(len(items))
    row = np.flatnonzero(at + 1 < end[group])
    ratio = gross[row] / np.maximum(left[row], 1)
    spread = np.broadcast_to(h, len(nominal))[group[row]]
    x0 = nominal[group[row]]
    after = (left[row] - gross[row]) / whole[row]
    variance = spread**2 * ratio * after + _of_weights(pile, items, group, row, left)
    terms = _remaining(pile, items, row, ratio, end[group])
    pile.put(
        RowKind.SPLIT,
        terms,
        u=x0 * np.sqrt(variance),
        subject=items[row],
        family=ground.item_family[items[row]],
    )


def _of_weights(pile: Pile, items: Ints, group: Ints, row: Ints, left: Ints) -> Floats:
    """Give the part of the weights' own doubts in a split row, for a nominal of one.

    With r_j = g_j / (g_j + rest), u²(r_j) = (u_j²·rest² + g_j²·u_rest²) / (g_j + rest)⁴. The doubt
    of the rest is taken as that of all the other parts.
    """
    gross, u = pile.ground.weights.gross_g[items], pile.ground.weights.u_g[items]
    count = int(group.max()) + 1
    whole, others = sums(group, gross, count)[group], sums(group, u**2, count)[group] - u**2
    rest = left / 1e6 - gross
    return ((u * rest) ** 2 + gross**2 * others)[row] / (whole * left / 1e6)[row] ** 2


def _remaining(
    pile: Pile, items: Ints, row: Ints, ratio: Floats, end: Ints
) -> list[tuple[Ints, Ints, Floats]]:
    """Give the terms x_j − r_j·(x_j + … + x_n) of every split row, wide remainders as chains."""
    unknown = pile.unknown_of[items]
    own = np.arange(len(row))
    length = end[row] - row
    rest = np.full(len(items), NOBODY, dtype=np.int64)
    for at in np.unique(end[row[length > WIDEST_SUM]]):
        _chain(pile, items, unknown, rest, int(at), int(row[end[row] == at][0]))
    chained = rest[row] != NOBODY
    near = np.where(chained, 0, length - 1)
    spread = np.repeat(own, near)
    start = np.concatenate([[0], np.cumsum(near)[:-1]])
    member = row[spread] + 1 + np.arange(len(spread)) - start[spread]
    return [
        (own, unknown[row], np.where(chained, 1.0, 1.0 - ratio)),
        (spread, unknown[member], -ratio[spread]),
        (own[chained], rest[row[chained]], -ratio[chained]),
    ]


def _chain(pile: Pile, items: Ints, unknown: Ints, rest: Ints, end: int, start: int) -> None:
    """Give a wide group the running remainders R_j = R_{j+1} + x_j as unknowns of their own."""
    members = np.arange(start, end)
    sizes = np.concatenate(pile.size)[unknown[members]]
    family = pile.ground.item_family[items[members]]
    running = pile.new(np.cumsum(sizes[::-1])[::-1][:-1], family[:-1])
    rest[members[:-1]] = running
    following = np.concatenate([running[1:], unknown[members[-1:]]])
    own = np.arange(len(running))
    pile.put(
        RowKind.SUM,
        [
            (own, running, np.ones(len(own))),
            (own, unknown[members[:-1]], -np.ones(len(own))),
            (own, following, -np.ones(len(own))),
        ],
        u=np.zeros(len(own)),
        subject=pile.ground.facts.maker[items[members[:-1]]],
        family=family[:-1],
    )
