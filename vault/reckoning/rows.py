"""The rows of the balance of one metal: every record as `sum c·x = y ± u`.

Unknowns are the fine mass x of every item in the metal's region and, for every work with more than
one source, its feed T. A row with u = 0 is exact. `keep` rows also lean on δ, the relative
deviation of the house's own keep from its first guess, one for each residue kind:

| row     | says                                              | u |
|---------|---------------------------------------------------|---|
| said    | x = g·a                                           | weighing, fineness |
| silent  | x = 0, where only other metals were named         | rest / √3, or a little |
| feed    | T − Σ used = added                                | of the addition, else exact |
| loss    | (1 − l)·T − Σ made = 0                            | s_l·T0 |
| keep    | Σ residues of a kind − k·T − k·T0·δ = 0           | s_w·k·T0 |
| split   | x_j − f_j/(1 − F_{j−1})·(x_j + … + x_n) = 0       | h·X0·√(f_j(1 − F_j)/(1 − F_{j−1})) |
| sum     | S − S before − Σ of five = 0                      | exact |
| whole   | Σ items settled together = Σ g·a                  | weighing, fineness |

Wide sums are written as running sums, or one merge would fill the whole factor.
"""

from __future__ import annotations

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import (
    KINDS,
    LEAST_SHARE_U,
    NOBODY,
    PROCESSES,
    WORD,
    Facts,
    Floats,
    Ints,
    sums,
)
from vault.reckoning.guesses import loss_of, unnamed_share
from vault.reckoning.handbook import handbook
from vault.reckoning.nominal import added_of, batch_keeps, gross_feeds_of, keeps_of
from vault.reckoning.row_pile import Ground, Pile, RowKind, Rows
from vault.reckoning.splits import split_among, write_splits
from vault.reckoning.weights import Weights
from vault.reckoning.wholes import write_wholes

# How unevenly several residues of one kind from one work share what that kind keeps.
_UNEVEN_RESIDUES = 0.3
_SLAGS = np.array([kind.startswith("slag") for kind in KINDS])
_CUPELS = np.array([kind == "spent cupel" for kind in KINDS])


def rows_of(ground: Ground) -> Rows:
    """Write down every row of one metal."""
    pile = Pile(ground)
    _feeds(pile)
    _said(pile)
    _silent(pile)
    _losses(pile)
    _keeps(pile)
    write_splits(pile)
    write_wholes(pile)
    return pile.rows()


def _feeds(pile: Pile) -> None:
    """Give every work its feed, an unknown of its own unless it has one single source."""
    ground, facts = pile.ground, pile.ground.facts
    count = len(facts.works.number)
    inside = pile.unknown_of[facts.used.item] != NOBODY
    work, unknown = facts.used.work[inside], pile.unknown_of[facts.used.item[inside]]
    added, added_var = added_of(facts, ground.code)
    has_added = np.zeros(count, dtype=bool)
    has_added[facts.additions.work[facts.additions.metal == ground.code]] = True
    active = ground.work_family != NOBODY
    sole = (np.bincount(work, minlength=count) == 1) & ~has_added
    single = sole[work]
    pile.feed[work[single]] = unknown[single]
    many = np.flatnonzero(active & ~sole)
    gross = gross_feeds_of(facts, ground.weights) + np.nan_to_num(added)
    pile.feed[many] = pile.new(gross[many], ground.work_family[many])
    kept = many[~np.isnan(added[many])]
    rank = np.full(count, NOBODY, dtype=np.int64)
    rank[kept] = np.arange(len(kept))
    mine = rank[work] != NOBODY
    group, term = pile.fold(
        rank[work[mine]], unknown[mine], family=ground.work_family[kept], subject=kept
    )
    pile.put(
        RowKind.FEED,
        [(rank[kept], pile.feed[kept], np.ones(len(kept))), (group, term, -np.ones(len(group)))],
        y=added[kept],
        u=np.sqrt(added_var[kept]),
        subject=kept,
        family=ground.work_family[kept],
    )


