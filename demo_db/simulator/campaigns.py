"""What the shop does across lots: bars from many beads, slag smelted again, drums sent, counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from demo_db.simulator import floor as shop_floor
from demo_db.simulator.days import Story
from demo_db.simulator.dice import Dice
from demo_db.simulator.floor import Floor
from demo_db.simulator.instruments import settle, weigh
from demo_db.simulator.notebook import Notebook, Thing
from demo_db.simulator.paper import (
    Bag,
    Owner,
    euros,
    hand_over,
    move,
    receive,
    say_assay,
    say_weight,
    send,
)
from demo_db.simulator.stuff import PRECIOUS, UG, stuff
from demo_db.simulator.works import whole_of
from vault.core.daybook import Act, Line, Role, Said
from vault.core.fineness import Fineness
from vault.core.items import State

BULLION_BUYER = "Cobblemere Metal Counter"
RESIDUE_WORKS = "Lowland Residue Works"
REFINERY = "Vellhaven Refining"


def lying_in(book: Notebook, place: str, form: str = "") -> list[Thing]:
    """Give the things on hand in a place, of one form or any, in the order of their making."""
    items = book.shop.items
    return [
        thing
        for thing in book.things.values()
        if thing.label in items
        and items[thing.label].state is State.ON_HAND
        and items[thing.label].place == place
        and form in {"", thing.form}
    ]


def pour_days(floor: Floor) -> Story:
    """Every few weeks, pour own beads of several lots into one bar."""
    dice = Dice("pour days")
    while True:
        yield dice.whole(20, 34)
        for beads in [] if floor.is_saving_up else _bars_worth(floor.silver):
            floor.silver = [one for one in floor.silver if one not in beads]
            yield from own_bar(floor, beads, dice)
        if whole_of(floor.dore).grams > 140:
            beads, floor.dore = floor.dore, []
            yield from own_bar(floor, beads, dice)


def _bars_worth(beads: Sequence[Thing]) -> list[list[Thing]]:
    """Gather beads to bars of at most 1.9 kg; a single bead waits for the next time."""
    bars: list[list[Thing]] = []
    for bead in beads:
        if bars and whole_of([*bars[-1], bead]).grams < 1900:
            bars[-1].append(bead)
        else:
            bars.append([bead])
    return [bar for bar in bars if len(bar) >= 2]


def own_bar(floor: Floor, beads: Sequence[Thing], dice: Dice) -> Story:
    """Pour one bar of the shop's own and bring it to the safe."""
    drillings = floor.samples.pop("", [])
    bar, sample = shop_floor.remelt(floor, [*beads, *drillings], dice, note="several lots together")
    yield 1
    if sample is not None:
        say_assay(floor.book, sample, "fire assay", dice)
        floor.put_by("", sample)
    say_assay(floor.book, bar, "XRF", dice, note="before the safe")
    if dice.chance(0.5):
        say_weight(floor.book, [bar], dice)
    move(floor.book, [bar], "safe top shelf")
    floor.bars.append(bar)


def sales(floor: Floor) -> Story:
    """Sell own silver bars now and then; some always stay in the safe."""
    dice = Dice("sales")
    while True:
        yield dice.whole(38, 62)
        fine = [one for one in floor.bars if one.stuff.share("Ag") > 0.9]
        going = fine[: max(len(fine) - 4, 0)]
        if going:
            floor.bars = [one for one in floor.bars if one not in going]
            hand_over(floor.book, Act.SELL, going, BULLION_BUYER)


def dore_shipments(floor: Floor) -> Story:
    """Send doré and poor copper bars to be parted; they are settled bar by bar."""
    dice = Dice("parting")
    while True:
        yield dice.whole(110, 150)
        going = [one for one in floor.bars if one.stuff.share("Ag") <= 0.9] + floor.copper
        if not going:
            continue
        floor.bars = [one for one in floor.bars if one not in going]
        floor.copper = []
        ref = send(floor.book, going, REFINERY, "bar by bar")
        floor.calendar.begin(_parted(floor, ref, going, dice), _in_days(floor, dice.whole(24, 40)))


def _parted(floor: Floor, ref: str, going: Sequence[Thing], dice: Dice) -> Story:
    """Settle bars that were parted, and buy some of the gold back as grain."""
    yield from settlement(floor, ref, going, REFINERY, dice)
    yield 3
    gold = sum(one.stuff["Au"] for one in going) / UG
    if gold > 5:
        grams = gold * dice.between(0.15, 0.4)
        grain = stuff(Au=grams * 0.9998, Ag=grams * 0.0002)
        says = (Said("Au", Fineness(999_800_000), Fineness(100_000)),)
        bag = Bag("grain", grain, note="refinery's grain", place="safe top shelf", says=says)
        receive(floor.book, Owner(REFINERY, "bought"), [bag], dice)


@dataclass(frozen=True)
class Sheet:
    """A refinery's terms, as far as the simulator needs them: per mille paid, cents charged."""

    pays: dict[str, int]
    per_kg_cents: int
    least_cents: int
    assay_cents: int


SHEETS = {
    REFINERY: Sheet({"Ag": 960, "Au": 985, "Pt": 900, "Pd": 900}, 900, 4_500, 3_500),
    RESIDUE_WORKS: Sheet({"Ag": 850, "Au": 930, "Pt": 750, "Pd": 750}, 150, 3_000, 3_000),
}
_METAL_WORDS = {"Ag": "silver", "Au": "gold", "Pt": "platinum", "Pd": "palladium"}


