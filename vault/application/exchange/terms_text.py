"""Terms sheets as open text: JSON that a person can read, write and carry to another book.

    {"terms sheets": 1, "sheets": [{"name": "by the kilo", "version": 1, …}]}

The book keeps its sheets in the same text. Amounts are in the currency of the sheet; what is left
out is nothing, as on paper. Every fault is told with the sheet and the field it stands in.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import partial
from typing import Any

from vault.application.exchange.open_text import (
    OpenTextRefused,
    Table,
    TextFault,
    day,
    one_of,
    records_of,
    whole_number,
)
from vault.core.errors import TextNotUnderstood
from vault.core.fineness import Fineness, typed_part
from vault.core.masses import Mass, mass_from_text
from vault.core.money import Money, is_currency
from vault.core.numerals import shortened
from vault.core.rates import typed_money, typed_rate
from vault.core.rules.terms_sheets import faults_of_sheet
from vault.core.terms_sheets import (
    USUAL_DRUM,
    Band,
    Basis,
    Comes,
    Fees,
    MetalTerms,
    Paid,
    Penalty,
    Takes,
    TermsSheet,
    Treatment,
)
from vault.core.words import tidied

FORMAT = 1
_KIND = "terms sheets"
_PPB_PER_PERCENT = 10_000_000
_FEES = ("assay", "sampling", "umpire", "freight", "freight_per_kg", "drum", "manifest")
_SHEET = (
    *("name", "version", "party", "valid_from", "valid_until", "currency", "returns"),
    *("takes", "days_to_settle", "metals", "treatment", "fees", "penalties", "note"),
)
_METAL = (
    *("metal", "payable", "deduction", "paid", "least_grade", "least_fine"),
    *("refining_per_g", "bands", "splitting"),
)
_BAND = ("grade", "payable")
_TREATMENT = ("per_kg", "least", "basis")
_PENALTY = ("element", "free", "step", "steps", "per_kg")


class Steps(Enum):
    """How a step of a penalty that is only begun counts."""

    WHOLE = "every one begun counts whole"
    IN_PART = "each counts for what it is"


# --- writing --------------------------------------------------------------------------------------


def sheets_to_text(sheets: Iterable[TermsSheet]) -> str:
    """Give sheets as text that reads back as exactly these."""
    told = {_KIND: FORMAT, "sheets": [_sheet_told(one) for one in sheets]}
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def _sheet_told(sheet: TermsSheet) -> dict[str, Any]:
    limits = dict(sheet.splitting)
    fees = {name: getattr(sheet.fees, name).to_text() for name in _FEES}
    return {
        "name": sheet.name,
        "version": sheet.version,
        "party": sheet.party,
        "valid_from": sheet.valid_from.isoformat(),
        "valid_until": sheet.valid_until.isoformat() if sheet.valid_until else "",
        "currency": sheet.currency,
        "returns": sheet.returns.value,
        "takes": sheet.takes.value,
        "days_to_settle": sheet.days_to_settle,
        "metals": [_metal_told(one, limits.get(one.metal)) for one in sheet.metals],
        "treatment": {
            "per_kg": sheet.treatment.per_kg.to_text(),
            "least": sheet.treatment.least.to_text(),
            "basis": sheet.treatment.basis.value,
        },
        "fees": fees | {"drum_holds": f"{sheet.fees.drum_holds.to_text()} g"},
        "penalties": [
            {
                "element": one.element,
                "free": percent_text(one.free),
                "step": percent_text(one.step),
                "steps": (Steps.WHOLE if one.whole_steps else Steps.IN_PART).value,
                "per_kg": one.per_kg.to_text(),
            }
            for one in sheet.penalties
        ],
        "note": sheet.note,
    }


def _metal_told(terms: MetalTerms, limit: Fineness | None) -> dict[str, Any]:
    told: dict[str, Any] = {
        "metal": terms.metal,
        "payable": percent_text(terms.payable),
        "deduction": f"{terms.deduction.to_text()} ‰",
        "paid": terms.paid.value,
        "least_grade": f"{terms.least_grade.to_text()} ‰",
        "least_fine": f"{terms.least_fine.to_text()} g",
        "refining_per_g": terms.refining.to_text(),
    }
    if terms.bands:
        told["bands"] = [
            {"grade": f"{one.grade.to_text()} ‰", "payable": percent_text(one.payable)}
            for one in terms.bands
        ]
    if limit is not None:
        told["splitting"] = f"{limit.to_text()} ‰"
    return told


def percent_text(part: Fineness) -> str:
    """Write a part in percent, exact: `85 %`."""
    return f"{(Decimal(part.ppb) / _PPB_PER_PERCENT).normalize():f} %"


# --- reading --------------------------------------------------------------------------------------


def sheets_from_text(text: str) -> tuple[TermsSheet, ...]:
    """Read sheets as `sheets_to_text` writes them, or as a person does after its pattern.

    Raises:
        OpenTextRefused: with every fault found.
    """
    faults: list[TextFault] = []
    read: list[TermsSheet] = []
    for row, told in enumerate(records_of(text, _KIND, FORMAT, "sheets"), start=1):
        table = Table(told, _SHEET, faults, row=row)
        before = len(faults)
        sheet = _sheet(table)
        read.append(sheet)
        if len(faults) == before:
            faults += [
                TextFault(row, _in_words(one.field), one.sentence) for one in faults_of_sheet(sheet)
            ]
        if any(_key(sheet) == _key(other) for other in read[:-1]):
            faults.append(
                TextFault(row, "version", f"Version {sheet.version} of it stands here twice.")
            )
    if faults:
        raise OpenTextRefused(faults)
    return tuple(read)


_SOME_DAY = date(2000, 1, 1)
_NO_PART = Fineness(0)


def _sheet(table: Table) -> TermsSheet:
    currency = table.needed("currency", _currency, "XXX")
    metals = [(_metal(one, currency), one) for one in table.rows("metals", _METAL)]
    limits = [(terms.metal, one.value("splitting", typed_part, None)) for terms, one in metals]
    treatment, fees = (
        table.inner("treatment", _TREATMENT),
        table.inner("fees", (*_FEES, "drum_holds")),
    )
    amount, per_kg = partial(typed_money, currency=currency), _per(currency, "kg")
    nothing = Money(0, currency)
    return TermsSheet(
        name=tidied(table.text("name")),
        version=table.value("version", whole_number, 1),
        party=tidied(table.text("party")),
        valid_from=table.needed("valid_from", day, _SOME_DAY),
        valid_until=table.value("valid_until", day, None),
        currency=currency,
        metals=tuple(terms for terms, _ in metals),
        treatment=Treatment(
            per_kg=treatment.value("per_kg", per_kg, nothing),
            least=treatment.value("least", amount, nothing),
            basis=treatment.value("basis", partial(one_of, Basis), Basis.RECEIVED),
        ),
        fees=Fees(
            **{
                name: fees.value(name, per_kg if name.endswith("per_kg") else amount, nothing)
                for name in _FEES
            },
            drum_holds=fees.value("drum_holds", mass_from_text, USUAL_DRUM),
        ),
        penalties=tuple(_penalty(one, per_kg) for one in table.rows("penalties", _PENALTY)),
        returns=table.value("returns", partial(one_of, Comes), Comes.MONEY),
        takes=table.value("takes", partial(one_of, Takes), Takes.ANYTHING),
        days_to_settle=table.value("days_to_settle", whole_number, 0),
        splitting=tuple((metal, limit) for metal, limit in limits if limit is not None),
        note=tidied(table.text("note"), is_note=True),
    )


def _metal(table: Table, currency: str) -> MetalTerms:
    return MetalTerms(
        metal=table.text("metal").strip(),
        payable=table.needed("payable", typed_part, _NO_PART),
        refining=table.value("refining_per_g", _per(currency, "g"), Money(0, currency)),
        deduction=table.value("deduction", typed_part, _NO_PART),
        paid=table.value("paid", partial(one_of, Paid), Paid.AFTER_DEDUCTION),
        least_grade=table.value("least_grade", typed_part, _NO_PART),
        least_fine=table.value("least_fine", mass_from_text, Mass(0)),
        bands=tuple(
            Band(
                one.needed("grade", typed_part, _NO_PART),
                one.needed("payable", typed_part, _NO_PART),
            )
            for one in table.rows("bands", _BAND)
        ),
    )


def _penalty(table: Table, per_kg: Callable[[str], Money]) -> Penalty:
    return Penalty(
        element=tidied(table.text("element")),
        free=table.value("free", typed_part, _NO_PART),
        step=table.needed("step", typed_part, _NO_PART),
        per_kg=table.needed("per_kg", per_kg, per_kg("0")),
        whole_steps=table.value("steps", partial(one_of, Steps), Steps.WHOLE) is Steps.WHOLE,
    )


def _per(currency: str, unit: str) -> Callable[[str], Money]:
    return lambda text: typed_rate(text, currency, per=unit)


def _currency(text: str) -> str:
    if not is_currency(text):
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no currency; write its three capital letters, such as EUR."
        )
    return text


def _in_words(path: str) -> str:
    """Give the field of a path as a file has it: `metals.1.refining` stands in a second row."""
    parts = path.split(".")
    if parts[0] == "splitting":
        parts = ["metals", *parts[1:], "splitting"]
    told = [f"row {int(one) + 1}" if one.isdigit() else one for one in parts]
    return ", ".join(told).replace("refining", "refining_per_g")


def _key(sheet: TermsSheet) -> tuple[str, str, int]:
    return (sheet.party, sheet.name, sheet.version)