def _said(pile: Pile) -> None:
    """Write x = g·a for everything said of an item that has a weight."""
    ground, said = pile.ground, pile.ground.facts.sayings
    gross, gross_u = said_weights(ground.facts, ground.weights)
    fits = np.flatnonzero((said.metal == ground.code) & ~np.isnan(gross))
    item = said.item[fits]
    doubt = _doubt_of_share(ground, fits)
    pile.put(
        RowKind.SAID,
        [(np.arange(len(fits)), pile.unknown_of[item], np.ones(len(fits)))],
        y=gross[fits] * said.share[fits],
        u=np.hypot(gross[fits] * doubt, said.share[fits] * gross_u[fits]),
        subject=fits,
        family=ground.item_family[item],
    )


def _doubt_of_share(ground: Ground, fits: Ints) -> Floats:
    """Give the doubt about the fineness of some sayings, as fractions.

    A word that is good to a tenth is good to a tenth of what is there, not of what was read: with
    that, a reading that is too low would pass for the surer one.
    """
    said = ground.facts.sayings
    share, u, relative = said.share[fits], said.u[fits], said.relative[fits]
    item = said.item[fits]
    there = np.minimum(ground.fine[item] / ground.weights.gross_g[item], 1.0)
    there = np.where(np.isnan(there), share, there)
    found: Floats = np.sqrt(
        np.maximum(u**2 - (relative * share) ** 2, 0.0) + (relative * there) ** 2
    )
    return np.maximum(found, LEAST_SHARE_U)


def said_weights(facts: Facts, weights: Weights) -> tuple[Floats, Floats]:
    """Give the weight of which every saying tells a share, and its doubt; NaN where unknown."""
    said = facts.sayings
    own = np.isnan(said.gross_g)
    gross = np.where(own, weights.gross_g[said.item], said.gross_g)
    # A weight that came with the saying: a display step of its last printed digit or so.
    return gross, np.where(own, weights.u_g[said.item], 1e-4 * gross + 0.003)


def _silent(pile: Pile) -> None:
    """Bound a metal that nobody named, in things of which others were named.

    For a thing as it came in anybody's word of the others counts; for one that was made here, only
    an assay that leaves little. Without these rows a metal that nobody looked for could be anywhere
    in any amount, as soon as the residues of many lots hang together.
    """
    ground, facts = pile.ground, pile.ground.facts
    said = facts.sayings
    came_in = facts.maker[said.item] == NOBODY
    inside = ((said.source != WORD) | came_in) & (pile.unknown_of[said.item] != NOBODY)
    if not inside.any():
        return
    key = said.item[inside] * (said.entry.max() + 1) + said.entry[inside]
    names, first, group = np.unique(key, return_index=True, return_inverse=True)
    whole = sums(group, said.share[inside], len(names))
    doubt = np.sqrt(sums(group, said.u[inside] ** 2, len(names)))
    item = said.item[inside][first]
    named = np.zeros(len(facts.tags), dtype=bool)
    named[said.item[said.metal == ground.code]] = True
    rest = np.maximum(1.0 - whole, 0.0) + doubt
    enough = (rest <= handbook("assays")["silence"]["most_rest"]) | came_in[inside][first]
    fits = enough & ~named[item] & ~np.isnan(ground.weights.gross_g[item])
    item, rest = _sharpest(item[fits], rest[fits])
    share = np.minimum(rest / np.sqrt(3.0), unnamed_share(ground.code))
    pile.put(
        RowKind.SILENT,
        [(np.arange(len(item)), pile.unknown_of[item], np.ones(len(item)))],
        u=share * ground.weights.gross_g[item],
        subject=item,
        family=ground.item_family[item],
    )


