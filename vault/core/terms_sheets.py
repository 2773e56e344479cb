"""Terms sheets: what a refinery pays for residues and takes for its work, as its paper says.

A sheet turns what a parcel weighs and holds into money, in this order:

    payable fine metal of m = payable part · (content − deduction), or the lesser of
                              payable part · content and content − deduction;
                              nothing where the parcel is poorer than the sheet's least grade
                              or holds less than its least fine mass; the payable part may
                              be another from some grade upwards
    paid for m              = payable fine metal · (price − refining charge)
    net                     = Σ paid − max(treatment rate · weight, lot minimum) − fees − penalties

A sheet is never altered: what the refinery changes is a new version, so that a shipment keeps the
version under which it went.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from vault.core.fineness import Fineness
from vault.core.forms import is_residue
from vault.core.masses import Mass
from vault.core.money import Money

_NO_GRADE = Fineness(0)
_NO_MASS = Mass(0)
# A drum of the common size (200 litres) full of cupels or slag weighs some 200 kg (common practice,
# no source); the sheet says its own.
USUAL_DRUM = Mass(200_000_000_000)


class Basis(Enum):
    """Which weight a charge or a grade is reckoned on."""

    RECEIVED = "as received"
    DRY = "dry"


class Paid(Enum):
    """How deduction and payable part of a metal work together."""

    AFTER_DEDUCTION = "part of what is left after the deduction"
    LESSER = "the lesser of the payable part and what the deduction leaves"


class Comes(Enum):
    """What comes back."""

    MONEY = "money"
    METAL = "metal"


class Takes(Enum):
    """What a sheet is for."""

    ANYTHING = "anything"
    METAL = "bars and other metal"
    RESIDUES = "slag, cupels and other residues"


@dataclass(frozen=True, slots=True)
class Band:
    """Another payable part of a metal from a grade upwards, until the next band begins.

    Attributes:
        grade: grade of the parcel, on the sheet's basis, from which it holds.
        payable: part of the metal that is then paid.
    """

    grade: Fineness
    payable: Fineness


@dataclass(frozen=True, slots=True)
class MetalTerms:
    """What a sheet says of one metal.

    Attributes:
        metal: its symbol.
        payable: part of the metal that is paid; of a parcel below the first of the bands.
        deduction: grade that is taken off first, of the weight on the sheet's basis.
        paid: how the two work together.
        least_grade: grade of the parcel under which nothing is paid for the metal.
        least_fine: fine metal in the parcel under which nothing is paid for it.
        refining: charge for one gram of the payable fine metal.
        bands: payable parts of richer parcels, poorest first.
    """

    metal: str
    payable: Fineness
    refining: Money
    deduction: Fineness = _NO_GRADE
    paid: Paid = Paid.AFTER_DEDUCTION
    least_grade: Fineness = _NO_GRADE
    least_fine: Mass = _NO_MASS
    bands: tuple[Band, ...] = ()


@dataclass(frozen=True, slots=True)
class Treatment:
    """The charge for working a parcel.

    Attributes:
        per_kg: for one kilogram on the basis.
        least: the least that is charged for a lot.
    """

    per_kg: Money
    least: Money
    basis: Basis = Basis.RECEIVED


@dataclass(frozen=True, slots=True)
class Penalty:
    """What is charged for an element that disturbs the refinery.

    Attributes:
        element: its symbol or name, such as `Pb`, `As` or `chlorine`.
        free: grade up to which nothing is charged.
        step: size of a step above it.
        per_kg: charge for each step and kilogram on the basis of the treatment.
        whole_steps: whether a step begun counts whole; else it counts for what it is.
    """

    element: str
    free: Fineness
    step: Fineness
    per_kg: Money
    whole_steps: bool = True


@dataclass(frozen=True, slots=True)
class Fees:
    """Charges by the lot, the drum or the kilogram as received.

    Attributes:
        assay: for each metal that the sheet pays and the parcel is looked at for.
        sampling: for the lot.
        umpire: for each metal, paid by who was further from the umpire's assay; not in the net.
        freight, freight_per_kg: fixed, and for each kilogram.
        drum, drum_holds: for each drum, and what goes into one.
        manifest: papers of the transport.
    """

    assay: Money
    sampling: Money
    umpire: Money
    freight: Money
    freight_per_kg: Money
    drum: Money
    manifest: Money
    drum_holds: Mass = USUAL_DRUM


@dataclass(frozen=True, slots=True)
class TermsSheet:
    """One version of the terms of one refinery.

    Attributes:
        name: what the shop calls the sheet; the `send` entry carries it.
        version: counted from 1; a sheet never changes, it gets a new version.
        party: the refinery.
        valid_from, valid_until: first and last day; no last day where it is open.
        metals: those that are paid, each once; of others nothing is paid.
        returns: whether money or metal comes back.
        days_to_settle: from dispatch until money or metal is there.
        splitting: by metal, how far two assays may lie apart and still be averaged.
        note: whatever else the paper says, and where it is from.
        takes: what may be sent under it.
    """

    name: str
    version: int
    party: str
    valid_from: date
    valid_until: date | None
    currency: str
    metals: tuple[MetalTerms, ...]
    treatment: Treatment
    fees: Fees
    penalties: tuple[Penalty, ...] = ()
    returns: Comes = Comes.MONEY
    days_to_settle: int = 0
    splitting: tuple[tuple[str, Fineness], ...] = ()
    note: str = ""
    takes: Takes = Takes.ANYTHING

    def accepts(self, form: str) -> bool:
        """Whether a thing of this form may be sent under the sheet."""
        return self.takes is Takes.ANYTHING or is_residue(form) is (self.takes is Takes.RESIDUES)

    def holds_on(self, day: date) -> bool:
        """Whether the sheet is valid on a day."""
        return self.valid_from <= day and (self.valid_until is None or day <= self.valid_until)

    def terms_of(self, metal: str) -> MetalTerms | None:
        """Give what is said of a metal; None where nothing is paid for it."""
        return next((one for one in self.metals if one.metal == metal), None)
