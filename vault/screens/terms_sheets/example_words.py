"""The steps from a parcel to what comes back for it, in words and amounts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vault.application.queries.answers.terms_sheets import ExampleReturn, MetalSteps
from vault.core.terms_sheets import Basis, Comes, MetalTerms, Paid, TermsSheet
from vault.screens.numbers import MINUS, Numbers, metal_name
from vault.screens.widgets.amount_fields import part_text

_UG_PER_MG = 1_000


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the reckoning.

    Attributes:
        words: what is reckoned.
        amount: what it comes to; empty where it is only a step on the way.
        is_sum: whether a line is drawn above it.
    """

    words: str
    amount: str = ""
    is_sum: bool = False


def lines_of(
    found: ExampleReturn, sheet: TermsSheet, interest: float, numbers: Numbers
) -> tuple[Line, ...]:
    """Give the lines, in the order in which the sheet reckons."""
    return (
        *_metals(found, sheet, numbers),
        *_charges(found, sheet, numbers),
        *_on_the_way(found, sheet, interest, numbers),
        Line("Net", f"{numbers.cents(found.net)} {sheet.currency}", is_sum=True),
        *_coming_back(found, sheet, numbers),
    )


def _metals(found: ExampleReturn, sheet: TermsSheet, numbers: Numbers) -> Iterator[Line]:
    weight = numbers.total_weight(found.weight_ug)
    basis = " dry" if sheet.treatment.basis is Basis.DRY else ""
    for steps in found.metals:
        terms = next(one for one in sheet.metals if one.metal == steps.metal)
        name = metal_name(steps.metal)
        yield Line(f"{name[:1].upper()}{name[1:]} in {weight}{basis}: {_fine(steps, numbers)}")
        if terms.deduction.ppb:
            grade = part_text(terms.deduction, numbers.decimal_mark)
            yield Line(f"deduction {grade} of the weight: {_grams(steps.deducted_ug, numbers)}")
        yield from _paid(steps, terms, numbers)


def _paid(steps: MetalSteps, terms: MetalTerms, numbers: Numbers) -> Iterator[Line]:
    if steps.is_too_little:
        yield Line("too little of it by the sheet: nothing is paid", numbers.cents(steps.paid))
        return
    part = f"{numbers.plain(f'{100 * steps.part:g}')} %"
    payable = _grams(steps.payable_ug, numbers)
    if terms.paid is Paid.LESSER and terms.deduction.ppb:
        yield Line(f"the lesser of {part} of all and what is left: {payable}")
    elif terms.deduction.ppb:
        yield Line(f"{part} of what is left: {payable}")
    else:
        yield Line(f"{part} of it: {payable}")
    price = numbers.plain(f"{steps.price:g}")
    if steps.refining:
        price = f"({price} {MINUS} {numbers.plain(f'{steps.refining:g}')} refining)"
    yield Line(f"{payable} × {price}", numbers.cents(steps.paid))


def _charges(found: ExampleReturn, sheet: TermsSheet, numbers: Numbers) -> Iterator[Line]:
    rate = numbers.plain(f"{float(sheet.treatment.per_kg.amount):g}")
    least = "treatment, least for a lot"
    treatment = least if found.is_least else f"treatment, {rate} for 1 kg"
    fee = numbers.cents(float(sheet.fees.assay.amount))
    told = [
        (treatment, found.treatment),
        (f"assays, {found.assayed} × {fee}", found.assays),
        ("sampling", found.sampling),
        *((f"penalty for {element}", amount) for element, amount in found.penalties),
    ]
    yield from _taken_off(told, numbers)


def _on_the_way(
    found: ExampleReturn, sheet: TermsSheet, interest: float, numbers: Numbers
) -> Iterator[Line]:
    cost = f"{numbers.plain(f'{100 * interest:g}')} % a year"
    waiting = f"waiting {sheet.days_to_settle} days at {cost}"
    told = [
        (waiting, found.waiting),
        ("freight", found.freight),
        ("drums", found.drums),
        ("transport papers", found.manifest),
    ]
    yield from _taken_off(told, numbers)


def _taken_off(told: list[tuple[str, float]], numbers: Numbers) -> Iterator[Line]:
    for words, amount in told:
        if amount:
            yield Line(words, numbers.cents(-amount))


def _coming_back(found: ExampleReturn, sheet: TermsSheet, numbers: Numbers) -> Iterator[Line]:
    if sheet.returns is Comes.METAL and found.metals:
        back = ", ".join(f"{_grams(one.payable_ug, numbers)} {one.metal}" for one in found.metals)
        yield Line(f"Of it comes back as metal, at its price: {back}")


def _fine(steps: MetalSteps, numbers: Numbers) -> str:
    return _grams(steps.content_ug, numbers)


def _grams(ug: int, numbers: Numbers) -> str:
    """Write fine metal to the milligram; nobody checks a sheet finer than that."""
    return numbers.weight(round(ug / _UG_PER_MG) * _UG_PER_MG)
