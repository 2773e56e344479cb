"""The pile on which rows of the balance are heaped up, kind by kind, and the records of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np

from vault.reckoning.facts import KINDS, METAL_CODE, NOBODY, Facts, Floats, Ints, sums
from vault.reckoning.guesses import Guesses
from vault.reckoning.nominal import gross_feeds_of
from vault.reckoning.weights import Weights

WIDEST_SUM = 12
# How many terms a running sum takes in at a time.
_LINK = 5


class RowKind(IntEnum):
    """What a row of the balance records."""

    SAID = 0
    SILENT = 1
    FEED = 2
    LOSS = 3
    KEEP = 4
    SPLIT = 5
    SUM = 6
    WHOLE = 7


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
        subject: per row, position of the saying (said), item (silent, split), whole (whole) or
            work; for sums the work, too.
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
        fine: scale of every item's content by the first solution, NaN before it.
        feeds: scale of the feed of every work: nominal, then by the first solution.
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
class Pile:
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

    def fold(
        self,
        group: Ints,
        unknown: Ints,
        *,
        family: Ints,
        subject: Ints,
        kind: RowKind = RowKind.SUM,
    ) -> tuple[Ints, Ints]:
        """Write wide sums as running sums; `family` and `subject` are each group's own.

        In the order of making: at any time only the sums that are still being gathered hang
        together, however many residues wait for their next work.

        Returns:
            Group and unknown of the terms that are left, no group wider than `WIDEST_SUM`.
        """
        order = np.lexsort((unknown, group))
        group, unknown = group[order], unknown[order]
        count = np.bincount(group, minlength=len(family))
        links = np.where(count > WIDEST_SUM, (count - 1) // _LINK, 0)
        first = np.cumsum(links) - links
        nth = (np.arange(len(group)) - (np.cumsum(count) - count)[group]) // _LINK
        taken = nth < links[group]
        if not taken.any():
            return group, unknown
        owner = np.repeat(np.arange(len(family)), links)
        link = first[group[taken]] + nth[taken]
        # As large as the whole sum, each: what is added up group by group is rounded alike always.
        size = sums(group, np.concatenate(self.size)[unknown], len(family))[owner]
        running = self.new(size, family[owner])
        own = np.arange(len(owner))
        goes_on = own[first[owner] < own]
        self.put(
            kind,
            [
                (own, running, np.ones(len(own))),
                (goes_on, running[goes_on - 1], -np.ones(len(goes_on))),
                (link, unknown[taken], -np.ones(len(link))),
            ],
            u=np.zeros(len(own)),
            subject=subject[owner],
            family=family[owner],
        )
        ends = np.flatnonzero(links)
        group = np.concatenate([group[~taken], ends])
        unknown = np.concatenate([unknown[~taken], running[first[ends] + links[ends] - 1]])
        order = np.argsort(group, kind="stable")
        return group[order], unknown[order]

    def rows(self) -> Rows:
        """Give all rows in one."""
        sizes = [len(block.u) for block in self.blocks]
        first = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
        keeps = self.ground.guesses
        met = _ints([block.factor for block in self.blocks])
        factor_u = np.zeros(len(KINDS))
        for code in np.unique(met[met != NOBODY]):
            factor_u[code] = keeps.keep(KINDS[code], self.ground.metal).house
        return Rows(
            items=self.items,
            size=np.concatenate(self.size),
            unknown_family=np.concatenate(self.family),
            feed=self.feed,
            entry_row=_ints(
                [block.row + at for block, at in zip(self.blocks, first, strict=False)]
            ),
            entry_unknown=_ints([block.unknown for block in self.blocks]),
            coefficient=_floats([block.coefficient for block in self.blocks]),
            y=_floats([block.y for block in self.blocks]),
            u=_floats([block.u for block in self.blocks]),
            kind=np.repeat(_ints([np.array([block.kind]) for block in self.blocks]), sizes),
            subject=_ints([block.subject for block in self.blocks]),
            factor=met,
            factor_g=_floats([block.factor_g for block in self.blocks]),
            factor_u=factor_u,
            family=_ints([block.family for block in self.blocks]),
        )


def _floats(parts: list[Floats]) -> Floats:
    return np.concatenate(parts) if parts else np.zeros(0)


def _ints(parts: list[Ints]) -> Ints:
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)


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
