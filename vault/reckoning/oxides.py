"""Oxides and fluxes: what metals weigh once burnt, and what fluxes weigh once molten."""

from __future__ import annotations

from functools import cache, lru_cache

from vault.reckoning.handbook import handbook


def oxide_factor(compound: str) -> float:
    """Give grams of a compound from one gram of its metal, such as PbO from lead.

    Example:
        >>> oxide_factor("PbO")
        1.07722
    """
    return float(handbook("oxides")["burnt"][compound]["factor"])


def share_lost(flux: str) -> float | None:
    """Give the share of a flux's mass that leaves as gas; None for a thing that is no flux.

    Example:
        >>> share_lost("soda ash")
        0.4152
    """
    entry = handbook("oxides")["flux"].get(_NAMES.get(flux.lower(), flux.lower()))
    return None if entry is None else float(entry["lost"])


@cache
@lru_cache(maxsize=512)
def left_of(thing: str) -> float:
    """Give the share of an added thing's mass that is left after the fire.

    Lead leaves the metal as litharge, so it gains; what is not known stays as it is.
    """
    if is_metallic_lead(thing):
        return oxide_factor("PbO")
    lost = share_lost(thing)
    return 1.0 if lost is None else 1.0 - lost


def is_cupel(thing: str) -> bool:
    """Tell whether an added thing is a cupel, whose weight ends up in the spent cupel."""
    return "cupel" in thing.lower()


def is_lead(thing: str) -> bool:
    """Tell whether an added thing is lead, or litharge, which leads as well."""
    return is_metallic_lead(thing) or thing.lower() == "litharge"


def is_metallic_lead(thing: str) -> bool:
    """Tell whether an added thing is lead that will still take up oxygen."""
    return thing.lower() in {"lead", "test lead", "assay lead", "lead foil"}


# Other common words for the same flux.
_NAMES = {
    "soda": "soda ash",
    "sodium carbonate": "soda ash",
    "anhydrous borax": "borax, anhydrous",
    "borax glass": "borax, anhydrous",
    "quartz": "silica",
    "saltpetre": "nitre",
}
