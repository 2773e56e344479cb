"""What a terms sheet cannot say: every fault of one, with the field that is wrong.

A field is named by its path in the sheet, rows counted from 0: `valid_until`, `treatment.least`,
`metals.1.payable`, `metals.1.bands.0.grade`, `splitting.0`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vault.core.daybook import FIRST_YEAR, LAST_YEAR
from vault.core.days import day_to_text
from vault.core.errors import VaultError
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.metals import BY_SYMBOL
from vault.core.money import Money, is_currency
from vault.core.terms_sheets import MetalTerms, TermsSheet
from vault.core.words import trouble_with

MOST_DAYS = 3650
# A sheet that an entry names to the version ends so; no name may look like that.
_LIKE_A_VERSION = re.compile(r"\(version \d+\)\Z")

_CHARGES = {
    "assay": "assay fee",
    "sampling": "sampling fee",
    "umpire": "umpire fee",
    "freight": "freight",
    "freight_per_kg": "freight for one kilogram",
    "drum": "charge for a drum",
    "manifest": "charge for the transport papers",
}


@dataclass(frozen=True, slots=True)
class SheetFault:
    """One thing that is wrong with a sheet.

    Attributes:
        field: its path.
        sentence: what is wrong and what to do.
    """

    field: str
    sentence: str


class TermsRefused(VaultError):
    """A terms sheet that cannot be; nothing of it was kept.

    Attributes:
        faults: everything that is wrong with it.
    """

    def __init__(self, faults: Sequence[SheetFault]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(one.sentence for one in self.faults))


def insist_on_sense(sheet: TermsSheet) -> None:
    """Insist on a sheet that can be.

    Raises:
        TermsRefused: with every fault found.
    """
    faults = faults_of_sheet(sheet)
    if faults:
        raise TermsRefused(faults)


def faults_of_sheet(sheet: TermsSheet) -> tuple[SheetFault, ...]:
    """List everything that is wrong with a sheet, from its head down."""
    return tuple(
        fault
        for find in (_head, _metals, _treatment, _fees, _penalties, _splitting, _note, _currency)
        for fault in find(sheet)
    )


def _head(sheet: TermsSheet) -> Iterator[SheetFault]:
    if not sheet.name:
        yield SheetFault("name", "The sheet has no name; write what it is called on its paper.")
    elif _LIKE_A_VERSION.search(sheet.name):
        yield SheetFault(
            "name",
            f"“{sheet.name}” ends like a version; leave that out, versions are counted by "
            "themselves.",
        )
    if not sheet.party:
        yield SheetFault("party", "The sheet names no refinery; write whose terms these are.")
    for field, word in (("name", sheet.name), ("party", sheet.party)):
        if trouble := trouble_with(word):
            yield SheetFault(field, trouble)
    if sheet.version < 1:
        yield SheetFault("version", "Versions are counted from 1.")
    yield from _validity(sheet)
    if not 0 <= sheet.days_to_settle <= MOST_DAYS:
        yield SheetFault(
            "days_to_settle",
            f"{sheet.days_to_settle} days to settlement cannot be; write whole days up to "
            f"{MOST_DAYS}.",
        )


def _validity(sheet: TermsSheet) -> Iterator[SheetFault]:
    for field, day in (("valid_from", sheet.valid_from), ("valid_until", sheet.valid_until)):
        if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
            yield SheetFault(
                field, f"The year {day.year} lies outside {FIRST_YEAR} to {LAST_YEAR}."
            )
    if sheet.valid_until is not None and sheet.valid_until < sheet.valid_from:
        yield SheetFault(
            "valid_until",
            f"The sheet would end on {day_to_text(sheet.valid_until)}, before it begins on "
            f"{day_to_text(sheet.valid_from)}; correct one of the days, or leave the last open.",
        )


def _metals(sheet: TermsSheet) -> Iterator[SheetFault]:
    if not sheet.metals:
        yield SheetFault(
            "metals",
            "The sheet names no metal; add at least one. Where nothing is paid for it, its payable "
            "part is 0 %.",
        )
    for at, terms in enumerate(sheet.metals):
        path, metal = f"metals.{at}", terms.metal
        if metal not in BY_SYMBOL:
            yield SheetFault(f"{path}.metal", f"“{metal}” is no precious metal known here.")
        elif any(metal == other.metal for other in sheet.metals[:at]):
            yield SheetFault(f"{path}.metal", f"{metal} stands on the sheet twice; name it once.")
        for field, grade, what in (
            ("payable", terms.payable, "payable part"),
            ("deduction", terms.deduction, "deduction"),
            ("least_grade", terms.least_grade, "least grade"),
        ):
            yield from _part(f"{path}.{field}", grade, f"{what} of {metal}")
        if terms.least_fine.micrograms < 0:
            yield SheetFault(
                f"{path}.least_fine",
                f"The least fine mass of {metal} is below zero; it is at least nothing.",
            )
        yield from _charge(f"{path}.refining", terms.refining, f"refining charge for {metal}")
        yield from _bands(path, terms)


def _bands(path: str, terms: MetalTerms) -> Iterator[SheetFault]:
    below = Fineness(0)
    for at, band in enumerate(terms.bands):
        where = f"{path}.bands.{at}"
        yield from _part(f"{where}.grade", band.grade, f"grade of a band of {terms.metal}")
        yield from _part(f"{where}.payable", band.payable, f"payable part of {terms.metal}")
        if band.grade <= below:
            yield SheetFault(
                f"{where}.grade",
                f"The bands of {terms.metal} do not rise; each begins at a higher grade than the "
                "one before it.",
            )
        below = max(below, band.grade)


def _treatment(sheet: TermsSheet) -> Iterator[SheetFault]:
    yield from _charge("treatment.per_kg", sheet.treatment.per_kg, "treatment charge")
    yield from _charge("treatment.least", sheet.treatment.least, "least charge for a lot")


def _fees(sheet: TermsSheet) -> Iterator[SheetFault]:
    for field, what in _CHARGES.items():
        yield from _charge(f"fees.{field}", getattr(sheet.fees, field), what)
    if sheet.fees.drum_holds.micrograms <= 0:
        yield SheetFault(
            "fees.drum_holds", "A drum holds more than nothing; write what goes into one."
        )


def _penalties(sheet: TermsSheet) -> Iterator[SheetFault]:
    for at, penalty in enumerate(sheet.penalties):
        path, element = f"penalties.{at}", penalty.element
        if not element:
            yield SheetFault(
                f"{path}.element", "A penalty names no element; write it, such as Pb or As."
            )
        elif trouble := trouble_with(element):
            yield SheetFault(f"{path}.element", trouble)
        same = (one for one in sheet.penalties[:at] if one.element == element)
        if any(one.free == penalty.free for one in same):
            yield SheetFault(
                f"{path}.free",
                f"The penalty for {element} above this grade stands on the sheet twice.",
            )
        yield from _part(f"{path}.free", penalty.free, f"free grade of {element}")
        yield from _step(f"{path}.step", penalty.step, element)
        yield from _charge(f"{path}.per_kg", penalty.per_kg, f"penalty for {element}")


def _step(path: str, step: Fineness, element: str) -> Iterator[SheetFault]:
    if step.ppb == 0:
        yield SheetFault(
            path,
            f"A step of nothing would charge {element} without end; write how large a step is, "
            "such as 0.1 %.",
        )
    yield from _part(path, step, f"step of {element}")


def _splitting(sheet: TermsSheet) -> Iterator[SheetFault]:
    paid = [one.metal for one in sheet.metals]
    for at, (metal, limit) in enumerate(sheet.splitting):
        path = f"splitting.{at}"
        if metal not in paid:
            yield SheetFault(
                path, f"A splitting limit is given for {metal}, which is not among the metals."
            )
        elif paid.count(metal) == 1 and any(metal == one for one, _ in sheet.splitting[:at]):
            yield SheetFault(path, f"The splitting limit of {metal} is given twice; say it once.")
        yield from _part(path, limit, f"splitting limit of {metal}")


def _note(sheet: TermsSheet) -> Iterator[SheetFault]:
    if trouble := trouble_with(sheet.note, is_note=True):
        yield SheetFault("note", trouble)


def _currency(sheet: TermsSheet) -> Iterator[SheetFault]:
    if not is_currency(sheet.currency):
        yield SheetFault(
            "currency",
            f"“{sheet.currency}” is no currency; write its three capital letters, such as EUR.",
        )
        return
    for path, money in moneys_of(sheet):
        if money.currency != sheet.currency:
            yield SheetFault(
                path,
                f"An amount of this sheet is in {money.currency}, but the sheet is in "
                f"{sheet.currency}; write every amount in {sheet.currency}.",
            )


def moneys_of(sheet: TermsSheet) -> Iterator[tuple[str, Money]]:
    """Give every amount of a sheet with its path."""
    for at, terms in enumerate(sheet.metals):
        yield f"metals.{at}.refining", terms.refining
    yield "treatment.per_kg", sheet.treatment.per_kg
    yield "treatment.least", sheet.treatment.least
    for field in _CHARGES:
        yield f"fees.{field}", getattr(sheet.fees, field)
    for at, penalty in enumerate(sheet.penalties):
        yield f"penalties.{at}.per_kg", penalty.per_kg


def _part(path: str, part: Fineness, what: str) -> Iterator[SheetFault]:
    if part.ppb > WHOLE_PPB:
        yield SheetFault(path, f"The {what} is above the whole; it is at most 100 %.")
    elif part.ppb < 0:
        yield SheetFault(path, f"The {what} is below zero; it is at least nothing.")


def _charge(path: str, money: Money, what: str) -> Iterator[SheetFault]:
    if money.millionths < 0:
        yield SheetFault(
            path, f"The {what} is below zero; a charge is written without a sign, and 0 for none."
        )
