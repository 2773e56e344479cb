"""Reckoning aids of a work that is not recorded yet: their figures, and what they say in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from vault.application.queries.answers.work import Aid
from vault.application.queries.work_reading import Looked
from vault.application.queries.work_weight import WholeWeight
from vault.application.wording import WorkNumbers
from vault.core.daybook import Process
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.forms import is_residue
from vault.core.knowledge import Figure, How
from vault.core.metals import BY_SYMBOL
from vault.reckoning.aids import (
    Charge,
    Heat,
    Inquart,
    LeadWanted,
    Passes,
    Room,
    SlagExpected,
    Sprouting,
    fineness_of,
    heat_of_cupel,
    inquart,
    lead_for,
    oxides_to_come,
    room_for,
    slag_expected,
    soda_ash_for,
    soda_ash_source,
    sprouting,
)
from vault.reckoning.closure import LIMIT, Part, is_flux, is_vessel
from vault.reckoning.guesses import MOLTEN
from vault.reckoning.micrograms import PER_GRAM, micrograms
from vault.reckoning.oxides import is_metallic_lead
from vault.reckoning.spans import Span

_CELSIUS = re.compile(r"(\d{3,4})\s*(?:°\s*)?C\b")
# A metal below this share of what comes out is no part of its fineness to speak of.
_SPOKEN_OF = 0.001
# Silver for parting is spoken of where gold is at least so much of the metal.
_GOLD_TO_PART = 0.05


@dataclass(frozen=True, slots=True)
class AidFigures:
    """The figures of all aids that a work calls for, None for each that it does not.

    Attributes:
        charge: the metal that goes in; None where not all of it is weighed.
        bar: of the heaviest thing that comes out of a melt: its form and its finenesses with ±.
        silica_g, soda_g: silica that is added, and soda ash with it.
    """

    charge: Charge | None = None
    lead: LeadWanted | None = None
    room: Room | None = None
    slag: SlagExpected | None = None
    parting: Inquart | None = None
    bar: tuple[str, tuple[tuple[str, float, float], ...]] | None = None
    sprouts: Sprouting | None = None
    heat: Heat | None = None
    silica_g: float = 0.0
    soda_g: float = 0.0


def aid_figures_of(looked: Looked, weight: WholeWeight) -> AidFigures:
    """Work out the aids that a work calls for."""
    process = weight.process
    charge = charge_of(looked, weight)
    cupels, melts = process is Process.CUPEL, process in MOLTEN
    lead = lead_for(charge, weight.lead_g) if cupels and charge is not None else None
    oxides = _oxides(weight, charge) if cupels else None
    parts = process in MOLTEN | {Process.CUPEL} and charge is not None
    return AidFigures(
        charge=charge,
        lead=lead,
        room=None if oxides is None else room_for(oxides, weight.cupels),
        slag=_slag(weight, charge) if process is Process.SMELT else None,
        parting=_parting(charge) if parts and charge is not None else None,
        bar=_bar(looked) if melts else None,
        sprouts=_sprouting(charge, cupelled=cupels) if parts and charge is not None else None,
        heat=heat_of_cupel(celsius_of(looked.draft.furnace)) if cupels else None,
        silica_g=_grams_of(weight, "silica", "quartz") if process is Process.SMELT else 0.0,
        soda_g=_grams_of(weight, "soda", "soda ash"),
    )


def celsius_of(words: str) -> float | None:
    """Give the temperature that words about a furnace name.

    >>> celsius_of("965 °C, 85 min"), celsius_of("bright red")
    (965.0, None)
    """
    found = _CELSIUS.search(words)
    return None if found is None else float(found[1])


def charge_of(looked: Looked, weight: WholeWeight) -> Charge | None:
    """Give the metal that goes in, without lead and flux; None where it is not all weighed."""
    metal = [
        one
        for one in weight.added
        if not is_flux(one) and not is_vessel(one.form) and not is_metallic_lead(one.form)
    ]
    things = [*weight.used, *metal]
    if not weight.used or any(one.grams is None for one in things):
        return None
    metals = looked.foresight.metals
    return Charge(
        gross_g=sum(one.grams or 0.0 for one in things),
        gross_u_g=hypot(*(one.doubt for one in things)),
        fine={metal: (one.fed.fine_g, one.fed.u_g) for metal, one in metals.items()},
        known=bool(metals) and all(one.fed.determinable for one in metals.values()),
    )


def _oxides(weight: WholeWeight, charge: Charge | None) -> Span | None:
    """Give what a cupel has to take up, by what came out where that is weighed already."""
    closure = weight.closure
    if closure is not None:
        for part, span in closure.lines:
            if part is Part.AS_OXIDES:
                return span
    return None if charge is None else oxides_to_come(charge, list(weight.used), weight.lead_g)


def _slag(weight: WholeWeight, charge: Charge | None) -> SlagExpected | None:
    aims = [one for one in weight.made if not is_residue(one.form)]
    if aims and all(one.grams is not None for one in aims):
        metal = Span.exactly(sum(one.grams or 0.0 for one in aims))
    elif charge is not None and charge.known:
        # At least the fine metal comes out, and at most all that went in.
        fine = sum(max(grams, 0.0) for grams, _ in charge.fine.values())
        metal = Span(min(fine, charge.gross_g), charge.gross_g)
    else:
        return None
    return slag_expected(list(weight.used), weight.added, metal)


def _parting(charge: Charge) -> Inquart | None:
    if charge.grams_of("Au") < _GOLD_TO_PART * charge.gross_g:
        return None
    return inquart(charge)


def _sprouting(charge: Charge, *, cupelled: bool) -> Sprouting | None:
    """Give the caution of sprouting; a cupel carries the base metal off, a melt keeps it."""
    if not charge.known:
        return None
    fine = sum(max(grams, 0.0) for grams, _ in charge.fine.values())
    whole = fine if cupelled else charge.gross_g
    if whole <= 0.0:
        return None
    return sprouting(whole, charge.grams_of("Ag") / whole, charge.grams_of("Au") / whole)


def _bar(
    looked: Looked,
) -> tuple[str, tuple[tuple[str, float, float], ...]] | None:
    """Give the finenesses of the heaviest thing that comes out of a melt."""
    gross = looked.foresight.gross
    aims = [
        (gross[tag][0], tag, one.form)
        for tag, one in zip(looked.made, looked.draft.made, strict=True)
        if tag in gross and not is_residue(one.form)
    ]
    if not aims:
        return None
    _, tag, form = max(aims)
    found = []
    for metal, one in looked.foresight.metals.items():
        content = one.made.get(tag)
        if content is None or not content.determinable:
            continue
        fineness = fineness_of((content.fine_g, content.u_g), gross[tag])
        # Before it is weighed its ± can be as large as the fineness itself, which tells nothing.
        if fineness is not None and max(_SPOKEN_OF, LIMIT * fineness[1]) <= fineness[0]:
            found.append((metal, *fineness))
    return (form or "product", tuple(found)) if found else None


def _grams_of(weight: WholeWeight, *names: str) -> float:
    return sum(one.grams or 0.0 for one in weight.added if one.form.lower() in names)


def aids_of(figures: AidFigures, weight: WholeWeight, numbers: WorkNumbers) -> tuple[Aid, ...]:
    """Give the aids in words, those of the charge first."""
    return tuple(_in_words(figures, weight, numbers))


def _in_words(figures: AidFigures, weight: WholeWeight, numbers: WorkNumbers) -> Iterator[Aid]:
    if figures.lead is not None:
        yield _lead_in_words(figures.lead, numbers)
    if figures.room is not None:
        yield _room_in_words(figures.room, len(weight.cupels), numbers)
    if figures.slag is not None:
        yield _slag_in_words(figures.slag, numbers)
    if figures.silica_g > 0.0:
        yield _soda_in_words(figures, numbers)
    if figures.parting is not None:
        yield _parting_in_words(figures.parting, numbers)
    if figures.bar is not None:
        yield _bar_in_words(*figures.bar, numbers)
    if figures.sprouts is not None:
        yield _sprouting_in_words(figures.sprouts, numbers)
    if figures.heat is not None:
        yield _heat_in_words(figures.heat)


def _lead_in_words(lead: LeadWanted, numbers: WorkNumbers) -> Aid:
    base = numbers.uncut_with_unit(
        Figure(micrograms(lead.base_g), micrograms(lead.base_u_g), How.WORKED_OUT)
    )
    alloy = "gold bullion" if lead.by_gold else "silver–copper alloy"
    share = f"{round(100 * lead.precious_share)} %"
    text = (
        f"{base} of base metal is to be carried off. The old table asks for some "
        f"{_parts(lead.parts)} parts of lead to one of {share} {alloy} for one pass, that is "
        f"{_span(lead.grams, numbers)}"
    )
    given = _about(lead.given_g, numbers)
    ending = {
        Passes.NO_LEAD: "; so far no lead is named.",
        Passes.TOO_LITTLE: f"; {given} is little even for one of several passes.",
        Passes.SEVERAL: f"; with {given} a second pass is likely.",
        Passes.ONE: f"; {given} is enough for one pass.",
    }
    return Aid("Lead", text + ending[lead.passes], lead.source)


def _parts(parts: Span) -> str:
    low, high = round(parts.low), round(parts.high)
    return f"{low}" if low == high else f"{low} to {high}"


def _room_in_words(room: Room, cupels: int, numbers: WorkNumbers) -> Aid:
    cupel = "the cupel" if cupels == 1 else "the cupels"
    share = round(100 * room.oxides.middle / room.cupel_g)
    material = f"of {room.material} " if room.material else ""
    text = (
        f"The oxides would weigh {_span(room.oxides, numbers)}, {share} % of {cupel}; one "
        f"{material}usually takes {_span(room.takes, numbers)}."
    )
    if room.cupels_wanted > 1:
        text += f" That is work for {room.cupels_wanted} such cupels, or as many passes."
    return Aid("Room in the cupel", text, room.source)


def _slag_in_words(slag: SlagExpected, numbers: WorkNumbers) -> Aid:
    text = f"Some {_span(slag.grams, numbers)} of slag"
    if slag.flux_g > 0.0:
        left = _about(slag.flux_g - slag.gas_g, numbers)
        gas = f" after {_about(slag.gas_g, numbers)} of gas" if slag.gas_g > 0.0 else ""
        text += f": {left} from the flux{gas}, {_span(slag.dirt, numbers)} from dirt and oxides"
    return Aid("Slag to expect", f"{text}.", slag.source)


def _soda_in_words(figures: AidFigures, numbers: WorkNumbers) -> Aid:
    wanted = soda_ash_for(figures.silica_g)
    text = (
        f"{_about(figures.silica_g, numbers)} of silica takes {_about(wanted, numbers)} of soda "
        "ash to melt with it"
    )
    named = f"; {_about(figures.soda_g, numbers)} is named." if figures.soda_g > 0.0 else "."
    return Aid("Soda ash for silica", text + named, soda_ash_source())


def _parting_in_words(parting: Inquart, numbers: WorkNumbers) -> Aid:
    text = (
        f"{_about(parting.gold_g, numbers)} of gold wants {_span(parting.wanted, numbers)} of "
        f"silver before it is parted; {_about(parting.silver_g, numbers)} is in it"
    )
    add = "." if parting.enough else f", {_about(parting.to_add_g, numbers)} would be to add."
    return Aid("Silver for parting", text + add, parting.source)


def _bar_in_words(
    form: str, finenesses: tuple[tuple[str, float, float], ...], numbers: WorkNumbers
) -> Aid:
    told = ", ".join(
        f"{metal} {numbers.fineness(_fineness(share), _fineness(u))}"
        for metal, share, u in sorted(finenesses, key=lambda one: -one[1])
    )
    text = f"The {form} should come out at {told}."
    return Aid("Fineness to expect", text, "the balance of what goes in, with its ±")


def _fineness(share: float) -> Fineness:
    return Fineness(min(max(round(share * WHOLE_PPB), 0), WHOLE_PPB))


def _sprouting_in_words(found: Sprouting, numbers: WorkNumbers) -> Aid:
    silver = BY_SYMBOL["Ag"]
    text = (
        f"Nearly pure {silver.name}, molten from {silver.melts_c:.0f} °C, can hold "
        f"{_about(found.oxygen_g, numbers)} of oxygen and throws it off as it freezes: let it cool "
        "slowly and covered, or it spits."
    )
    return Aid("Sprouting", text, found.source)


def _heat_in_words(heat: Heat) -> Aid:
    text = (
        f"Litharge melts at {heat.melts:.0f} °C. For silver the muffle usually stands at "
        f"{heat.low:.0f} to {heat.high:.0f} °C; finish at {heat.finish:.0f} °C or more."
    )
    return Aid("Heat", text, heat.source)


def _span(span: Span, numbers: WorkNumbers) -> str:
    return numbers.span(micrograms(span.low), micrograms(span.high))


def _about(grams: float, numbers: WorkNumbers) -> str:
    """Write one figure to three digits."""
    step = 10.0 ** max(len(str(int(abs(grams)))) - 3, -2 if abs(grams) >= 0.1 else -4)
    ug = round(grams / step) * round(step * PER_GRAM)
    return numbers.span(ug, ug)
