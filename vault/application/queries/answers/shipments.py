"""What the forms and lists of shipments show: frozen records, no figure left to work out.

Masses are whole micrograms, sentences are ready to show. `None` is "not known", never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

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