def settlement(floor: Floor, ref: str, things: Sequence[Thing], party: str, dice: Dice) -> Story:
    """Settle a shipment: contents agreed item by item, then the money line by line."""
    lines, agreed = [], dict.fromkeys(PRECIOUS, 0)
    whole_ug = 0
    for thing in things:
        # Bars are drilled and agreed more closely than residues.
        share_u = 0.0015 if thing.tag[0] in "BK" else 0.012
        found = settle(thing.stuff, share_u=share_u, dice=dice)
        reading = weigh(thing.stuff.mass_ug, dice)
        whole_ug += reading.gross.micrograms
        for one in found:
            agreed[one.metal] += reading.gross.micrograms * one.fineness.ppb // 10**9
        if found:
            lines.append(
                Line(
                    Role.LINE,
                    tag=thing.label,
                    party=party,
                    gross=reading.gross,
                    contents=found,
                    how="settlement",
                    ref=ref,
                )
            )
    lines += _money_lines(floor.book, SHEETS[party], agreed, whole_ug, party, ref)
    floor.book.write(Act.SETTLE, lines, by="Imke")
    yield from ()


def _money_lines(
    book: Notebook, sheet: Sheet, agreed: dict[str, int], whole_ug: int, party: str, ref: str
) -> list[Line]:
    prices = prices_of(book)
    money = []
    for metal, ug in agreed.items():
        # Tenths of a cent per gram × micrograms × per mille: whole numbers until the last step.
        cents = ug * prices[metal] * sheet.pays[metal] // 10**10
        if cents:
            words = f"{_METAL_WORDS[metal]} paid, {sheet.pays[metal] / 10:g} %"
            money.append((cents, words))
    treatment = whole_ug * sheet.per_kg_cents // 10**9
    least = "treatment" if treatment >= sheet.least_cents else "treatment, lot minimum"
    money.append((-max(treatment, sheet.least_cents), least))
    money.append((-sheet.assay_cents, "assays"))
    return [
        Line(Role.LINE, party=party, ref=ref, money=euros(cents), note=words)
        for cents, words in money
    ]


def prices_of(book: Notebook) -> dict[str, int]:
    """Give the prices last set, in tenths of a cent for one gram."""
    found: dict[str, int] = {}
    for entry in book.entries:
        if entry.act is Act.PRICE:
            for line in entry.lines:
                if line.money is not None:
                    found[line.ref] = line.money.millionths // 1_000
    return found


def smelt_slag_again(floor: Floor, most: int) -> Story:
    """Smelt the oldest slag of many lots again, cupel the button; the bead is the shop's."""
    dice = Dice(f"slag again {floor.book.clock.day}")
    slags = lying_in(floor.book, floor.slag_drum, "slag")[:most]
    buttons = []
    for pot in _loads(slags, 4200.0):
        button = shop_floor.smelt(
            floor, pot, dice, poor=True, collector_g=200, note="old slag, crushed, with lead"
        )
        buttons.append(button)
        yield 1
    for button in buttons:
        bead = shop_floor.cupel(floor, [button], dice)
        yield 1
        if bead.stuff.grams > 8:
            left, sample = shop_floor.take_sample(floor, bead, 1.5, dice, note="drilled")
            say_assay(floor.book, sample, "fire assay", dice)
            floor.put_by("", sample)
            bead = left
        floor.silver.append(bead)


def _loads(things: Iterable[Thing], most_g: float) -> list[list[Thing]]:
    loads: list[list[Thing]] = []
    for thing in things:
        if loads and whole_of([*loads[-1], thing]).grams <= most_g:
            loads[-1].append(thing)
        else:
            loads.append([thing])
    return loads


def send_blended_cupels(floor: Floor, drum: str, next_drum: str) -> Story:
    """Crush and blend a drum of cupels, sample and assay it, send it, settle it months later."""
    dice = Dice(f"cupels {drum}")
    floor.cupel_drum = next_drum
    cupels = lying_in(floor.book, drum, "spent cupel")
    blended = shop_floor.blend(
        floor, cupels, dice, place=drum, note=f"{drum} through the crusher, mask on"
    )
    yield 1
    left, sample = shop_floor.take_sample(floor, blended, 180.0, dice, note="riffled, twice")
    yield 6
    say_assay(floor.book, sample, "fire assay", dice, note="mean of two")
    yield 9
    ref = send(floor.book, [left], RESIDUE_WORKS, "by the kilo")
    yield dice.whole(66, 88)
    yield from settlement(floor, ref, [left], RESIDUE_WORKS, dice)


def send_singly(floor: Floor, place: str, form: str, most: int) -> Story:
    """Send a crate of residues that are settled one by one."""
    dice = Dice(f"crate {place}")
    crate = [one for one in lying_in(floor.book, place, form) if one.stuff["Ag"]][:most]
    ref = send(floor.book, crate, RESIDUE_WORKS, "each by itself")
    yield dice.whole(45, 60)
    yield from settlement(floor, ref, crate, RESIDUE_WORKS, dice)


def send_and_wait(floor: Floor, place: str, form: str, most: int) -> Story:
    """Send residues that are not settled yet when the book ends."""
    things = lying_in(floor.book, place, form)[:most]
    send(floor.book, things, RESIDUE_WORKS, "flat lot fee")
    yield from ()


def _in_days(floor: Floor, days: int) -> date:
    return floor.book.clock.day + timedelta(days=days)
