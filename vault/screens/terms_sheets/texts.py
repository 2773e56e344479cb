"""A terms sheet as it stands in the fields of its form: a text for each, as drafts keep them."""

from __future__ import annotations

from typing import Any

from vault.core.days import day_to_text
from vault.core.fineness import Fineness
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass
from vault.core.money import Money
from vault.core.terms_sheets import (
    Band,
    Basis,
    Comes,
    MetalTerms,
    Paid,
    Penalty,
    Takes,
    TermsSheet,
)
from vault.screens.widgets.amount_fields import money_text, part_text

Texts = dict[str, Any]
FEES = ("assay", "sampling", "umpire", "freight", "freight_per_kg", "drum", "manifest")
WHOLE_STEPS, PART_STEPS = "whole", "in part"
_UG_PER_KG = int(MICROGRAMS_PER_UNIT["kg"])


def texts_of(sheet: TermsSheet, mark: str) -> Texts:
    """Give what stands in the form for a sheet; `mark` is the decimal mark in use."""
    limits = dict(sheet.splitting)
    return {
        "head": {
            "name": sheet.name,
            "party": sheet.party,
            "currency": sheet.currency,
            "valid_from": day_to_text(sheet.valid_from),
            "valid_until": "" if sheet.valid_until is None else day_to_text(sheet.valid_until),
            "returns": sheet.returns.value,
            "takes": sheet.takes.value,
            "days_to_settle": str(sheet.days_to_settle or ""),
        },
        "metals": [_metal(one, limits.get(one.metal), mark) for one in sheet.metals],
        "charges": {
            "per_kg": _money(sheet.treatment.per_kg, mark),
            "least": _money(sheet.treatment.least, mark),
            "basis": sheet.treatment.basis.value,
            **{name: _money(getattr(sheet.fees, name), mark) for name in FEES},
            "drum_holds": mass_text(sheet.fees.drum_holds, mark),
        },
        "penalties": [_penalty(one, mark) for one in sheet.penalties],
        "note": sheet.note,
    }


def empty_texts(currency: str, today: str) -> Texts:
    """Give what stands in the form for a sheet that is begun."""
    head = {
        "currency": currency,
        "valid_from": today,
        "returns": Comes.MONEY.value,
        "takes": Takes.ANYTHING.value,
    }
    return {
        "head": dict.fromkeys(("name", "party", "valid_until", "days_to_settle"), "") | head,
        "metals": [metal_texts("Ag")],
        "charges": dict.fromkeys(("per_kg", "least", *FEES, "drum_holds"), "")
        | {"basis": Basis.RECEIVED.value},
        "penalties": [],
        "note": "",
    }


def metal_texts(metal: str) -> dict[str, str]:
    """Give what stands in the fields of a metal of which nothing is said yet."""
    names = ("payable", "deduction", "refining", "least_grade", "least_fine", "splitting", "bands")
    return {"metal": metal, "paid": Paid.AFTER_DEDUCTION.value, **dict.fromkeys(names, "")}


def bands_text(bands: tuple[Band, ...], mark: str) -> str:
    """Write bands as a person does: `5 ‰: 88 %; 1 %: 90 %`."""
    return "; ".join(
        f"{part_text(one.grade, mark)}: {part_text(one.payable, mark)}" for one in bands
    )


def mass_text(mass: Mass, mark: str) -> str:
    """Write a mass so that it reads back as the same, in kilograms where it has any."""
    if mass.micrograms >= _UG_PER_KG:
        text, unit = f"{mass.in_unit('kg').normalize():f}", "kg"
    else:
        text, unit = mass.to_text(), "g"
    return f"{text.replace('.', mark)} {unit}"


def _metal(terms: MetalTerms, limit: Fineness | None, mark: str) -> dict[str, str]:
    least_fine = terms.least_fine
    return {
        "metal": terms.metal,
        "payable": part_text(terms.payable, mark),
        "deduction": _part(terms.deduction, mark),
        "paid": terms.paid.value,
        "refining": _money(terms.refining, mark),
        "least_grade": _part(terms.least_grade, mark),
        "least_fine": mass_text(least_fine, mark) if least_fine.micrograms else "",
        "splitting": "" if limit is None else part_text(limit, mark),
        "bands": bands_text(terms.bands, mark),
    }


def _penalty(penalty: Penalty, mark: str) -> dict[str, str]:
    return {
        "element": penalty.element,
        "free": _part(penalty.free, mark),
        "step": part_text(penalty.step, mark),
        "steps": WHOLE_STEPS if penalty.whole_steps else PART_STEPS,
        "per_kg": money_text(penalty.per_kg, mark),
    }


def _money(money: Money, mark: str) -> str:
    return money_text(money, mark) if money.millionths else ""


def _part(part: Fineness, mark: str) -> str:
    return part_text(part, mark) if part.ppb else ""
