"""The customers of the shop and what they bring; all of them invented."""

from __future__ import annotations

from dataclasses import dataclass

from demo_db.simulator.dice import Dice, added_up
from demo_db.simulator.paper import Bag
from demo_db.simulator.stuff import Stuff, stuff


@dataclass(frozen=True)
class Customer:
    """Somebody who brings lots.

    Attributes:
        party: the name.
        terms: toll or bought.
        brings: kinds of material, see `bags_of`.
        often: how many times as often as the rarest.
    """

    party: str
    terms: str
    brings: tuple[str, ...]
    often: int


CUSTOMERS = (
    Customer("Pennant Bench School", "toll", ("silver filings", "silver sweeps"), 5),
    Customer("Saltmarsh Camera Club", "toll", ("film", "fixer ash"), 4),
    Customer("Fernhill Dental Lab", "toll", ("dental",), 4),
    Customer("Marrow Lane Attic", "bought", ("silver scrap", "plated"), 6),
    Customer("Orrin & Daughters, ring makers", "toll", ("gold filings", "gold sweeps"), 4),
    Customer("Gürtlerei Ößling & Töchter", "toll", ("silver filings", "silver scrap"), 4),
    Customer("Łucja Brzęczek, repairs", "bought", ("silver filings", "gold filings"), 4),
    Customer("Atelier Gümüşbağ", "bought", ("silver sweeps", "silver filings"), 6),
    Customer("Sluice Hill Diggers' Co-operative", "toll", ("concentrate",), 3),
    Customer("Relay Yard Breakers", "bought", ("contacts", "palladium contacts"), 4),
    Customer("Quillfeather & Moth, brooches", "toll", ("silver sweeps", "gold filings"), 3),
    Customer(
        "Society of Amateur Silversmiths and Enamellers of the Lower Estuary, Evening Class, "
        "Bench Rooms 3 and 4",
        "toll",
        ("silver filings", "silver sweeps"),
        3,
    ),
    Customer("Håkon Ravnsvåg", "bought", ("silver scrap", "gold filings"), 4),
    Customer("Bell Yard Spoons", "bought", ("silver scrap", "silver filings"), 6),
    Customer("Dr. Ilse Quandtmeier, estate", "bought", ("dental", "gold filings"), 2),
    Customer("Tarn End Film Archive", "toll", ("fixer ash",), 2),
)

# Metals that somebody who brings this kind speaks of.
_SPOKEN = {
    "silver filings": ("Ag",),
    "silver sweeps": ("Ag",),
    "silver scrap": ("Ag",),
    "gold filings": ("Au",),
    "gold sweeps": ("Au",),
    "dental": ("Au", "Pd"),
    "palladium contacts": ("Pd",),
    "fixer ash": ("Ag",),
    "contacts": ("Ag",),
}
_SAID = {
    "silver filings": ("bench drawers", "“mostly sterling”", "", "some binding wire in it", ""),
    "silver sweeps": ("floor and bench", "three months of sweeping", "", "wet", ""),
    "silver scrap": ("spoons and a teapot lid", "offcuts", "broken chain", "", "knife handles out"),
    "gold filings": ("14 kt they say", "mixed karats", "18 kt", "", ""),
    "gold sweeps": ("from the polishing bench", "", "carpet cut up"),
    "dental": ("crowns, porcelain on", "teeth out, checked", "", ""),
    "film": ("X-ray film, old", "sheets, cut", ""),
    "fixer ash": ("from the electrolytic cell, burnt", "", "dry"),
    "concentrate": ("table concentrate", "panned, magnetite taken out", ""),
    "contacts": ("rivets on brass arms", "relay contacts", ""),
    "palladium contacts": ("telephone relays", ""),
    "plated": ("plated trays", "tea service, worn", ""),
}


def bags_of(kind: str, dice: Dice) -> list[Bag]:
    """Give the bags of one lot of a kind."""
    many = {"silver filings": 2, "silver sweeps": 2, "gold filings": 1, "contacts": 1}.get(kind, 1)
    bags = []
    for _ in range(dice.whole(1, many + (1 if dice.chance(0.35) else 0))):
        form, truth = material(kind, dice)
        declares = _SPOKEN.get(kind, ()) if dice.chance(0.78) else ()
        bags.append(Bag(form, truth, declares, dice.chance(0.6), dice.pick(_SAID[kind])))
    return bags


def material(kind: str, dice: Dice) -> tuple[str, Stuff]:
    """Give form and true composition of one bag of a kind."""
    return {
        "silver filings": _silver_filings,
        "silver sweeps": _silver_sweeps,
        "silver scrap": _silver_scrap,
        "gold filings": _gold_filings,
        "gold sweeps": _gold_sweeps,
        "dental": _dental,
        "film": _film,
        "fixer ash": _fixer_ash,
        "concentrate": _concentrate,
        "contacts": _contacts,
        "palladium contacts": _palladium_contacts,
        "plated": _plated,
    }[kind](dice)


def _sterling(grams: float, dice: Dice) -> dict[str, float]:
    """Give silver alloy between 800 and 925, with solder and a trace of gold."""
    silver = dice.pick((0.925, 0.925, 0.925, 0.9, 0.835, 0.8)) - dice.between(0.0, 0.012)
    zinc, gold = dice.between(0.0, 0.008), dice.between(0.0, 0.0012)
    return {
        "Ag": grams * silver,
        "Au": grams * gold,
        "Zn": grams * zinc,
        "Cu": grams * (1.0 - silver - zinc - gold),
    }


