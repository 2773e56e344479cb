"""The rows of the balance of one metal: every record as `sum c·x = y ± u`.

Unknowns are the fine mass x of every item in the metal's region and, for every work with more than
one source, its feed T. A row with u = 0 is exact. `keep` rows also lean on δ, the relative
deviation of the house's own keep from its first guess, one for each residue kind:

| row     | says                                              | u |
|---------|---------------------------------------------------|---|
| said    | x = g·a                                           | weighing, fineness |
| silent  | x = 0, where an assay of others leaves little     | rest / √3 |
| feed    | T − Σ used = added                                | of the addition, else exact |
| loss    | (1 − l)·T − Σ made = 0                            | s_l·T0 |
| keep    | Σ residues of a kind − k·T − k·T0·δ = 0           | s_w·k·T0 |
| split   | x_j − f_j/(1 − F_{j−1})·(x_j + … + x_n) = 0       | h·X0·√(f_j(1 − F_j)/(1 − F_{j−1})) |
| sum     | S − Σ of eight = 0                                | exact |

Wide sums are written as trees of eight, or one merge would fill the whole factor.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import (
    KINDS,
    METAL_CODE,
    NOBODY,
    PROCESSES,
    WORD,
    Facts,
    Floats,
    Ints,
    sums,
)
from vault.reckoning.guesses import LIKE_PARTS, MOLTEN, Guesses, loss_of, sampling_constant
from vault.reckoning.handbook import handbook
from vault.reckoning.nominal import added_of, batch_keeps, gross_feeds_of, keeps_of
from vault.reckoning.weights import Weights

WIDEST_SUM = 12
_BRANCHES = 8
# How unevenly several residues of one kind from one work share what that kind keeps.
_UNEVEN_RESIDUES = 0.3
_SPLITS = np.array([process in LIKE_PARTS for process in PROCESSES])
_MOLTEN = np.array([process in MOLTEN for process in PROCESSES])
_BLEND = PROCESSES.index(Process.BLEND)
_SLAGS = np.array([kind.startswith("slag") for kind in KINDS])
_CUPELS = np.array([kind == "spent cupel" for kind in KINDS])


class RowKind(IntEnum):
    """What a row of the balance records."""

    SAID = 0
    SILENT = 1
    FEED = 2
    LOSS = 3
    KEEP = 4
    SPLIT = 5
    SUM = 6


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one metal over any number of whole families.

    Attributes:
        items: position of the item behind each of the first unknowns.
        size: natural size of every unknown in grams.
        unknown_family: the family of every unknown.
        feed: the unknown that is the feed of each work, `NOBODY` where it takes no part.
        entry_row, entry_unknown, coefficient: the coefficients, ordered by row.
        y, u: of every row, in grams; u = 0 is exact.
        kind: a `RowKind` per row.
        subject: per row, position of the saying (said), item (silent, split) or work; for sums
            the work, too.
        factor, factor_g: residue kind that a keep row leans on, and the coefficient of its δ.
        factor_u: one standard uncertainty of δ, by residue kind; 0 where the kind is not met.
        family: per row.
    """

    items: Ints
    size: Floats
    unknown_family: Ints
    feed: Ints
    entry_row: Ints
    entry_unknown: Ints
    coefficient: Floats
    y: Floats
    u: Floats
    kind: Ints
    subject: Ints
    factor: Ints
    factor_g: Floats
    factor_u: Floats
    family: Ints


@dataclass(frozen=True, slots=True)
class Ground:
    """What the rows of one metal stand on.

    Attributes:
        metal: its symbol; `code` its code.
        item_family, work_family: families within the metal's region, `NOBODY` outside.
        fine: nominal content of every item, NaN where unknown.
        feeds: nominal feed of every work, never unknown.
    """

    facts: Facts
    weights: Weights
    guesses: Guesses
    metal: str
    item_family: Ints
    work_family: Ints
    fine: Floats
    feeds: Floats

    @property
    def code(self) -> int:
        """The metal's code."""
        return METAL_CODE[self.metal]


def rows_of(ground: Ground) -> Rows:
    """Write down every row of one metal."""
    pile = _Pile(ground)
    _feeds(pile)
    _said(pile)
    _silent(pile)
    _losses(pile)
    _keeps(pile)
    _splits(pile)
    return pile.rows()


@dataclass(slots=True)
class _Block:
    """Rows of one kind: per row y, u, subject, work-or-item family; and their coefficients."""

    kind: RowKind
    y: Floats
    u: Floats
    subject: Ints
    family: Ints
    row: Ints
    unknown: Ints
    coefficient: Floats
    factor: Ints
    factor_g: Floats


