"""What the window of terms shows: the shop's sheets as they stand, and a parcel under one of them.

Masses are whole micrograms, amounts are in the currency of the sheet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from vault.core.fineness import Fineness
from vault.core.masses import Mass
from vault.core.money import Money
from vault.core.terms_sheets import TermsSheet


class Stands(Enum):
    """How a version stands on a day."""

    VALID = "valid"
    TO_COME = "to come"
    ENDED = "ended"
    REPLACED = "replaced"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One version of a sheet.

    Attributes:
        sheet: the version.
        stands: how it stands today.
        words: the same in words: `until 31 Dec 2031`, `replaced 1 Jan 2031`.
        is_newest: whether it is the last version of its sheet.
    """

    sheet: TermsSheet
    stands: Stands
    words: str
    is_newest: bool

    @property
    def key(self) -> tuple[str, str, int]:
        """What it is known by: refinery, name, version."""
        return (self.sheet.party, self.sheet.name, self.sheet.version)


@dataclass(frozen=True, slots=True)
class KnownTerms:
    """The shop's sheets, and what a form for one wants to know.

    Attributes:
        rows: every version, by refinery and name, the newest of each first.
        parties: names that the book knows, those of refineries first.
        currency: of the prices; empty where none is set.
        prices: for one gram of each metal, as they were set last.
        today: by which validity is told.
        trouble: why the sheets cannot be shown; empty where they can.
    """

    rows: tuple[SheetRow, ...]
    parties: tuple[str, ...]
    currency: str
    prices: Mapping[str, Money]
    today: date
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ExampleParcel:
    """A parcel that somebody thinks of, to see what a sheet makes of it.

    Attributes:
        received: its weight as it goes on the refinery's scale.
        dry: its weight without moisture; None where nobody says.
        grades: by metal, as far as they are known.
        prices: for one gram of each metal.
        shares: of each element that the sheet charges for, as far as they are known.
    """

    received: Mass
    dry: Mass | None = None
    grades: Mapping[str, Fineness] = field(default_factory=dict)
    prices: Mapping[str, Money] = field(default_factory=dict)
    shares: Mapping[str, Fineness] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class MetalSteps:
    """How the sheet comes to what it pays for one metal.

    Attributes:
        content_ug, deducted_ug, payable_ug: fine metal.
        part: the payable part that holds for this grade, a share.
        is_too_little: whether nothing is paid since there is too little of it.
        price, refining: for one gram.
        paid: for all of it.
    """

    metal: str
    content_ug: int
    deducted_ug: int
    part: float
    is_too_little: bool
    payable_ug: int
    price: float
    refining: float
    paid: float


@dataclass(frozen=True, slots=True)
class ExampleReturn:
    """What comes back for the parcel, in the order in which the sheet reckons.

    Attributes:
        metals: in the order of the sheet, those with a grade and a price.
        weight_ug: on the sheet's basis.
        treatment: its charge; `is_least` tells whether it is the least for a lot.
        assays: the fee for as many metals as `assayed`.
        penalties: by element.
        waiting: cost of the money until it is there.
        net: what is left.
        left_out: what is not counted, a sentence each.
    """

    metals: tuple[MetalSteps, ...]
    weight_ug: int
    treatment: float
    is_least: bool
    assays: float
    assayed: int
    sampling: float
    penalties: tuple[tuple[str, float], ...]
    freight: float
    drums: float
    manifest: float
    waiting: float
    net: float
    left_out: tuple[str, ...]
