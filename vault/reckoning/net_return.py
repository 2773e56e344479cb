"""Net return: what comes back for a parcel under a terms sheet, line by line.

    net = Σ paid − treatment − assays − sampling − penalties − cost of waiting for it
          − freight − drums − manifest

    cost of waiting = (Σ paid − treatment − assays − sampling − penalties) · interest · days / 365

The refinery takes its own charges off what it pays; freight, drums and papers are paid on the way
there. Where metal comes back it is valued at its price, and the charges are money all the same. A
price below the refining charge makes the metal cost money, as the sheet says.

Nothing is counted as nothing: a metal of which nobody knows how much there is, a metal without a
price, and an element whose share nobody said are left out and named.

Every amount may be one number or an array over draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from vault.core.terms_sheets import Basis, Comes, Penalty, TermsSheet
from vault.reckoning.facts import Floats
from vault.reckoning.payable import Amount, payable_of

DAYS_A_YEAR = 365.0
_GRAMS_PER_KG = 1000.0
# A drum that is full, or a step that is reached, but for the last digits of a float.
_JUST = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Parcel:
    """Residues that go out together under one sheet.

    Attributes:
        received_g: weight as it goes on the refinery's scale.
        contents_g: fine grams of each metal that is known.
        dry_g: weight without moisture; None where nobody said, then the weight received is taken.
        not_known: metals that may be in it and of which nothing is known.
        shares: share of the weight of each element that a sheet may charge for, where known.
    """

    received_g: Amount
    contents_g: Mapping[str, Amount]
    dry_g: Amount | None = None
    not_known: tuple[str, ...] = ()
    shares: Mapping[str, Amount] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class MetalReturn:
    """What a sheet gives for one metal.

    Attributes:
        content_g, payable_g: fine grams in the parcel, and those that are paid or come back.
        paid: payable metal × (price − refining charge).
    """

    metal: str
    content_g: Amount
    payable_g: Floats
    paid: Floats


@dataclass(frozen=True, slots=True, eq=False)
class NetReturn:
    """What comes back for a parcel; charges stand above zero and are taken off.

    Attributes:
        metals: those that are known, priced and paid, in the order of the sheet.
        freight: fixed and by weight together.
        penalties: by element, those that are charged.
        waiting: cost of the money until it is there.
        net: what is left.
        not_known: metals that the sheet pays and of which nothing is known; not counted.
        unpriced: metals that the sheet pays and that have no price; not counted.
        unpaid: metals of the parcel for which the sheet pays nothing.
        not_told: elements the sheet charges for and whose share nobody said; not counted.
        dry_not_told: whether the sheet goes by dry weight and nobody said it.
    """

    sheet: TermsSheet
    metals: tuple[MetalReturn, ...]
    treatment: Floats
    assays: float
    sampling: float
    freight: Floats
    drums: Floats
    manifest: float
    penalties: tuple[tuple[str, Floats], ...]
    waiting: Floats
    net: Floats
    not_known: tuple[str, ...]
    unpriced: tuple[str, ...]
    unpaid: tuple[str, ...]
    not_told: tuple[str, ...]
    dry_not_told: bool

    @property
    def back_g(self) -> dict[str, Floats]:
        """Fine grams that come back as metal; none where money comes back."""
        if self.sheet.returns is not Comes.METAL:
            return {}
        return {one.metal: one.payable_g for one in self.metals}


@dataclass(frozen=True, slots=True, eq=False)
class Charges:
    """What a sheet takes for a parcel whatever metal is in it; attributes as in `NetReturn`."""

    treatment: Floats
    assays: float
    sampling: float
    freight: Floats
    drums: Floats
    manifest: float
    penalties: tuple[tuple[str, Floats], ...]

    @property
    def at_settlement(self) -> Floats:
        """What the refinery takes off what it pays."""
        elements = sum((amount for _, amount in self.penalties), np.zeros(()))
        return self.treatment + self.assays + self.sampling + elements

    @property
    def on_the_way(self) -> Floats:
        """What is paid before it arrives."""
        return self.freight + self.drums + self.manifest


def net_of(
    parcel: Parcel,
    sheet: TermsSheet,
    prices: Mapping[str, Amount],
    interest: float = 0.0,
) -> NetReturn:
    """Give what comes back for a parcel.

    Args:
        parcel: what goes out.
        sheet: the terms.
        prices: for a gram of each fine metal, in the sheet's currency.
        interest: cost of money, a share of it a year.
    """
    weight = weight_of(parcel, sheet)
    metals = []
    for terms in sheet.metals:
        if terms.metal in parcel.contents_g and terms.metal in prices:
            content = parcel.contents_g[terms.metal]
            grams = payable_of(terms, content, weight)
            margin = prices[terms.metal] - float(terms.refining.amount)
            metals.append(MetalReturn(terms.metal, content, grams, grams * margin))
    charges = charges_of(parcel, sheet)
    due = sum((one.paid for one in metals), np.zeros(())) - charges.at_settlement
    waiting = due * waiting_share(sheet, interest)
    on_sheet = [one.metal for one in sheet.metals]
    return NetReturn(
        sheet=sheet,
        metals=tuple(metals),
        treatment=charges.treatment,
        assays=charges.assays,
        sampling=charges.sampling,
        freight=charges.freight,
        drums=charges.drums,
        manifest=charges.manifest,
        penalties=charges.penalties,
        waiting=waiting,
        net=due - waiting - charges.on_the_way,
        not_known=tuple(one for one in on_sheet if one in parcel.not_known),
        unpriced=tuple(one for one in on_sheet if one in parcel.contents_g and one not in prices),
        unpaid=tuple(one for one in parcel.contents_g if one not in on_sheet),
        not_told=tuple(one.element for one in sheet.penalties if one.element not in parcel.shares),
        dry_not_told=sheet.treatment.basis is Basis.DRY and parcel.dry_g is None,
    )


def charges_of(parcel: Parcel, sheet: TermsSheet) -> Charges:
    """Give what a sheet takes for a parcel whatever metal is in it."""
    fees = sheet.fees
    received_kg = np.asarray(parcel.received_g, dtype=np.float64) / _GRAMS_PER_KG
    weight_kg = weight_of(parcel, sheet) / _GRAMS_PER_KG
    drums = np.ceil(received_kg * _GRAMS_PER_KG / fees.drum_holds.grams - _JUST)
    looked_for = sum(one.metal in parcel.contents_g for one in sheet.metals)
    return Charges(
        treatment=np.maximum(
            float(sheet.treatment.per_kg.amount) * weight_kg, float(sheet.treatment.least.amount)
        ),
        assays=float(fees.assay.amount) * looked_for,
        sampling=float(fees.sampling.amount),
        freight=float(fees.freight.amount) + float(fees.freight_per_kg.amount) * received_kg,
        drums=float(fees.drum.amount) * drums,
        manifest=float(fees.manifest.amount),
        penalties=tuple(
            (one.element, _penalty(one, parcel.shares[one.element], weight_kg))
            for one in sheet.penalties
            if one.element in parcel.shares
        ),
    )


def weight_of(parcel: Parcel, sheet: TermsSheet) -> Floats:
    """Give the weight in grams on the sheet's basis; as received where no dry weight was said."""
    dry = sheet.treatment.basis is Basis.DRY and parcel.dry_g is not None
    return np.asarray(parcel.dry_g if dry else parcel.received_g, dtype=np.float64)


def waiting_share(sheet: TermsSheet, interest: float) -> float:
    """Give the share of what is due that waiting for it costs."""
    return interest * sheet.days_to_settle / DAYS_A_YEAR


def _penalty(penalty: Penalty, share: Amount, weight_kg: Floats) -> Floats:
    above = np.asarray(share, dtype=np.float64) - penalty.free.share
    steps = np.maximum(above / penalty.step.share, 0.0)
    if penalty.whole_steps:
        steps = np.ceil(np.maximum(steps - _JUST, 0.0))
    return steps * weight_kg * float(penalty.per_kg.amount)
