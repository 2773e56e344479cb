"""The furnace: what fire and lead truly do to stuff, and what the residues keep.

Figures with a source are named where they stand; the rest is invented but within common practice.
Every function gives what comes out and what is lost for good; precious metal is conserved to the
microgram.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from demo_db.simulator.dice import Dice, added_up, power
from demo_db.simulator.stuff import BASE, OXIDES, PRECIOUS, UG, Stuff, burnt, stuff

# What of a flux is left after the fire, by formula: soda ash loses CO2, borax its water.
FLUX_LEFT = {
    "borax, anhydrous": 1.0,
    "borax": 1.0 - 0.4724,
    "soda ash": 1.0 - 0.4152,
    "silica": 1.0,
    "nitre": 1.0 - 0.5342,
}
# This house's own: share of each metal that stays behind, before the scatter of a batch.
SLAG_KEEPS = {"Ag": 0.0088, "Au": 0.0036, "Pt": 0.0062, "Pd": 0.0062}
POOR_SLAG_KEEPS = {"Ag": 0.125, "Au": 0.09, "Pt": 0.11, "Pd": 0.11}
REMELT_SLAG_KEEPS = {"Ag": 0.0017, "Au": 0.0008, "Pt": 0.0008, "Pd": 0.0008}
CRUCIBLE_KEEPS = {"Ag": 0.0011, "Au": 0.0006, "Pt": 0.0006, "Pd": 0.0006}
# Silver in cupels: this house's factor on the fit to Beringer 1904, pp. 102-103; gold after the
# same book loses 0.06 to 0.16 %.
CUPEL_SILVER_FACTOR = 1.30
CUPEL_KEEPS = {"Au": 0.0012, "Pt": 0.0018, "Pd": 0.0019}
BATCH = {"slag": 0.42, "poor slag": 0.35, "remelt slag": 0.45, "cupel": 0.28, "crucible": 0.5}
# Lost for good: share of the feed, and its scatter relative to itself.
LOSSES = {
    "burn off": {"any": 0.0016},
    "smelt": {"any": 0.0008, "Ag": 0.0014},
    "cupel": {"any": 0.0004, "Ag": 0.0026},
    "remelt": {"any": 0.0004, "Ag": 0.0009},
    "pour": {"any": 0.0004, "Ag": 0.0008},
    "crush": {"any": 0.0009},
    "sort": {"any": 0.0003},
    "blend": {"any": 0.0003},
}
# Share of each base metal that a smelt sends to the slag; half of the zinc goes up as fume.
_SMELTED = {"Cu": 0.03, "Zn": 0.6, "Ni": 0.08, "Sn": 0.6, "Fe": 0.97, "Pb": 0.2}


@dataclass(frozen=True, slots=True)
class Fired:
    """What came out of a fire.

    Attributes:
        metal: the aim.
        residues: slag, cupels or a crucible, in that order as they were made.
        lost: precious metal lost for good.
    """

    metal: Stuff
    residues: tuple[Stuff, ...]
    lost: Stuff


def lost_from(feed: Stuff, process: str, dice: Dice) -> Stuff:
    """Give the precious metal that a work loses for good."""
    table = LOSSES[process]
    batch = dice.scatter(0.6, least=0.1)
    return feed.taken({name: table.get(name, table["any"]) * batch for name in PRECIOUS})


def burn_off(feed: Stuff, dice: Dice) -> Fired:
    """Burn paper, wax and grease away; a fifth of the iron rusts to scale."""
    lost = lost_from(feed, "burn off", dice)
    gone = feed.taken({"burnable": dice.between(0.96, 0.995), "volatile": 1.0})
    rust = feed.taken({"Fe": 0.2})
    return Fired(feed - lost - gone - rust + burnt(feed, {"Fe": 0.2}), (), lost)


def molten_flux(flux: Mapping[str, int]) -> Stuff:
    """Give what fluxes, in grams, weigh once molten."""
    return stuff(glass=added_up(grams * FLUX_LEFT[name] for name, grams in flux.items()))


def smelt(feed: Stuff, flux: Mapping[str, int], dice: Dice, *, poor: bool = False) -> Fired:
    """Smelt with flux: precious metal and most copper to the button, the rest to the slag."""
    lost = lost_from(feed, "smelt", dice)
    batch = dice.scatter(BATCH["poor slag" if poor else "slag"], least=0.45, most=2.1)
    keeps = POOR_SLAG_KEEPS if poor else SLAG_KEEPS
    kept = (feed - lost).taken(
        {name: keeps[name] * batch * dice.scatter(0.1, least=0.5) for name in PRECIOUS}
    )
    slagged = {
        name: min(share * dice.scatter(0.1, least=0.5), 0.99) for name, share in _SMELTED.items()
    }
    oxide = burnt(feed, slagged)
    oxide -= oxide.taken({"ZnO": 0.5})
    # The button also frees most of the lead and copper that the slag brought as oxide.
    freed = feed.taken({"PbO": 0.55, "CuO": 0.5})
    reduced = stuff(Pb=freed["PbO"] / 1.07722 / UG, Cu=freed["CuO"] / 1.25177 / UG)
    stony = feed.only((*OXIDES, "grit", "glass", "body")) - freed
    slag = kept + oxide + stony + molten_flux(flux)
    # What clings to the crucible and the iron mould is not kept.
    clung = (slag - slag.only(PRECIOUS)).part(dice.between(0.01, 0.03))
    metal = (feed - lost - kept).only(PRECIOUS) + feed.only(BASE) - feed.taken(slagged) + reduced
    return Fired(metal, (slag - clung,), lost)


def stuck_in_crucible(button: Stuff, slag: Stuff, dice: Dice) -> Stuff:
    """Give what sticks to the wall of a worn crucible, of button and slag."""
    batch = dice.scatter(BATCH["crucible"])
    prills = button.taken({name: CRUCIBLE_KEEPS[name] * batch for name in PRECIOUS})
    return prills + slag.taken({"glass": dice.between(0.02, 0.06)})


def silver_kept(silver_ug: int, lead_g: float) -> float:
    """Give the share of the silver that cupels keep, before the factors of house and batch.

    The fit to Beringer 1904, pp. 102-103: loss mg = 0.1545 · W^0.637 · (Pb / 20)^0.422.
    """
    silver_mg = max(silver_ug / 1000.0, 1.0)
    lost_mg = 0.1545 * power(silver_mg, "0.637") * power(max(lead_g, 1.0) / 20.0, "0.422")
    return min(lost_mg / silver_mg, 0.2)


def cupel(
    feed: Stuff, lead: Stuff, cupels_g: list[float], dice: Dice, *, rough: bool = False
) -> Fired:
    """Cupel with lead: base metals burn and soak into the cupels, silver and gold stay.

    Args:
        feed: what is cupelled; its own lead counts.
        lead: the lead added.
        cupels_g: weights of the new cupels.
        dice: chance.
        rough: whether it is a first pass that leaves some base metal in the bead.
    """
    charge = feed + lead
    lost = lost_from(charge, "cupel", dice)
    batch = dice.scatter(BATCH["cupel"], least=0.35, most=2.0)
    silver = silver_kept(charge["Ag"], charge["Pb"] / UG) * CUPEL_SILVER_FACTOR * batch
    keeps = {"Ag": silver} | {name: share * batch for name, share in CUPEL_KEEPS.items()}
    kept = (charge - lost).taken(keeps)
    metal = (charge - lost - kept).only(PRECIOUS)
    left = 0.12 if rough else 0.0012 * dice.scatter(0.5)
    stays = {"Cu": min(left * 1.2 + (0.004 if not rough else 0.0), 0.2), "Ni": left, "Pb": 0.0}
    bead = metal + charge.taken(stays)
    lead_left = min(round(metal.mass_ug * (0.02 if rough else 0.0007)), charge["Pb"])
    bead += stuff(Pb=lead_left / UG)
    burns = {name: 1.0 - stays.get(name, 0.0) for name in BASE}
    burns["Pb"] = 1.0 - lead_left / charge["Pb"] if charge["Pb"] else 0.0
    oxide = burnt(charge, burns)
    oxide -= oxide.taken({"PbO": dice.between(0.015, 0.03), "ZnO": 0.6})
    soaked = kept + oxide + charge.only((*OXIDES, "grit", "glass"))
    return Fired(bead, _shared_out(soaked, cupels_g, dice), lost)


def _shared_out(soaked: Stuff, cupels_g: list[float], dice: Dice) -> tuple[Stuff, ...]:
    """Let each cupel take its share by weight, silver a little less evenly than litharge."""
    made, left, weight = [], soaked, added_up(cupels_g)
    for grams in cupels_g[:-1]:
        share = grams / weight * dice.scatter(0.03)
        uneven = share * dice.scatter(0.18)
        taken = left.part(min(share, 1.0)).only(set(OXIDES) | {"grit", "glass"})
        taken += left.only(PRECIOUS).part(min(uneven, 1.0))
        made.append(taken + stuff(body=grams))
        left -= taken
        weight -= grams
    return (*made, left + stuff(body=cupels_g[-1]))


def remelt(feed: Stuff, borax_g: int, dice: Dice) -> Fired:
    """Melt clean metal under a little borax; most of the lead and some copper go to the slag."""
    lost = lost_from(feed, "remelt", dice)
    batch = dice.scatter(BATCH["remelt slag"])
    kept = (feed - lost).taken({name: share * batch for name, share in REMELT_SLAG_KEEPS.items()})
    cleaned = {"Pb": 0.75, "Cu": 0.03, "Zn": 0.5, "Fe": 0.9, "Ni": 0.05}
    slag = kept + burnt(feed, cleaned) + molten_flux({"borax, anhydrous": borax_g})
    slag += feed.only((*OXIDES, "grit"))
    gone = slag.taken({"ZnO": 0.5})
    metal = (feed - lost - kept).only(PRECIOUS) + feed.only(BASE) - feed.taken(cleaned)
    return Fired(metal, (slag - gone,), lost)


def pour(feed: Stuff, dice: Dice) -> Fired:
    """Melt and pour without flux."""
    lost = lost_from(feed, "pour", dice)
    return Fired(feed - lost, (), lost)


def handled(feed: Stuff, process: str, dice: Dice) -> Fired:
    """Crush, sort or blend: only dust is lost, and a little of everything with it."""
    lost = lost_from(feed, process, dice)
    dust = (feed - feed.only(PRECIOUS)).part(LOSSES[process]["any"])
    return Fired(feed - lost - dust, (), lost)