@dataclass(slots=True)
class _Pile:
    """The rows as they are heaped up, and the unknowns met so far."""

    ground: Ground
    items: Ints = field(init=False)
    unknown_of: Ints = field(init=False)
    feed: Ints = field(init=False)
    size: list[Floats] = field(init=False)
    family: list[Ints] = field(init=False)
    unknowns: int = field(init=False)
    blocks: list[_Block] = field(init=False)

    def __post_init__(self) -> None:
        facts, weights = self.ground.facts, self.ground.weights
        inside = self.ground.item_family != NOBODY
        self.items = np.flatnonzero(inside)
        self.unknown_of = np.full(len(inside), NOBODY, dtype=np.int64)
        self.unknown_of[self.items] = np.arange(len(self.items))
        self.feed = np.full(len(facts.works.number), NOBODY, dtype=np.int64)
        self.size = [_sizes(facts, weights, self.items)]
        self.family = [self.ground.item_family[self.items]]
        self.unknowns = len(self.items)
        self.blocks = []

    def new(self, size: Floats, family: Ints) -> Ints:
        """Give fresh unknowns of the sizes and families."""
        first = self.unknowns
        self.unknowns += len(size)
        self.size.append(size)
        self.family.append(family)
        return np.arange(first, self.unknowns)

    def put(  # one keyword per column of the block
        self,
        kind: RowKind,
        terms: list[tuple[Ints, Ints, Floats]],
        *,
        u: Floats,
        subject: Ints,
        family: Ints,
        y: Floats | None = None,
        factor: Ints | None = None,
        factor_g: Floats | None = None,
    ) -> None:
        """Add a block of rows; each of `terms` is (row within the block, unknown, coefficient)."""
        count = len(u)
        if not count:
            return
        row = np.concatenate([one[0] for one in terms])
        order = np.argsort(row, kind="stable")
        self.blocks.append(
            _Block(
                kind=kind,
                y=np.zeros(count) if y is None else y,
                u=u,
                subject=subject,
                family=family,
                row=row[order],
                unknown=np.concatenate([one[1] for one in terms])[order],
                coefficient=np.concatenate([one[2] for one in terms])[order],
                factor=np.full(count, NOBODY, dtype=np.int64) if factor is None else factor,
                factor_g=np.zeros(count) if factor_g is None else factor_g,
            )
        )

    def fold(self, group: Ints, unknown: Ints, works: Ints) -> tuple[Ints, Ints]:
        """Replace wide sums by trees of eight; `group` is sorted, `works` gives each group's work.

        Returns:
            Group and unknown of the terms that are left, no group wider than `WIDEST_SUM`.
        """
        while True:
            count = np.bincount(group, minlength=len(works))
            wide = count[group] > WIDEST_SUM
            if not wide.any():
                return group, unknown
            start = np.concatenate([[0], np.cumsum(count)[:-1]])
            within = np.arange(len(group)) - start[group]
            bunch = group[wide] * (len(group) + 1) + within[wide] // _BRANCHES
            names, inverse = np.unique(bunch, return_inverse=True)
            owner = names // (len(group) + 1)
            size = sums(inverse, np.concatenate(self.size)[unknown[wide]], len(names))
            partial = self.new(size, self.ground.work_family[works[owner]])
            own = np.arange(len(names))
            self.put(
                RowKind.SUM,
                [(own, partial, np.ones(len(own))), (inverse, unknown[wide], -np.ones(wide.sum()))],
                u=np.zeros(len(own)),
                subject=works[owner],
                family=self.ground.work_family[works[owner]],
            )
            group = np.concatenate([group[~wide], owner])
            unknown = np.concatenate([unknown[~wide], partial])
            order = np.argsort(group, kind="stable")
            group, unknown = group[order], unknown[order]

    def rows(self) -> Rows:
        """Give all rows in one."""
        sizes = [len(block.u) for block in self.blocks]
        first = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
        keeps = self.ground.guesses
        met = np.concatenate([block.factor for block in self.blocks])
        factor_u = np.zeros(len(KINDS))
        for code in np.unique(met[met != NOBODY]):
            factor_u[code] = keeps.keep(KINDS[code], self.ground.metal).house
        return Rows(
            items=self.items,
            size=np.concatenate(self.size),
            unknown_family=np.concatenate(self.family),
            feed=self.feed,
            entry_row=np.concatenate(
                [block.row + at for block, at in zip(self.blocks, first, strict=False)]
            ),
            entry_unknown=np.concatenate([block.unknown for block in self.blocks]),
            coefficient=np.concatenate([block.coefficient for block in self.blocks]),
            y=np.concatenate([block.y for block in self.blocks]),
            u=np.concatenate([block.u for block in self.blocks]),
            kind=np.repeat([block.kind for block in self.blocks], sizes).astype(np.int64),
            subject=np.concatenate([block.subject for block in self.blocks]),
            factor=met,
            factor_g=np.concatenate([block.factor_g for block in self.blocks]),
            factor_u=factor_u,
            family=np.concatenate([block.family for block in self.blocks]),
        )


