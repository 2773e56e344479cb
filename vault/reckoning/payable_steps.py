"""How a sheet comes to the payable metal of one parcel, step by step, for whoever checks it."""

from __future__ import annotations

from dataclasses import dataclass

from vault.core.terms_sheets import MetalTerms
from vault.reckoning.payable import is_too_little, part_of, payable_of


@dataclass(frozen=True, slots=True)
class PayableSteps:
    """The steps for one metal.

    Attributes:
        content_g: fine grams in the parcel.
        deducted_g: what is deducted first.
        part: the payable part that holds for this grade.
        is_too_little: whether the parcel is too poor, or holds too little, to be paid for it.
        payable_g: what is paid or comes back.
    """

    content_g: float
    deducted_g: float
    part: float
    is_too_little: bool
    payable_g: float


def payable_steps(terms: MetalTerms, content_g: float, weight_g: float) -> PayableSteps:
    """Give the steps for a content in a parcel of some weight on the sheet's basis.

    Example, 20 kg with 10 g/kg of silver, 0.5 g/kg deducted and 85 % of the rest paid:

        >>> from vault.core.fineness import Fineness
        >>> from vault.core.money import Money
        >>> terms = MetalTerms("Ag", Fineness(850_000_000), Money(0, "EUR"), Fineness(500_000))
        >>> steps = payable_steps(terms, 200.0, 20_000.0)
        >>> round(steps.deducted_g, 9), steps.part, round(steps.payable_g, 9)
        (10.0, 0.85, 161.5)
    """
    return PayableSteps(
        content_g=content_g,
        deducted_g=terms.deduction.share * weight_g,
        part=float(part_of(terms, content_g, weight_g)),
        is_too_little=is_too_little(terms, content_g, weight_g),
        payable_g=float(payable_of(terms, content_g, weight_g)),
    )
