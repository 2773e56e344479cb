"""The shop floor: how much flux, lead and how many cupels this shop takes, and where things go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import count

from demo_db.simulator import furnace
from demo_db.simulator.days import Calendar
from demo_db.simulator.dice import Dice, added_up
from demo_db.simulator.notebook import Notebook, Thing
from demo_db.simulator.stuff import BASE, NOTHING, OXIDE_OF, OXIDES, PRECIOUS, UG, Stuff, portions
from demo_db.simulator.works import (
    Adding,
    Job,
    Making,
    do,
    flux_of,
    lead,
    new_crucible,
    new_cupel,
    whole_of,
)
from vault.core.daybook import Process

# Gy's constant in grams: how unevenly metal lies in what is sampled.
GY_G = {
    "bar": 2.5e-7,
    "bead": 2.5e-7,
    "grain": 1e-5,
    "button": 1e-6,
    "concentrate": 0.02,
    "filings": 0.02,
    "ash": 0.15,
    "sweeps": 0.15,
    "slag": 0.3,
    "spent cupel": 0.12,
    "dust": 0.08,
}
# New cupels on the shelf: grams, what they are, and g of litharge that one gram takes (bone ash
# 0.81-1.08 after Beringer 1904; magnesia 0.67-0.70). The shop fills them to nine tenths.
CUPELS = (
    (400.0, "bone ash", 0.85),
    (750.0, "magnesia", 0.60),
    (1500.0, "magnesia", 0.60),
)
MOST_CUPELS = 4


@dataclass
class Floor:
    """What the people of the shop have in mind besides the book.

    Attributes:
        book: the notebook.
        calendar: what is to be done.
        silver, dore: own beads and buttons in the tray that wait to be poured.
        copper: bars of poor alloy that wait for a refinery.
        bars: own bars in the safe.
        samples: drillings and chips in the assay box that go back into the next bar of their lot;
            under no name those of own metal.
        is_saving_up: whether own silver is left in the tray for a bar of its own.
        cupel_drum, slag_drum: where residues go now.
    """

    book: Notebook
    calendar: Calendar
    silver: list[Thing] = field(default_factory=list)
    dore: list[Thing] = field(default_factory=list)
    copper: list[Thing] = field(default_factory=list)
    bars: list[Thing] = field(default_factory=list)
    samples: dict[str, list[Thing]] = field(default_factory=dict)
    is_saving_up: bool = False
    cupel_drum: str = "drum A"
    slag_drum: str = "drum D"

    def put_by(self, name: str, sample: Thing) -> None:
        """Put a metal sample by for the next bar of its lot."""
        self.samples.setdefault(name, []).append(sample)


def burn_off(floor: Floor, thing: Thing, dice: Dice, *, note: str = "") -> Thing:
    """Burn off one bag."""
    fired = furnace.burn_off(thing.stuff, dice)
    form = "ash" if thing.form in {"film", "ash"} else thing.form
    job = Job(
        Process.BURN_OFF, [thing], [Making("R", form, fired.metal, "bench")], fired.lost, note=note
    )
    return do(floor.book, job, dice)[0]


def crush(floor: Floor, thing: Thing, dice: Dice) -> Thing:
    """Crush and sieve a bag."""
    fired = furnace.handled(thing.stuff, "crush", dice)
    job = Job(Process.CRUSH, [thing], [Making("R", thing.form, fired.metal, "bench")], fired.lost)
    return do(floor.book, job, dice)[0]


def sort(floor: Floor, thing: Thing, dice: Dice) -> list[Thing]:
    """Take the iron out with a magnet; what sticks to it goes along."""
    fired = furnace.handled(thing.stuff, "sort", dice)
    shares = dict.fromkeys(PRECIOUS, dice.between(0.002, 0.008))
    iron = fired.metal.taken(shares | {"Cu": 0.005, "Fe": 0.9, "grit": 0.03, "burnable": 0.02})
    makes = [
        Making("R", thing.form, fired.metal - iron, "bench"),
        Making("R", "iron with filings", iron, "tin 3"),
    ]
    job = Job(Process.SORT, [thing], makes, fired.lost, note="magnet")
    return do(floor.book, job, dice)


def smelt(
    floor: Floor,
    things: Sequence[Thing],
    dice: Dice,
    *,
    poor: bool = False,
    collector_g: int = 0,
    note: str = "",
    slip: str = "",
) -> Thing:
    """Smelt one pot; gives the button."""
    feed = whole_of(things)
    stony = feed.sum_of((*OXIDES, "grit", "glass", "body", "Fe")) / UG
    metal = feed.sum_of((*PRECIOUS, "Cu")) / UG
    amounts = {
        "borax, anhydrous": _fives((0.1 if poor else 0.6) * stony + 0.03 * metal + 25),
        "soda ash": _fives((0.08 if poor else 0.5) * stony + 15),
        "silica": _fives(0.0 if poor else 0.12 * stony),
    }
    adds = flux_of(amounts)
    if collector_g:
        adds.append(lead(float(collector_g)))
        feed += adds[-1].stuff
    fired = furnace.smelt(feed, amounts, dice, poor=poor)
    button, slag = fired.metal, fired.residues[0]
    weighed = dice.chance(0.72)
    makes: list[Making] = []
    if dice.chance(0.16):
        adds.append(new_crucible(float(dice.whole(380, 900))))
        stuck = furnace.stuck_in_crucible(button, slag, dice)
        button -= stuck.only(PRECIOUS)
        slag -= stuck.only(["glass"])
        pot = adds[-1].stuff + stuck
        makes.append(Making("H", "crucible", pot, "rack", note="worn out"))
    makes.insert(0, Making("K", "button", button, "tray"))
    home = "tub 4" if poor else floor.slag_drum
    makes.insert(1, Making("S", "slag", slag, home, weighed))
    if not weighed and not note:
        note = "slag not weighed"
    job = Job(Process.SMELT, things, makes, fired.lost, adds, note, slip)
    return do(floor.book, job, dice)[0]


def cupel(floor: Floor, things: Sequence[Thing], dice: Dice, adds: Sequence[Adding] = ()) -> Thing:
    """Cupel buttons until they are clean, in as many passes as the copper wants; gives the bead."""
    feed = whole_of(things)
    while feed.sum_of(BASE) - feed["Pb"] > 0.27 * (feed.mass_ug - feed["Pb"]):
        things = [cupel_once(floor, things, dice, adds, rough=True)]
        feed, adds = whole_of(things), ()
    return cupel_once(floor, things, dice, adds)


def cupel_once(
    floor: Floor,
    things: Sequence[Thing],
    dice: Dice,
    adds: Sequence[Adding] = (),
    *,
    rough: bool = False,
) -> Thing:
    """Cupel in one pass."""
    feed = whole_of(things)
    for one in adds:
        feed += one.stuff
    added_lead = lead(_lead_for(feed, dice))
    weights, kind = _cupels_for(feed + added_lead.stuff, dice)
    fired = furnace.cupel(feed, added_lead.stuff, weights, dice, rough=rough)
    extra = [
        Adding(f"new cupel, {kind}", one.stuff, one.gross_ug) for one in map(new_cupel, weights)
    ]
    makes = [Making("K", "button" if rough else "bead", fired.metal, "tray")]
    makes += [
        Making("C", "spent cupel", one, floor.cupel_drum, dice.chance(0.96))
        for one in fired.residues
    ]
    note = "first pass" if rough else ""
    job = Job(Process.CUPEL, things, makes, fired.lost, [*adds, added_lead, *extra], note)
    return do(floor.book, job, dice)[0]


def _lead_for(feed: Stuff, dice: Dice) -> float:
    """Give lead in grams: far less than an assayer takes, since bulk goes in several passes."""
    alloy = feed.mass_ug - feed["Pb"]
    base = (feed.sum_of(BASE) - feed["Pb"]) / alloy
    parts = 0.7 + 6.0 * min(base, 0.35)
    wanted = alloy / UG * parts * dice.scatter(0.08) - feed["Pb"] / UG
    return float(max(_fives(wanted), 40))


def _cupels_for(charge: Stuff, dice: Dice) -> tuple[list[float], str]:
    oxides = added_up(charge[metal] * factor for metal, (_, factor) in OXIDE_OF.items()) / UG
    for size, kind, takes in CUPELS:
        for many in count(1):
            if many * size * takes >= oxides:
                break
        if many <= MOST_CUPELS or size == CUPELS[-1][0]:
            return [float(round(size * dice.between(0.97, 1.04))) for _ in range(many)], kind
    raise AssertionError("the largest size is always taken")


def take_sample(
    floor: Floor, thing: Thing, grams: float, dice: Dice, *, place: str = "", note: str = ""
) -> tuple[Thing, Thing]:
    """Drill, chip or riffle a sample off; gives what is left and the sample."""
    parts = portions(thing.stuff, [round(grams * UG * dice.scatter(0.05))], GY_G[thing.form], dice)
    prefix = thing.tag.partition("-")[0]
    home = place or floor.book.shop.items[thing.label].place
    makes = [
        Making(prefix, thing.form, parts[1], home),
        Making("A", "sample", parts[0], "assay box"),
    ]
    made = do(floor.book, Job(Process.DIVIDE, [thing], makes, NOTHING, note=note), dice)
    return made[0], made[1]


def remelt(
    floor: Floor,
    things: Sequence[Thing],
    dice: Dice,
    *,
    dip: bool = True,
    form: str = "bar",
    note: str = "",
) -> tuple[Thing, Thing | None]:
    """Remelt under borax and cast; gives the bar and its dip sample if one was taken."""
    feed = whole_of(things)
    borax = _fives(12 + 0.02 * feed.grams)
    fired = furnace.remelt(feed, borax, dice)
    metal, makes = fired.metal, []
    if dip:
        sample, metal = portions(metal, [round(dice.between(1.5, 2.6) * UG)], GY_G["bar"], dice)
        makes.append(Making("A", "sample", sample, "assay box", note="dip"))
    makes.insert(0, Making("B", form, metal, "tray"))
    makes.append(Making("S", "slag", fired.residues[0], "tub 2", dice.chance(0.8)))
    adds = flux_of({"borax, anhydrous": borax})
    job = Job(Process.REMELT, things, makes, fired.lost, adds, note)
    made = do(floor.book, job, dice)
    return made[0], made[1] if dip else None


def pour(
    floor: Floor, thing: Thing, shares: Sequence[float], dice: Dice, *, form: str = "bar"
) -> list[Thing]:
    """Melt one thing and pour it in several moulds."""
    fired = furnace.pour(thing.stuff, dice)
    masses = [round(fired.metal.mass_ug * share) for share in shares[:-1]]
    parts = portions(fired.metal, masses, GY_G["bar"], dice)
    makes = [Making("B", form, one, "tray") for one in parts]
    return do(floor.book, Job(Process.POUR, [thing], makes, fired.lost), dice)


def blend(
    floor: Floor, things: Sequence[Thing], dice: Dice, *, place: str, note: str = ""
) -> Thing:
    """Crush residues together and blend them to one."""
    fired = furnace.handled(whole_of(things), "blend", dice)
    form, prefix = things[0].form, things[0].tag.partition("-")[0]
    makes = [Making(prefix, form, fired.metal, place)]
    job = Job(Process.BLEND, things, makes, fired.lost, note=note)
    return do(floor.book, job, dice)[0]


def _fives(grams: float) -> int:
    return max(5 * round(grams / 5.0), 0)
