"""What the forms and lists of shipments show: frozen records, no figure left to work out.

Masses are whole micrograms, sentences are ready to show. `None` is "not known", never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from vault.application.queries.answers.work import Gravity
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class ShipmentFinding:
    """Something about a shipment that is being made up.

    Attributes:
        row: name of the container or item that it is about; empty for the whole.
        field: the field of the form, empty where it is none.
    """

    gravity: Gravity
    row: str
    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class PackedRow:
    """A container or a single item of a shipment.

    Attributes:
        name: the place name, or the tag.
        forms: what goes, with how many of each.
        tags: of all that goes.
        stays: tags of what lies in the container and does not go.
        book_ug: weight of the items by the book, of those that were weighed.
        not_weighed: how many were not.
        shipped_ug: weight without the container as it was last on the scale, the container as a
            whole or the single item; None where it was not.
        tare_ug: of the empty container; None where nobody said.
        weighed_on: the day of that weighing; None where it is typed now, or there is none.
        is_stale: whether something was put in or taken out since.
        seal: number of the seal that it leaves under; empty where there is none.
        seal_on_it: number of the seal that is on it in the book by now.
        contents: fine metal by symbol.
        not_known: how many of the items are in no figure, since nothing is known of them.
        lies_in: where the container or the item lies.
    """

    name: str
    is_container: bool
    forms: tuple[tuple[str, int], ...]
    tags: tuple[str, ...]
    stays: tuple[str, ...]
    book_ug: int
    not_weighed: int
    shipped_ug: int | None
    tare_ug: int | None
    weighed_on: date | None
    is_stale: bool
    seal: str
    contents: Mapping[str, Figure]
    not_known: int
    lies_in: str = ""
    seal_on_it: str = ""

    @property
    def items(self) -> int:
        """How many items go."""
        return len(self.tags)

    @property
    def weight_ug(self) -> int:
        """What it counts with in the weight of the shipment: as shipped, or else by the book."""
        return self.book_ug if self.shipped_ug is None else self.shipped_ug


@dataclass(frozen=True, slots=True)
class ShipmentPreview:
    """A shipment that is not recorded yet, worked out.

    Attributes:
        rows: in the order of the form.
        items: how many go.
        weight_ug: of everything, by the scale as shipped or else by the book.
        not_weighed: how many items are in no weight.
        own: the shop's own estimate by metal, with the covariance of the items.
        left_out: by metal, how many items may hold it and are in no figure.
        not_known: how many items nothing is known of at all.
        findings: gravest first.
        cautions: what can hurt, and what the law asks, each a sentence or two.
        due: the day by which the terms let expect the settlement; None where they say nothing.
        sheet: the terms sheet in words; empty where none is known by that name.
        stale: whether some of it was recorded after the figures were worked out.
    """

    rows: tuple[PackedRow, ...]
    items: int
    weight_ug: int
    not_weighed: int
    own: Mapping[str, Figure]
    left_out: Mapping[str, int]
    not_known: int
    findings: tuple[ShipmentFinding, ...]
    cautions: tuple[str, ...]
    due: date | None
    sheet: str
    stale: bool


@dataclass(frozen=True, slots=True)
class ShipmentHelp:
    """What a form of a shipment wants to know when it is opened.

    Attributes:
        next_number: a number for the shipment, the one after the last.
        parties: names that the book knows, refineries first.
        sheets: by refinery, the terms sheets that are valid today, as an entry names them.
        places: where residues lie, with how many of them.
        now: this moment by the shop's clock, with its zone.
    """

    next_number: str
    parties: tuple[str, ...]
    sheets: Mapping[str, tuple[str, ...]]
    places: Mapping[str, int]
    now: datetime


class Way(Enum):
    """How far a shipment is."""

    ON_THE_WAY = "on the way"
    LATE = "later than its terms say"
    IN_PART = "settled in part"
    SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class ShipmentRow:
    """A shipment in the list.

    Attributes:
        ref, party, terms: its number, who has it, under which sheet.
        way: how far it is.
        sent_on: the day on which it left.
        days: since then, until today or until it was settled last.
        expected: days until the settlement by its terms; None where they say nothing.
        settled_on: the day of the last settlement; None where there is none.
        containers: that left with all that is in them, in the order of sending.
        items: how many left.
        weight_ug: of everything, the containers as weighed when they left.
        not_weighed: how many items are in no weight.
        sent_by, settled_by: entries.
    """

    ref: str
    party: str
    terms: str
    way: Way
    sent_on: date
    days: int
    expected: int | None
    settled_on: date | None
    containers: tuple[str, ...]
    items: int
    weight_ug: int
    not_weighed: int
    sent_by: tuple[int, ...]
    settled_by: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ShipmentPart:
    """A container of a shipment, or what left by itself.

    Attributes:
        name: of the container, the tag of an item, or the first and the last of many alike.
        forms: what it is, with how many of each.
        weight_ug: as it left; None where nothing was weighed.
        not_weighed: how many are in no weight.
        seal: the number it left under; empty where there was none.
    """

    name: str
    forms: tuple[tuple[str, int], ...]
    weight_ug: int | None
    not_weighed: int
    seal: str


@dataclass(frozen=True, slots=True)
class SettlementTold:
    """One settlement of a shipment.

    Attributes:
        lines: what it says, line by line.
        against: by metal, what was agreed beside what was believed just before, in words; empty
            until that is worked out.
    """

    entry: int
    day: date
    lines: tuple[str, ...]
    against: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShipmentDetail:
    """All about one shipment.

    Attributes:
        parts: in the order of its papers.
        tags: of all that left.
        contents: what is believed now to be in it, by metal.
        not_known: of how many items nothing is known.
        settlements: in order.
    """

    row: ShipmentRow
    parts: tuple[ShipmentPart, ...]
    tags: tuple[str, ...]
    contents: Mapping[str, Figure]
    not_known: int
    settlements: tuple[SettlementTold, ...]
