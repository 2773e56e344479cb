"""Reckoning aids for the bench: lead, room in the cupel, slag, silver to add, and the like.

Each aid is a frozen record of figures with the source that they rest on. They say what the trade's
tables say of such a charge, and no more: how a furnace is run is the operator's own judgement.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from math import ceil, hypot, sqrt

from vault.reckoning.closure import Weighed, becomes, burnt_of, is_flux, is_vessel
from vault.reckoning.cupels import lead_wanted, lead_wanted_for_gold
from vault.reckoning.handbook import handbook, told
from vault.reckoning.oxides import is_metallic_lead, left_of
from vault.reckoning.spans import Span


@dataclass(frozen=True, slots=True)
class Charge:
    """The metal that goes into a work, as far as it is known.

    Attributes:
        gross_g, gross_u_g: weight of the items and of metal added, without lead and flux.
        fine: grams and doubt of each precious metal in it.
        known: whether every metal that plays a part in it is known.
    """

    gross_g: float
    gross_u_g: float
    fine: Mapping[str, tuple[float, float]]
    known: bool

    def grams_of(self, metal: str) -> float:
        """Give grams of a precious metal, nothing where it plays no part."""
        return max(self.fine.get(metal, (0.0, 0.0))[0], 0.0)

    @property
    def base_g(self) -> tuple[float, float]:
        """What is no precious metal, with its doubt; never below nothing."""
        fine = sum(grams for grams, _ in self.fine.values())
        u = sqrt(self.gross_u_g**2 + sum(u**2 for _, u in self.fine.values()))
        return max(self.gross_g - fine, 0.0), u


class Passes(Enum):
    """In how many passes a lot of lead will carry the base metal off."""

    NO_LEAD = "no lead"
    TOO_LITTLE = "too little for one of several passes"
    SEVERAL = "a second pass is likely"
    ONE = "one pass"


@dataclass(frozen=True, slots=True)
class LeadWanted:
    """The lead that a charge wants for one pass.

    Attributes:
        base_g, base_u_g: base metal to be carried off.
        precious_share: fine metal per mass of the charge.
        by_gold: whether the table for gold bullion was read.
        parts: parts of lead to one of the charge.
        grams: the same in grams.
        given_g: lead that goes in.
        least_g: lead below which even one of several passes is likely to freeze.
        passes: what that means.
    """

    base_g: float
    base_u_g: float
    precious_share: float
    by_gold: bool
    parts: Span
    grams: Span
    given_g: float
    least_g: float
    passes: Passes
    source: str


def lead_for(charge: Charge, given_g: float) -> LeadWanted | None:
    """Give the lead that a charge wants; None where its base metal is not known, or is none.

    Example, 236.4 g of button with 151.5 g of silver and 120 g of lead:

        >>> found = lead_for(Charge(236.4, 0.01, {"Ag": (151.5, 2.9)}, known=True), 120.0)
        >>> round(found.base_g, 1), round(found.parts.low, 1), round(found.parts.high, 1)
        (84.9, 12.9, 13.4)
        >>> found.passes.value
        'a second pass is likely'
    """
    base, u = charge.base_g
    if not charge.known or charge.gross_g <= 0.0 or base <= max(u, 0.001 * charge.gross_g):
        return None
    by_gold = charge.grams_of("Au") > charge.grams_of("Ag")
    table = lead_wanted_for_gold if by_gold else lead_wanted
    share, doubt = base / charge.gross_g, u / charge.gross_g
    parts = Span(table(max(share - doubt, 0.0))[0], table(min(share + doubt, 1.0))[1])
    grams = parts.times(charge.gross_g, charge.gross_g)
    bulk = handbook("cupels")["bulk"]
    least = float(bulk["least_lead_to_base"]) * base
    passes = Passes.SEVERAL
    if given_g <= 0.0:
        passes = Passes.NO_LEAD
    elif given_g >= grams.low:
        passes = Passes.ONE
    elif given_g < least:
        passes = Passes.TOO_LITTLE
    source = told(handbook("cupels")["lead_wanted_gold" if by_gold else "lead_wanted"])
    return LeadWanted(
        base_g=base,
        base_u_g=u,
        precious_share=1.0 - share,
        by_gold=by_gold,
        parts=parts,
        grams=grams,
        given_g=given_g,
        least_g=least,
        passes=passes,
        source=f"{source}; {told(bulk)}",
    )


@dataclass(frozen=True, slots=True)
class Room:
    """The room in the cupels for the oxides of a charge.

    Attributes:
        cupel_g: what the cupels weigh.
        material: "bone ash", "magnesia", "cement", or empty where the name does not say.
        takes: litharge that they take, in grams.
        oxides: what is to be taken up, in grams.
        fills: share of the room in the middle that it takes up.
        fits: False where it is too much at any rate, None where that depends.
        cupels_wanted: how many such lots of cupels it takes, by the middle of both.
    """

    cupel_g: float
    material: str
    takes: Span
    oxides: Span
    fills: float
    fits: bool | None
    cupels_wanted: int
    source: str


def room_for(oxides: Span, cupels: Iterable[Weighed]) -> Room | None:
    """Give the room in the cupels that go in; None where none was weighed.

    Example:
        >>> found = room_for(Span(226.0, 236.0), [Weighed("", "magnesia cupel", 386.2)])
        >>> found.takes.low, found.takes.high, found.fits
        (258.754, 270.34, True)
    """
    listed = [one for one in cupels if one.grams is not None]
    if not listed:
        return None
    table = handbook("cupels")["takes_litharge"]
    takes, middle, materials = Span.exactly(0.0), 0.0, set()
    for one in listed:
        material = _material(one.form)
        rows = [table[material]] if material else [table[name] for name in _MATERIALS]
        grams = one.grams or 0.0
        takes += Span(min(row[0] for row in rows) * grams, max(row[2] for row in rows) * grams)
        middle += grams * sum(row[1] for row in rows) / len(rows)
        materials.add(material.replace("_", " "))
    fits = None
    if oxides.high <= takes.low:
        fits = True
    elif oxides.low > takes.high:
        fits = False
    return Room(
        cupel_g=sum(one.grams or 0.0 for one in listed),
        material=materials.pop() if len(materials) == 1 else "",
        takes=takes,
        oxides=oxides,
        fills=oxides.middle / middle,
        fits=fits,
        cupels_wanted=max(1, ceil(oxides.middle / middle)),
        source=told(table),
    )


_MATERIALS = ("bone_ash", "magnesia", "cement")
_MATERIAL_WORDS = {
    "bone": "bone_ash",
    "magnesia": "magnesia",
    "mgo": "magnesia",
    "cement": "cement",
}


def _material(form: str) -> str:
    name = form.lower()
    return next((found for word, found in _MATERIAL_WORDS.items() if word in name), "")


def oxides_to_come(charge: Charge, used: list[Weighed], lead_g: float) -> Span | None:
    """Give what the base metal and the lead of a charge will weigh as oxides, before it is done."""
    if not charge.known:
        return None
    base, u = charge.base_g
    low = burnt_of(lead_g + max(base - u, 0.0), lead_g, used)
    high = burnt_of(lead_g + base + u, lead_g, used)
    return Span(low.low, high.high)


@dataclass(frozen=True, slots=True)
class SlagExpected:
    """The slag to expect of a smelting.

    Attributes:
        flux_g: flux put in; `gas_g` is what of it leaves as gas.
        dirt: what does not stay metal, as it will weigh in the slag.
        grams: slag altogether.
    """

    flux_g: float
    gas_g: float
    dirt: Span
    grams: Span
    source: str


def slag_expected(
    used: list[Weighed], added: Iterable[Weighed], metal_out_g: Span
) -> SlagExpected | None:
    """Give the slag to expect, by what goes in and the metal that comes out, or may.

    None where something that goes in is not weighed. Without its own weight the metal that comes
    out is told as a span.
    """
    things = [one for one in added if not is_vessel(one.form)]
    if not used or any(one.grams is None for one in (*used, *things)):
        return None
    fluxes = [one for one in things if is_flux(one)]
    flux = sum(one.grams or 0.0 for one in fluxes)
    left = sum((one.grams or 0.0) * left_of(one.form) for one in fluxes)
    metal = sum(one.grams or 0.0 for one in (*used, *things) if one not in fluxes)
    lost = (Span.exactly(metal) - metal_out_g).at_least(0.0)
    lead = sum(one.grams or 0.0 for one in things if is_metallic_lead(one.form))
    dirt = Span(burnt_of(lost.low, lead, used).low, burnt_of(lost.high, lead, used).high)
    sources = (handbook("oxides")["flux"], *_becoming(used))
    return SlagExpected(
        flux_g=flux,
        gas_g=flux - left,
        dirt=dirt,
        grams=dirt + Span.exactly(left),
        source="; ".join(dict.fromkeys(told(one) for one in sources)),
    )


def _becoming(used: list[Weighed]) -> list[dict[str, str]]:
    tables = handbook("closing")["becomes"].values()
    ends = {becomes(one.form) for one in used}
    return [table for table in tables if (table["low"], table["high"]) in ends]


def soda_ash_for(quartz_g: float) -> float:
    """Give the soda ash that quartz takes to melt with it, in grams.

    Example:
        >>> soda_ash_for(50.0)
        88.5
    """
    return float(handbook("oxides")["quartz"]["soda_ash"]) * quartz_g


def soda_ash_source() -> str:
    """Give where that is from."""
    return told(handbook("oxides")["quartz"])


@dataclass(frozen=True, slots=True)
class Inquart:
    """Silver for parting gold.

    Attributes:
        gold_g, silver_g: what the charge holds.
        parts: silver to one of gold as it stands.
        wanted: silver wanted altogether, in grams.
        to_add_g: silver still to add for the usual 2.5 parts.
        enough: whether there is enough for parting.
    """

    gold_g: float
    silver_g: float
    parts: float
    wanted: Span
    to_add_g: float
    enough: bool
    source: str


def inquart(charge: Charge) -> Inquart | None:
    """Give the silver that the gold of a charge wants before parting; None where there is none.

    Example:
        >>> found = inquart(Charge(10.0, 0.0, {"Au": (8.0, 0.0), "Ag": (1.0, 0.0)}, known=True))
        >>> found.to_add_g, found.wanted.low, found.enough
        (19.0, 18.4, False)
    """
    gold, silver = charge.grams_of("Au"), charge.grams_of("Ag")
    if gold <= 0.0 or not charge.known:
        return None
    table = handbook("cupels")["inquart"]
    return Inquart(
        gold_g=gold,
        silver_g=silver,
        parts=silver / gold,
        wanted=Span(table["low"] * gold, table["high"] * gold),
        to_add_g=max(table["parts"] * gold - silver, 0.0),
        enough=silver >= table["low"] * gold,
        source=told(table),
    )


def fineness_of(
    fine: tuple[float, float], gross: tuple[float, float]
) -> tuple[float, float] | None:
    """Give fine metal per mass and its doubt, from both with theirs; None without a weight.

    u² = (u_fine / g)² + (a · u_g / g)²; the weight off the scale says nothing of what went in.

    Example:
        >>> fineness_of((50.0, 0.5), (100.0, 0.0))
        (0.5, 0.005)
    """
    (grams, u), (whole, whole_u) = fine, gross
    if whole <= 0.0:
        return None
    share = grams / whole
    return share, hypot(u / whole, share * whole_u / whole)


@dataclass(frozen=True, slots=True)
class Sprouting:
    """Silver so pure that it will spit as it freezes.

    Attributes:
        oxygen_g: the oxygen that it can hold molten.
    """

    silver_share: float
    oxygen_g: float
    source: str


def sprouting(metal_g: float, silver_share: float, gold_share: float) -> Sprouting | None:
    """Tell whether molten silver will sprout; None where it is not pure enough, or holds gold.

    Example:
        >>> sprouting(100.0, 0.99, 0.0).oxygen_g
        0.3
    """
    table, shown = handbook("melting")["sprouting"], handbook("melting")["sprouting_shown"]
    if silver_share < shown["silver"] or gold_share >= table["gold"]:
        return None
    return Sprouting(silver_share, table["oxygen"] * metal_g, told(table))


@dataclass(frozen=True, slots=True)
class Heat:
    """The heat of a cupel, against that at which litharge melts and a bead finishes.

    Attributes:
        celsius: what is noted; None where nothing is.
        melts, finish: in degrees Celsius, of litharge and of the bead.
        low, high: the usual range of the muffle.
    """

    celsius: float | None
    melts: float
    finish: float
    low: float
    high: float
    source: str


def heat_of_cupel(celsius: float | None) -> Heat:
    """Give the heat that a cupel wants."""
    book = handbook("melting")
    return Heat(
        celsius=celsius,
        melts=book["litharge"]["melts"],
        finish=book["cupel"]["finish"],
        low=book["muffle"]["low"],
        high=book["muffle"]["high"],
        source=f"{told(book['cupel'])}; {told(book['muffle'])}",
    )


def melting_point(metal: str) -> float | None:
    """Give the melting point of silver, gold or lead in degrees Celsius."""
    found = handbook("melting")["points"].get(metal)
    return None if found is None else float(found)
