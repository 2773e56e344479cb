"""Items in a table and the chosen one beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from pathlib import Path

from vault.application.queries.answers.seals import SealFacts
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
class PhotoOfItem:
    """A photo of an item.

    Attributes:
        sha256: of its file's bytes, as the daybook names it.
        file: where it lies, None where it is not there.
        day: on which it was recorded.
        trouble: a sentence on why it cannot be shown; empty where it can.
    """

    sha256: str
    file: Path | None
    day: date
    caption: str
    entry: int
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ItemDetail:
    """The chosen item, beside the table.

    Attributes:
        photos: the newest first.
        seals: that keep it shut, its own first, then those of the containers around it.
        shipment: the number under which it was sent last; empty where it never was.
    """

    row: ItemRow
    note: str
    metals: tuple[MetalOfItem, ...]
    history: tuple[HistoryLine, ...]
    cautions: tuple[str, ...]
    photos: tuple[PhotoOfItem, ...] = ()
    seals: tuple[SealFacts, ...] = ()
    shipment: str = ""