def _sharpest(item: Ints, rest: Floats) -> tuple[Ints, Floats]:
    """Keep of each item the saying that leaves least: silence twice is not known twice as well."""
    order = np.lexsort((rest, item))
    kept = order[np.append(True, np.diff(item[order]) > 0)] if len(item) else order
    return item[kept], rest[kept]


def _losses(pile: Pile) -> None:
    """Balance every work: what went in, less what is lost, is what came out."""
    ground, facts = pile.ground, pile.ground.facts
    works = np.flatnonzero(ground.work_family != NOBODY)
    rank = np.full(len(facts.works.number), NOBODY, dtype=np.int64)
    rank[works] = np.arange(len(works))
    unknown = pile.unknown_of[facts.made.item]
    mine = (unknown != NOBODY) & (rank[facts.made.work] != NOBODY)
    group, term = pile.fold(
        rank[facts.made.work[mine]],
        unknown[mine],
        family=ground.work_family[works],
        subject=works,
    )
    lost, doubt = _lost_shares(ground)
    pile.put(
        RowKind.LOSS,
        [
            (np.arange(len(works)), pile.feed[works], 1.0 - lost[works]),
            (group, term, -np.ones(len(group))),
        ],
        u=doubt[works] * ground.feeds[works],
        subject=works,
        family=ground.work_family[works],
    )


def _lost_shares(ground: Ground) -> tuple[Floats, Floats]:
    """Give the share of the feed that every work loses, with a residue that nobody kept."""
    facts = ground.facts
    table = np.array([loss_of(process, ground.metal) for process in PROCESSES])
    lost, doubt = table[facts.works.process].T.copy()
    kinds, count = facts.kind[facts.made.item], len(facts.works.number)
    usual = [
        (Process.SMELT, _SLAGS, "slag of smelting"),
        (Process.CUPEL, _CUPELS, "spent cupel"),
    ]
    for process, left, kind in usual:
        kept = sums(facts.made.work, (kinds != NOBODY) & left[kinds], count) > 0
        thrown = (facts.works.process == PROCESSES.index(process)) & ~kept
        keep = ground.guesses.keep(kind, ground.metal)
        spread = keep.share * np.hypot(keep.house, keep.batch)
        lost[thrown] += keep.share
        doubt[thrown] = np.hypot(doubt[thrown], spread)
    return lost, doubt


def _keeps(pile: Pile) -> None:
    """Let every residue keep its kind's share of the feed, with the house's own deviation."""
    ground, facts = pile.ground, pile.ground.facts
    residues = facts.made.item[facts.kind[facts.made.item] != NOBODY]
    residues = residues[pile.unknown_of[residues] != NOBODY]
    if not len(residues):
        return
    keeps = keeps_of(ground.guesses, ground.metal)
    share = batch_keeps(facts, ground.weights, ground.feeds, ground.code, keeps, residues)
    work, kind = facts.maker[residues], facts.kind[residues]
    names, first, group = np.unique(
        work * len(KINDS) + kind, return_index=True, return_inverse=True
    )
    work, kind, share = work[first], kind[first], share[first]
    order = np.argsort(group, kind="stable")
    residues, group = residues[order], group[order]
    split_among(pile, residues, group, share * ground.feeds[work], _UNEVEN_RESIDUES)
    terms, unknown = pile.fold(
        group, pile.unknown_of[residues], family=ground.work_family[work], subject=work
    )
    guess = [ground.guesses.keep(name, ground.metal) for name in KINDS]
    batch = np.array([one.batch for one in guess])[kind]
    nominal = share * ground.feeds[work]
    learned = ground.guesses.learned
    if not learned:
        batch = np.hypot(batch, np.array([one.house for one in guess])[kind])
    own = np.arange(len(names))
    pile.put(
        RowKind.KEEP,
        [(own, pile.feed[work], -share), (terms, unknown, np.ones(len(terms)))],
        u=batch * nominal,
        subject=work,
        family=ground.work_family[work],
        factor=kind if learned else None,
        factor_g=-nominal if learned else None,
    )