def _silver_filings(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(220, 1150)
    burnable, grit, iron = (
        dice.between(0.03, 0.1),
        dice.between(0.02, 0.07),
        dice.between(0, 0.03),
    )
    alloy = _sterling(gross * (1 - burnable - grit - iron), dice)
    return "filings", stuff(**alloy, burnable=gross * burnable, grit=gross * grit, Fe=gross * iron)


def _silver_sweeps(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(800, 2900)
    burnable, metal, iron = (
        dice.between(0.35, 0.6),
        dice.between(0.09, 0.24),
        dice.between(0.01, 0.03),
    )
    alloy = _sterling(gross * metal, dice)
    grit = gross * (1 - burnable - metal - iron)
    return "sweeps", stuff(**alloy, burnable=gross * burnable, grit=grit, Fe=gross * iron)


def _silver_scrap(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(320, 1700)
    iron, grit = dice.between(0.0, 0.012), dice.between(0.0, 0.006)
    return "scrap", stuff(
        **_sterling(gross * (1 - iron - grit), dice), Fe=gross * iron, grit=gross * grit
    )


def _karat(grams: float, dice: Dice) -> dict[str, float]:
    gold = dice.pick((0.583, 0.583, 0.747, 0.747, 0.374)) - dice.between(0.0, 0.01)
    silver = dice.between(0.08, 0.2)
    white = dice.between(0.0, 0.03) if dice.chance(0.3) else 0.0
    zinc = dice.between(0.0, 0.02)
    return {
        "Au": grams * gold,
        "Ag": grams * silver,
        "Pd": grams * white,
        "Zn": grams * zinc,
        "Cu": grams * (1.0 - gold - silver - white - zinc),
    }


def _gold_filings(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(28, 125)
    burnable, grit, iron = dice.between(0.01, 0.04), dice.between(0.02, 0.06), dice.between(0, 0.02)
    alloy = _karat(gross * (1 - burnable - grit - iron), dice)
    return "filings", stuff(**alloy, burnable=gross * burnable, grit=gross * grit, Fe=gross * iron)


def _gold_sweeps(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(450, 1500)
    burnable, metal, iron = dice.between(0.4, 0.65), dice.between(0.015, 0.035), 0.012
    alloy = _karat(gross * metal, dice)
    alloy["Ag"] += gross * dice.between(0.004, 0.015)
    grit = gross * (1 - burnable - iron) - added_up(alloy.values())
    return "sweeps", stuff(**alloy, burnable=gross * burnable, grit=grit, Fe=gross * iron)


def _dental(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(55, 190)
    shares = {
        "Au": dice.between(0.4, 0.58),
        "Pd": dice.between(0.09, 0.19),
        "Ag": dice.between(0.1, 0.2),
        "Pt": dice.between(0.005, 0.035),
        "Cu": dice.between(0.03, 0.06),
        "Sn": dice.between(0.005, 0.02),
    }
    metal = gross * dice.between(0.86, 0.96)
    whole = added_up(shares.values())
    parts = {name: metal * share / whole for name, share in shares.items()}
    return "scrap", stuff(**parts, grit=gross - metal)


def _film(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(3500, 11000)
    silver = gross * dice.between(0.007, 0.014)
    grit = gross * 0.012
    return "film", stuff(Ag=silver, grit=grit, burnable=gross - silver - grit)


def _fixer_ash(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(350, 1150)
    silver = gross * dice.between(0.5, 0.8)
    burnable = gross * dice.between(0.03, 0.12)
    return "ash", stuff(Ag=silver, burnable=burnable, grit=gross - silver - burnable)


def _concentrate(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(1100, 3100)
    gold, silver = gross * dice.between(0.0015, 0.008), gross * dice.between(0.003, 0.014)
    volatile, iron = gross * dice.between(0.04, 0.1), gross * dice.between(0.05, 0.15)
    grit = gross - gold - silver - volatile - iron
    return "concentrate", stuff(Au=gold, Ag=silver, volatile=volatile, FeO=iron, grit=grit)


def _contacts(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(450, 1100)
    silver, nickel = gross * dice.between(0.16, 0.36), gross * dice.between(0.01, 0.03)
    zinc = gross * dice.between(0.05, 0.15)
    return "scrap", stuff(Ag=silver, Ni=nickel, Zn=zinc, Cu=gross - silver - nickel - zinc)


def _palladium_contacts(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(220, 520)
    palladium, silver = gross * dice.between(0.03, 0.08), gross * dice.between(0.12, 0.25)
    zinc = gross * dice.between(0.05, 0.12)
    return "scrap", stuff(Pd=palladium, Ag=silver, Zn=zinc, Cu=gross - palladium - silver - zinc)


def _plated(dice: Dice) -> tuple[str, Stuff]:
    gross = dice.between(1600, 4200)
    silver, nickel = gross * dice.between(0.01, 0.024), gross * dice.between(0.04, 0.12)
    zinc = gross * dice.between(0.12, 0.24)
    return "scrap", stuff(Ag=silver, Ni=nickel, Zn=zinc, Cu=gross - silver - nickel - zinc)
