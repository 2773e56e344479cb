"""The answers that screens show: frozen records, complete, with no figure left to work out.

Masses are whole micrograms, shares are plain fractions; names end in the unit. `None` is always
"not known" and never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import Enum

from vault.core.daybook import Act
from vault.core.items import State
from vault.core.knowledge import Figure


class GroupBy(Enum):
    """By what the items of the Safe are grouped."""

    PLACE = "place"
    LOT = "lot"
    FORM = "form"
    METAL = "metal"
    OWNER = "owner"
    NOTHING = "nothing"


class Showing(Enum):
    """Which items are shown."""

    ON_HAND = "on hand"
    RESIDUES = "residues"
    GONE = "gone"
    ALL = "everything"


class SortBy(Enum):
    """The column by which items are sorted within their group."""

    TAG = "tag"
    FORM = "form"
    GROSS = "gross"
    FINE = "fine"
    PLACE = "place"
    OWNER = "owner"
    SINCE = "since"


# --- Safe ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Part:
    """One form's part of a metal card."""

    form: str
    figure: Figure
    items: int
    not_known: int
    is_residue: bool


@dataclass(frozen=True, slots=True)
class MetalCard:
    """All of one metal on hand.

    Attributes:
        owed: what is customers' own; `ours` is the rest.
        not_known: items that may hold this metal and are left out of every total.
    """

    metal: str
    total: Figure
    parts: tuple[Part, ...]
    owed: Figure
    ours: Figure
    not_known: int


@dataclass(frozen=True, slots=True)
class Worth:
    """What the stock is worth at the set prices, in the shop's currency.

    Attributes:
        amount, ours, locked, locked_u: whole units of the currency, as plain numbers; None where
            no price is set.
        prices_of: the day of the oldest price used.
        unpriced: metals on hand without a price, left out.
    """

    currency: str
    amount: float | None
    u: float | None
    ours: float | None
    locked: float | None
    locked_u: float | None
    prices_of: date | None
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Safe:
    """The top of the Safe: the cards, the worth, and how many findings want attention.

    Attributes:
        figures_of: number of the entry up to which the figures are worked out; None where they
            have not been worked out yet.
        last_entry: number of the last entry in the book.
    """

    cards: tuple[MetalCard, ...]
    worth: Worth
    findings: int
    figures_of: int | None
    last_entry: int


@dataclass(frozen=True, slots=True)
class ItemQuery:
    """Which items, in which groups and order.

    Attributes:
        metal: only items that hold it, or may hold it; empty for all.
        sort_metal: the metal by whose fine mass `SortBy.FINE` sorts; empty for the one of which
            the item holds most.
        most: for a first look at a long list: where there are more items than this, only so many,
            and no sums of their groups; None for all.
    """

    text: str = ""
    group_by: GroupBy = GroupBy.PLACE
    showing: Showing = Showing.ON_HAND
    metal: str = ""
    sort_by: SortBy = SortBy.TAG
    descending: bool = False
    sort_metal: str = ""
    most: int | None = None


@dataclass(frozen=True, slots=True)
class ItemGroup:
    """One group of the item table: its heading, and where its items stand in the index."""

    name: str
    items: int
    gross_ug: int
    not_weighed: int
    fine: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class ItemIndex:
    """The answer to an `ItemQuery`: groups in order, and all item ids, group after group.

    Attributes:
        ids: a packed array of item ids, as `array('q')` holds them.
        is_whole: whether these are all; a first look leaves out what the groups weigh.
    """

    query: ItemQuery
    groups: tuple[ItemGroup, ...]
    ids: memoryview
    metals: tuple[str, ...]
    is_whole: bool = True


@dataclass(frozen=True, slots=True)
class ItemRow:
    """One item in a table.

    Attributes:
        lots: the lots that gave it most of its metal, largest first, at most three.
        more_lots: how many further lots there are.
        owner: whose it is (for mixed metal the one with the largest share).
        owner_share: that one's share of the metal, None where not worked out.
        fineness_ppb: of the metal it holds most of; None where not known or not weighed.
    """

    id: int
    tag: str
    form: str
    gross_ug: int | None
    gross_u_ug: int | None
    contents: Mapping[str, Figure]
    lots: tuple[str, ...]
    more_lots: int
    owner: str
    owner_share: float | None
    place: str
    state: State
    since: date
    is_residue: bool
    fineness_ppb: int | None = None


@dataclass(frozen=True, slots=True)
class BudgetShare:
    """One record's share in the doubt about a figure, in words."""

    words: str
    entry: int | None
    share: float


