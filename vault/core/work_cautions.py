"""Short cautions for a work, by what is done and to what, each with a title."""

from __future__ import annotations

import re
from collections.abc import Iterable

from vault.core.cautions import ACID, CADMIUM, CYANIDE, LEAD, MERCURY, spoken_of
from vault.core.daybook import Process
from vault.core.forms import LEADED_FORMS

Titled = tuple[str, str]

LEAD_FUME = (
    "Lead fume",
    (
        "Run the hood; no food at the bench; wash hands. Cupels are lead waste until a "
        "licensed refiner takes them. Follow the rules where you work."
    ),
)
LEAD_DUST = ("Lead dust", LEAD.removeprefix("Lead. "))
SILICA_DUST = (
    "Silica dust",
    (
        "Dust of flux, slag, crucibles and cupels harms the lungs for good: wet it, wear a "
        "mask, no dry sweeping."
    ),
)
STEAM = (
    "Burns and steam",
    (
        "A wet mould, crucible or charge explodes with steam: dry and warm it first. Cover "
        "eyes, hands and feet."
    ),
)
METAL_FUME = (
    "Zinc and cadmium fume",
    (
        "Brass and old solders give off fumes when they melt, and cadmium fume can kill: run "
        "the hood, and do not melt what may hold cadmium."
    ),
)
SMOKE = (
    "Smoke",
    (
        "Lacquer, plastic and leather give off poisonous smoke: burn off only under a hood "
        "made for it, and only what the rules where you work allow."
    ),
)
MERCURY_VAPOUR = (
    "Mercury",
    (
        "Never heat what may hold mercury; its vapour poisons and is not seen. Have it "
        "tested, and let a licensed firm take it."
    ),
)
ACIDS = (
    "Cyanide and acids",
    ("Never let them meet, and never bring either to the fire. This is work for a licensed plant."),
)

_BY_PROCESS: dict[Process, tuple[Titled, ...]] = {
    Process.BURN_OFF: (SMOKE, MERCURY_VAPOUR),
    Process.SMELT: (SILICA_DUST, STEAM),
    Process.CUPEL: (LEAD_FUME,),
    Process.REMELT: (STEAM,),
    Process.POUR: (STEAM,),
    Process.CRUSH: (SILICA_DUST,),
}
_HEATED = frozenset(
    {Process.BURN_OFF, Process.SMELT, Process.CUPEL, Process.REMELT, Process.POUR, Process.OTHER}
)
_LEAD = re.compile(r"\b(?:lead|litharge)\b", re.IGNORECASE)
_ZINC = re.compile(r"\b(?:brass|zinc)\b", re.IGNORECASE)


def cautions_of_work(process: Process, forms: Iterable[str], *words: str) -> tuple[Titled, ...]:
    """Give the cautions for a work.

    Args:
        process: what is done.
        forms: the forms of all that goes in, things added as well.
        words: notes and names that may speak of what is in it.
    """
    named = set(forms)
    said = " ".join((*sorted(named), *words))
    told = spoken_of(said)
    found = dict.fromkeys(_BY_PROCESS.get(process, ()))
    if is_heated(process):
        if named & LEADED_FORMS or _LEAD.search(said):
            found[LEAD_FUME] = None
        if CADMIUM in told or _ZINC.search(said):
            found[METAL_FUME] = None
    elif named & LEADED_FORMS:
        found[LEAD_DUST] = None
    if MERCURY in told:
        found[MERCURY_VAPOUR] = None
    if ACID in told or CYANIDE in told:
        found[ACIDS] = None
    return tuple(found)


def is_heated(process: Process) -> bool:
    """Tell whether a work brings things to the fire."""
    return process in _HEATED
