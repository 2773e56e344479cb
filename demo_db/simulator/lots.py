"""What becomes of a lot: from the bags on the bench to a bar in the safe or a bead in the tray."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass

from demo_db.simulator import floor as shop_floor
from demo_db.simulator.days import Story
from demo_db.simulator.dice import Dice
from demo_db.simulator.floor import Floor
from demo_db.simulator.notebook import Thing
from demo_db.simulator.paper import Owner, hand_over, move, say_assay, say_weight
from demo_db.simulator.stuff import UG
from demo_db.simulator.works import fine_silver, whole_of
from vault.core.daybook import Act

# A pot takes so much at a time.
POT_G = 1500.0


@dataclass(frozen=True)
class Way:
    """How a kind of material is worked up.

    Attributes:
        burns: whether it is burnt off first.
        crushes: whether it is crushed and sieved then.
        smelts: whether it goes through the pot.
        cupels: whether its buttons are cupelled.
        collector_g: lead put into the pot to gather what is thinly spread.
    """

    burns: bool = False
    crushes: bool = False
    smelts: bool = True
    cupels: bool = True
    collector_g: int = 0


WAYS = {
    "silver filings": Way(burns=True),
    "silver sweeps": Way(burns=True, crushes=True),
    "silver scrap": Way(smelts=False),
    "gold filings": Way(burns=True),
    "gold sweeps": Way(burns=True, crushes=True),
    "dental": Way(crushes=False),
    "film": Way(burns=True),
    "fixer ash": Way(burns=False),
    "concentrate": Way(collector_g=300),
    "contacts": Way(),
    "palladium contacts": Way(),
    "plated": Way(cupels=False),
}


@dataclass(frozen=True)
class Lot:
    """A lot on its way.

    Attributes:
        name: its number.
        kind: what was brought.
        owner: whose it is.
        slip: why a smelt of it is first written down wrongly; empty where not.
    """

    name: str
    kind: str
    owner: Owner
    slip: str = ""

    @property
    def is_ours(self) -> bool:
        """Whether the metal is the shop's own."""
        return self.owner.terms != "toll"

    @property
    def box(self) -> str:
        """Under which name its samples are put by: its own, or none for the shop's metal."""
        return "" if self.is_ours else self.name


def work_up(floor: Floor, lot: Lot, things: Sequence[Thing]) -> Story:
    """Work a lot up, day after day."""
    dice = Dice(f"work up {lot.name}")
    way = WAYS[lot.kind]
    yield from _look_at(floor, lot, things, dice)
    ready: list[Thing] = []
    for thing in things:
        yield from _prepared(floor, lot, thing, ready, dice)
    if not way.smelts:
        yield from _scrap(floor, lot, ready, dice)
        return
    buttons = yield from _smelted(floor, lot, ready, dice)
    if not way.cupels:
        yield from _poor_bars(floor, buttons, dice)
        return
    yield from finish(floor, lot, buttons, dice)


def _look_at(floor: Floor, lot: Lot, things: Sequence[Thing], dice: Dice) -> Story:
    sees_inside = lot.kind not in {"film", "plated", "silver sweeps", "gold sweeps"}
    for thing in things:
        if sees_inside and dice.chance(0.4):
            say_assay(floor.book, thing, "XRF", dice)
    yield dice.whole(1, 5)


def _prepared(floor: Floor, lot: Lot, thing: Thing, ready: list[Thing], dice: Dice) -> Story:
    way = WAYS[lot.kind]
    if lot.kind == "silver filings" and thing.stuff["Fe"] > 0.012 * thing.stuff.mass_ug:
        thing = shop_floor.sort(floor, thing, dice)[0]
    if way.burns:
        thing = shop_floor.burn_off(floor, thing, dice)
        yield dice.whole(0, 2)
    if way.crushes:
        thing = shop_floor.crush(floor, thing, dice)
    if lot.kind == "concentrate" or (way.crushes and dice.chance(0.4)):
        thing = yield from _riffled(floor, thing, dice)
    ready.append(thing)


def _riffled(floor: Floor, thing: Thing, dice: Dice) -> Generator[int, None, Thing]:
    thing, sample = shop_floor.take_sample(floor, thing, dice.whole(30, 70), dice, note="riffled")
    yield dice.whole(1, 4)
    say_assay(floor.book, sample, "fire assay", dice)
    return thing


def _smelted(
    floor: Floor, lot: Lot, ready: list[Thing], dice: Dice
) -> Generator[int, None, list[Thing]]:
    buttons = []
    slip = lot.slip
    for pot in _pots(ready):
        yield dice.whole(0, 2)
        collector = WAYS[lot.kind].collector_g
        button = shop_floor.smelt(floor, pot, dice, collector_g=collector, slip=slip)
        slip = ""
        if WAYS[lot.kind].cupels and not collector and dice.chance(0.5):
            if dice.chance(0.7):
                say_assay(floor.book, button, "XRF", dice)
            else:
                button, sample = shop_floor.take_sample(floor, button, 2.0, dice, note="chips")
                say_assay(floor.book, sample, "fire assay", dice)
                floor.put_by(lot.box, sample)
        buttons.append(button)
    return buttons