@dataclass(frozen=True, slots=True)
class OriginShare:
    """One lot's part in a metal of an item.

    Attributes:
        lot: its name, or what else the metal came from (silver added, a thing found).
        words: what the lot was and whose.
        fine_ug, share: None where it is not known how much came from there.
    """

    lot: str
    words: str
    fine_ug: int | None
    u_ug: int | None
    share: float | None


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that happened to an item."""

    entry: int
    day: date
    words: str


@dataclass(frozen=True, slots=True)
class MetalOfItem:
    """All that is known of one metal in one item.

    Attributes:
        known_from: in words, what the figure rests on first ("1 004.62 g on the scale × 998.0 ‰").
        noticeable_ug: the smallest error in its own record that the balance would notice; None
            where nothing checks it.
        reported_fine_ug, reported_u_ug, reported_on: the figure as it was known when first
            reported, where that differs from the figure as now believed.
    """

    metal: str
    figure: Figure
    fineness_ppb: int | None
    known_from: str
    budget: tuple[BudgetShare, ...]
    origins: tuple[OriginShare, ...]
    more_origins: int
    noticeable_ug: int | None
    reported_fine_ug: int | None
    reported_u_ug: int | None
    reported_on: date | None


@dataclass(frozen=True, slots=True)
class ItemDetail:
    """The chosen item, beside the table."""

    row: ItemRow
    note: str
    metals: tuple[MetalOfItem, ...]
    history: tuple[HistoryLine, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Series:
    """Stock of one metal over time.

    Attributes:
        days: rising; the same for every form.
        forms: names, in stacking order.
        residues: which of the forms are residues.
        fine_g: one row of grams per form.
        total_g, u_g: the total and its standard uncertainty, as now believed.
        as_known_g: the total as it was known on that day (figures as reported), None before the
            first report.
        marks: days worth a line across the chart, with words ("drum A sent").
    """

    metal: str
    days: tuple[date, ...]
    forms: tuple[str, ...]
    residues: tuple[bool, ...]
    fine_g: tuple[tuple[float, ...], ...]
    total_g: tuple[float, ...]
    u_g: tuple[float, ...]
    as_known_g: tuple[float | None, ...] = ()
    marks: tuple[tuple[date, str], ...] = ()


# --- Trace --------------------------------------------------------------------------------------


class NodeKind(Enum):
    """What a box of the trace stands for."""

    LOT = "lot"
    ITEM = "item"
    WORK = "work"
    LOSS = "loss"
    FOLD = "fold"


@dataclass(frozen=True, slots=True)
class TraceNode:
    """A box of the trace.

    Attributes:
        key: names it within the trace.
        title, lines: what is written on it.
        tag, lot, entry: what a click walks to; empty or None where not one of those.
        amount_g, u_g: its metal (or weight) in grams; None where not known.
        is_residue: drawn hatched and dropping away.
        is_end: what the trace was asked for.
    """

    key: str
    kind: NodeKind
    title: str
    lines: tuple[str, ...]
    amount_g: float | None
    u_g: float | None
    is_residue: bool = False
    is_end: bool = False
    tag: str = ""
    lot: str = ""
    entry: int | None = None


@dataclass(frozen=True, slots=True)
class Ribbon:
    """Metal going from one box to another.

    Attributes:
        lots: (lot, share) by which it is coloured, largest first.
    """

    source: str
    target: str
    amount_g: float | None
    lots: tuple[tuple[str, float], ...]
    is_residue: bool = False
    is_loss: bool = False


@dataclass(frozen=True, slots=True)
class TraceRow:
    """One line of the table beside the trace."""

    name: str
    words: str
    fine_ug: int | None
    u_ug: int | None
    share: float | None
    tag: str = ""
    lot: str = ""


# Asks for the metal of which there is most; no metal has this symbol.
MAIN_METAL = "main"


@dataclass(frozen=True, slots=True)
class TraceQuestion:
    """What is traced.

    Attributes:
        tag, lot: one of the two.
        metal: a symbol, or empty for gross weight; one that is not there, such as `MAIN_METAL`,
            is answered for the one of which there is most.
        backward, forward: which ways to look.
        unfolded: keys of folds that were opened.
        most_boxes: above this many boxes the trace is folded.
    """

    tag: str = ""
    lot: str = ""
    metal: str = "Ag"
    backward: bool = True
    forward: bool = False
    unfolded: frozenset[str] = frozenset()
    most_boxes: int = 150


@dataclass(frozen=True, slots=True)
class Trace:
    """A picture of where metal came from and went, and its table.

    Attributes:
        lots: every lot that colours a ribbon, largest first.
        metals: the metals that can be asked for here.
        footing: one sentence on how well the steps balance.
    """

    question: TraceQuestion
    title: str
    nodes: tuple[TraceNode, ...]
    ribbons: tuple[Ribbon, ...]
    lots: tuple[str, ...]
    rows: tuple[TraceRow, ...]
    total_ug: int | None
    total_u_ug: int | None
    metals: tuple[str, ...]
    footing: str


# --- Residues -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Container:
    """A drum, tub, tin or rack with the residues of one form in it.

    Attributes:
        not_known: tags of items of which no metal is known at all.
        left_out: by metal, how many further items may hold it and are in no figure of it.
    """

    place: str
    form: str
    items: int
    gross_ug: int
    not_weighed: int
    contents: Mapping[str, Figure]
    not_known: tuple[str, ...]
    oldest: date
    owners: tuple[str, ...]
    cautions: tuple[str, ...]
    left_out: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HouseFactor:
    """What residues of one kind keep of a metal, as first guessed and as now believed."""

    kind: str
    metal: str
    guess: float
    guess_u: float
    now: float
    now_u: float
    source: str


@dataclass(frozen=True, slots=True)
class Residues:
    """What is still locked up.

    Attributes:
        not_known: tags of items of which no metal is known at all.
        budget: by metal, what the doubt about its total comes from, largest first.
        figures_of: number of the entry up to which this holds; None where it is not worked out.
        left_out: by metal, how many further items may hold it and are in no total of it.
    """

    totals: Mapping[str, Figure]
    worth: Worth
    containers: tuple[Container, ...]
    not_known: tuple[str, ...]
    budget: Mapping[str, tuple[BudgetShare, ...]]
    factors: tuple[HouseFactor, ...]
    figures_of: int | None
    left_out: Mapping[str, int] = field(default_factory=dict)


# --- Lots ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class LotAccount:
    """Where one metal of a lot is now; the parts add up to what was received.

    Attributes:
        on_hand: in products on hand; `in_residues` is what lies in slag, cupels and dust.
        out: returned, sold and sent.
        yield_share: recovered (on hand in products or out) over received.
    """

    metal: str
    received: Figure
    on_hand: Figure
    in_residues: Figure
    out: Figure
    unaccounted: Figure
    yield_share: float | None


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot in the list."""

    lot: str
    party: str
    terms: str
    received_on: date
    items: int
    gross_ug: int
    not_weighed: int
    words: str
    progress: str
    received: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class FateItem:
    """An item that holds some of a lot's metal now, or took it out of the shop."""

    tag: str
    form: str
    place: str
    state: State
    fine_ug: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class LotDetail:
    """The chosen lot."""

    row: LotRow
    accounts: tuple[LotAccount, ...]
    items: tuple[FateItem, ...]
    more_items: int
    history: tuple[HistoryLine, ...]