def _sizes(facts: Facts, weights: Weights, items: Ints) -> Floats:
    """Give the most that an item can hold: its own weight, or that of what it was made from."""
    feed = gross_feeds_of(facts, weights)
    maker = facts.maker[items]
    made = maker != NOBODY
    most = np.full(len(items), np.inf)
    most[made] = feed[maker[made]]
    own = np.where(np.isnan(weights.gross_g[items]), np.inf, weights.gross_g[items])
    least = np.minimum(own, most)
    return np.where(np.isfinite(least), least, 1000.0)


def _feeds(pile: _Pile) -> None:
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
    group, term = pile.fold(rank[work[mine]], unknown[mine], kept)
    pile.put(
        RowKind.FEED,
        [(rank[kept], pile.feed[kept], np.ones(len(kept))), (group, term, -np.ones(len(group)))],
        y=added[kept],
        u=np.sqrt(added_var[kept]),
        subject=kept,
        family=ground.work_family[kept],
    )


def _said(pile: _Pile) -> None:
    """Write x = g·a for everything said of an item that has a weight."""
    ground, said = pile.ground, pile.ground.facts.sayings
    own_g, own_u = ground.weights.gross_g[said.item], ground.weights.u_g[said.item]
    gross = np.where(np.isnan(said.gross_g), own_g, said.gross_g)
    # A weight that came with the saying: a display step of its last printed digit or so.
    gross_u = np.where(np.isnan(said.gross_g), own_u, 1e-4 * gross + 0.003)
    fits = np.flatnonzero((said.metal == ground.code) & ~np.isnan(gross))
    item = said.item[fits]
    pile.put(
        RowKind.SAID,
        [(np.arange(len(fits)), pile.unknown_of[item], np.ones(len(fits)))],
        y=gross[fits] * said.share[fits],
        u=np.hypot(gross[fits] * said.u[fits], said.share[fits] * gross_u[fits]),
        subject=fits,
        family=ground.item_family[item],
    )


def _silent(pile: _Pile) -> None:
    """Bound the metals that an assay of nearly pure metal does not name by what it leaves."""
    ground, said = pile.ground, pile.ground.facts.sayings
    inside = (said.source != WORD) & (pile.unknown_of[said.item] != NOBODY)
    if not inside.any():
        return
    key = said.item[inside] * (said.entry.max() + 1) + said.entry[inside]
    names, first, group = np.unique(key, return_index=True, return_inverse=True)
    whole = sums(group, said.share[inside], len(names))
    doubt = np.sqrt(sums(group, said.u[inside] ** 2, len(names)))
    item = said.item[inside][first]
    named = np.zeros(len(ground.facts.tags), dtype=bool)
    named[said.item[said.metal == ground.code]] = True
    rest = np.maximum(1.0 - whole, 0.0) + doubt
    most = handbook("assays")["silence"]["most_rest"]
    fits = (rest <= most) & ~named[item] & ~np.isnan(ground.weights.gross_g[item])
    item = item[fits]
    pile.put(
        RowKind.SILENT,
        [(np.arange(len(item)), pile.unknown_of[item], np.ones(len(item)))],
        u=rest[fits] * ground.weights.gross_g[item] / np.sqrt(3.0),
        subject=item,
        family=ground.item_family[item],
    )


def _losses(pile: _Pile) -> None:
    """Balance every work: what went in, less what is lost, is what came out."""
    ground, facts = pile.ground, pile.ground.facts
    works = np.flatnonzero(ground.work_family != NOBODY)
    rank = np.full(len(facts.works.number), NOBODY, dtype=np.int64)
    rank[works] = np.arange(len(works))
    unknown = pile.unknown_of[facts.made.item]
    mine = (unknown != NOBODY) & (rank[facts.made.work] != NOBODY)
    group, term = pile.fold(rank[facts.made.work[mine]], unknown[mine], works)
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


def _keeps(pile: _Pile) -> None:
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
    _split(pile, residues, group, share * ground.feeds[work], _UNEVEN_RESIDUES)
    terms, unknown = pile.fold(group, pile.unknown_of[residues], work)
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


def _splits(pile: _Pile) -> None:
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
    _split(pile, items, group, ground.feeds[split], np.sqrt(constant / whole))


def _sampling_of(facts: Facts, work: int, first_made: int) -> float:
    """Give the sampling constant of what a work divides."""
    process = int(facts.works.process[work])
    if _MOLTEN[process]:
        return sampling_constant("molten")
    if process == _BLEND:
        return sampling_constant(facts.forms[first_made])
    at = np.searchsorted(facts.used.work, work)
    return sampling_constant(facts.forms[facts.used.item[at]])


def _split(pile: _Pile, items: Ints, group: Ints, nominal: Floats, h: Floats | float) -> None:
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


def _of_weights(pile: _Pile, items: Ints, group: Ints, row: Ints, left: Ints) -> Floats:
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
    pile: _Pile, items: Ints, row: Ints, ratio: Floats, end: Ints
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


def _chain(pile: _Pile, items: Ints, unknown: Ints, rest: Ints, end: int, start: int) -> None:
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