def _pots(ready: list[Thing]) -> list[list[Thing]]:
    pots: list[list[Thing]] = []
    for thing in ready:
        if pots and whole_of([*pots[-1], thing]).grams <= POT_G:
            pots[-1].append(thing)
        else:
            pots.append([thing])
    return pots


def finish(floor: Floor, lot: Lot, buttons: Sequence[Thing], dice: Dice) -> Story:
    """Cupel a lot's buttons and cast what is a customer's; own beads wait in the tray."""
    yield dice.whole(1, 4)
    beads = []
    for batch in _batches(buttons):
        adds = []
        feed = whole_of(batch)
        if feed["Au"] > 3 * feed["Ag"] and dice.chance(0.35):
            adds = [fine_silver(feed["Au"] / UG * 0.8)]
        bead = shop_floor.cupel(floor, batch, dice, adds)
        yield dice.whole(0, 3)
        beads.append((yield from look_at_bead(floor, lot, bead, dice)))
    if lot.is_ours:
        for bead in beads:
            is_dore = bead.stuff["Au"] + bead.stuff["Pd"] > 0.1 * bead.stuff.mass_ug
            (floor.dore if is_dore else floor.silver).append(bead)
        return
    yield dice.whole(1, 3)
    yield from customers_bar(floor, lot, beads, dice)


def _batches(buttons: Sequence[Thing]) -> list[list[Thing]]:
    """Cupel small buttons together, big ones each by itself."""
    small = [one for one in buttons if one.stuff.grams <= 260]
    big = [[one] for one in buttons if one.stuff.grams > 260]
    return ([small] if small else []) + big


def look_at_bead(floor: Floor, lot: Lot, bead: Thing, dice: Dice) -> Generator[int, None, Thing]:
    """Assay about half of the beads, by a drilled sample or as they lie there."""
    way = dice.between(0.0, 1.0)
    if way < 0.4 and bead.stuff.grams > 30:
        bead, sample = shop_floor.take_sample(floor, bead, 2.0, dice, note="drilled")
        yield dice.whole(0, 2)
        say_assay(floor.book, sample, "fire assay", dice)
        floor.put_by(lot.box, sample)
    elif way < 0.7:
        say_assay(floor.book, bead, "XRF", dice)
    return bead


def customers_bar(floor: Floor, lot: Lot, beads: Sequence[Thing], dice: Dice) -> Story:
    """Cast a customer's bar, assay it, keep it in the safe until it is collected."""
    drillings = floor.samples.pop(lot.box, [])
    bar, sample = shop_floor.remelt(floor, [*beads, *drillings], dice, note=f"{lot.name} alone")
    yield dice.whole(1, 4)
    if sample is not None:
        say_assay(floor.book, sample, "fire assay", dice)
    bars = [bar]
    if bar.stuff.grams > 400 and dice.chance(0.3):
        bars = shop_floor.pour(floor, bar, dice.parts(2), dice)
    if dice.chance(0.3):
        say_weight(floor.book, bars, dice)
    move(floor.book, bars, "safe lower shelf")
    yield dice.whole(6, 45)
    back = bars if sample is None else [*bars, sample]
    hand_over(floor.book, Act.RETURN, back, lot.owner.party, note="collected, with the dip")


def _scrap(floor: Floor, lot: Lot, ready: list[Thing], dice: Dice) -> Story:
    """Melt sound scrap as it is; every other such lot is cupelled fine."""
    yield dice.whole(0, 3)
    stays = lot.is_ours and dice.chance(0.3)
    form = "bar" if stays else "button"
    bar, sample = shop_floor.remelt(floor, ready, dice, form=form, note="as it is")
    yield dice.whole(0, 3)
    if sample is not None:
        say_assay(floor.book, sample, "fire assay" if dice.chance(0.6) else "XRF", dice)
        floor.put_by(lot.box, sample)
    if stays:
        move(floor.book, [bar], "safe top shelf")
        floor.bars.append(bar)
        return
    yield from finish(floor, lot, [bar], dice)


def _poor_bars(floor: Floor, buttons: list[Thing], dice: Dice) -> Story:
    """Assay bars of poor alloy that go to a refinery as they are."""
    for button in buttons:
        left, sample = shop_floor.take_sample(floor, button, 6.0, dice, note="drilled")
        yield 1
        say_assay(floor.book, sample, "fire assay", dice)
        floor.copper.append(left)