# --- Daybook ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DaybookQuery:
    """Which entries to list."""

    text: str = ""
    act: Act | None = None
    struck_too: bool = True
    newest_first: bool = True


@dataclass(frozen=True, slots=True)
class DaybookRow:
    """One entry in the list.

    Attributes:
        at: the time it happened, in the shop's own zone; None where only the day was noted.
        struck_by: number of the entry that struck it, None where it stands.
        strikes: number of the entry that it strikes itself.
        reason: why it was struck, or why it strikes.
    """

    number: int
    day: date
    at: datetime | None
    by: str
    act: Act
    words: str
    tags: tuple[str, ...]
    struck_by: int | None
    strikes: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class EntryDetail:
    """The chosen entry in full: what each line says, and its proof.

    Attributes:
        recorded_at: when it was recorded, in the shop's own zone.
        head: the head of the chain up to and with this entry.
        leaned_on_by: later entries that must be struck before this one can be.
    """

    row: DaybookRow
    lines: tuple[str, ...]
    recorded_at: datetime
    head: str
    leaned_on_by: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ChainProof:
    """Whether the daybook is as it was recorded."""

    entries: int
    head: str
    holds: bool
    words: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """Something that does not add up, and what to look at."""

    words: str
    metal: str
    tags: tuple[str, ...]
    entries: tuple[int, ...]
    severity: str
    more: tuple[str, ...] = field(default=())
