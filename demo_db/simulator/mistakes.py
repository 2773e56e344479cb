"""What goes wrong in this shop and stays in its book, each planted once and told in the truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from demo_db.simulator import floor as shop_floor
from demo_db.simulator.campaigns import lying_in
from demo_db.simulator.days import Story
from demo_db.simulator.dice import Dice
from demo_db.simulator.floor import Floor
from demo_db.simulator.instruments import assay, weigh
from demo_db.simulator.lots import Lot, finish
from demo_db.simulator.notebook import Mistake, Thing
from demo_db.simulator.paper import Bag, Owner, move, receive, say_assay, say_weight
from demo_db.simulator.stuff import stuff
from demo_db.simulator.works import whole_of
from vault.core.daybook import Act, Line, Role, Said
from vault.core.fineness import PPB_PER_PERMILLE, Fineness


def bar_with_a_wrong_assay(floor: Floor) -> Story:
    """Pour a bar from beads that were each assayed, and write its own assay down wrongly.

    A 9 is read as a 6. The beads, the XRF before the safe and the weights all say otherwise.
    """
    dice = Dice("wrong assay")
    beads: list[Thing] = []
    floor.is_saving_up = True
    while len(beads) < 3:
        yield 1
        beads = _three_for_a_bar(floor.silver)
    floor.silver = [one for one in floor.silver if one not in beads]
    floor.is_saving_up = False
    known = []
    for bead in beads:
        left, sample = shop_floor.take_sample(floor, bead, 2.0, dice, note="drilled")
        say_assay(floor.book, sample, "fire assay", dice)
        floor.put_by("", sample)
        known.append(left)
    yield 2
    bar, dip = shop_floor.remelt(floor, known, dice, note="three lots together")
    yield 1
    if dip is None:
        raise AssertionError("this bar is always dipped")
    right = assay(dip.stuff, "fire assay", dice)
    wrong = tuple(_nine_read_as_six(one) if one.metal == "Ag" else one for one in right)
    entry = say_assay(floor.book, dip, "fire assay", dice, says=wrong)
    say_assay(floor.book, bar, "XRF", dice, note="before the safe")
    move(floor.book, [bar], "safe top shelf")
    floor.bars.append(bar)
    floor.book.mistakes.append(
        Mistake(
            kind="assay typed wrong",
            entries=(entry,),
            tags=(dip.tag, bar.tag),
            wrong=f"{_silver_of(wrong).to_text()} ‰ Ag",
            right=f"{_silver_of(right).to_text()} ‰ Ag",
        )
    )


def _three_for_a_bar(pool: Sequence[Thing]) -> list[Thing]:
    """Choose the three smallest fine beads, but no crumbs; fewer where they are not there yet."""
    fine = [one for one in pool if one.stuff.share("Ag") > 0.993 and one.stuff.grams > 90]
    beads = sorted(fine, key=lambda one: one.stuff.mass_ug)[:3]
    return beads if whole_of(beads).grams < 1600 else []


def _silver_of(says: Sequence[Said]) -> Fineness:
    return next(one.fineness for one in says if one.metal == "Ag")


def _nine_read_as_six(one: Said) -> Said:
    """Take 30 ‰ off a fineness that begins with 99, as 997.4 becomes 967.4."""
    if one.fineness.ppb // (10 * PPB_PER_PERMILLE) != 99:
        raise AssertionError(f"{one.fineness.to_text()} ‰ does not begin with 99")
    return replace(one, fineness=Fineness(one.fineness.ppb - 30 * PPB_PER_PERMILLE))


def swapped_bags(floor: Floor) -> Story:
    """Receive two lots on one day and work each up from the other's bag.

    Both bags are measured before their tags are mixed up, and both buttons after.
    """
    dice = Dice("swapped bags")
    lots, things = _two_alike(floor, dice)
    yield 2
    things[0].label, things[1].label = things[1].label, things[0].label
    buttons: list[Thing] = []
    entries: list[int] = []
    # Lot by lot, each from the bag that bears its tag, which is the other's.
    for thing in reversed(things):
        button = shop_floor.smelt(floor, [thing], dice)
        entries.append(len(floor.book.entries))
        left, sample = shop_floor.take_sample(floor, button, 2.0, dice, note="chips")
        say_assay(floor.book, sample, "fire assay", dice)
        floor.put_by(lots[len(buttons)].box, sample)
        buttons.append(left)
        yield 1
    first, second = (thing.tag for thing in things)
    floor.book.mistakes.append(
        Mistake(
            kind="bags swapped",
            entries=tuple(entries),
            tags=(first, second),
            wrong=f"entry {entries[0]} used {first}, entry {entries[1]} used {second}",
            right=f"entry {entries[0]} used {second}, entry {entries[1]} used {first}",
        )
    )
    for lot, button in zip(lots, buttons, strict=True):
        yield from finish(floor, lot, [button], Dice(f"work up {lot.name}"))


def _two_alike(floor: Floor, dice: Dice) -> tuple[list[Lot], list[Thing]]:
    """Receive two bags that look and weigh alike, and measure both."""
    rich = stuff(Ag=402.6, Cu=47.9, Zn=1.9, Au=0.21, burnable=19.4, grit=21.7, Fe=1.3)
    poor = stuff(Ag=331.4, Cu=86.1, Zn=6.2, Au=0.12, burnable=31.8, grit=34.4, Fe=3.1)
    owners = Owner("Pennant Bench School", "toll"), Owner("Atelier Gümüşbağ", "bought")
    bags = (
        Bag("filings", rich, ("Ag",), note="bench drawers"),
        Bag("filings", poor, ("Ag",), note="cuttlefish and filings"),
    )
    things: list[Thing] = []
    lots: list[Lot] = []
    for owner, bag in zip(owners, bags, strict=True):
        name, received = receive(floor.book, owner, [bag], dice)
        lots.append(Lot(name, "silver filings", owner))
        things += received
        say_assay(floor.book, received[0], "XRF", dice)
    return lots, things


def tin_of_dust(floor: Floor) -> Story:
    """Take over a tin that was in the building; only its weight is known."""
    dice = Dice("tin of dust")
    truth = stuff(Ag=17.3, Au=0.94, Cu=22.0, Fe=31.0, PbO=160.0, grit=402.0, burnable=55.0)
    bag = Bag("dust", truth, note="stood under the stairs when we moved in", place="tin 5")
    _, things = receive(floor.book, Owner("", "own"), [bag], dice)
    floor.book.mistakes.append(
        Mistake(
            kind="content not known",
            entries=(len(floor.book.entries),),
            tags=(things[0].tag,),
            wrong="nothing is said of its content",
            right="17.3 g Ag and 0.94 g Au",
        )
    )
    yield from ()


def assay_under_a_wrong_tag(floor: Floor) -> Story:
    """Write an assay down for the bar that lies beside; strike it and write it anew."""
    dice = Dice("assay under a wrong tag")
    samples: list[Thing] = []
    bars: list[Thing] = []
    while not bars or not samples:
        yield 3
        samples = lying_in(floor.book, "assay box", "sample")
        bars = lying_in(floor.book, "safe top shelf", "bar")
    sample = samples[-1]
    number = say_assay(floor.book, sample, "ICP", dice, of=bars[-1].label)
    says = floor.book.entries[number - 1].lines[0].contents
    floor.book.strike(number, "belongs to the sample, not to the bar")
    say_assay(floor.book, sample, "ICP", dice, says=says)


def wrong_drum(floor: Floor) -> Story:
    """Note a slag for the wrong drum; strike it and move it where it went."""
    slags: list[Thing] = []
    while not slags:
        yield 2
        slags = lying_in(floor.book, "tub 2", "slag")
    number = move(floor.book, slags[-1:], floor.cupel_drum)
    floor.book.strike(number, "wrong drum")
    move(floor.book, slags[-1:], floor.slag_drum)


def weight_of_another_thing(floor: Floor) -> Story:
    """Weigh a bead and note the weight of the one before; strike it and weigh again."""
    dice = Dice("weight of another thing")
    beads: list[Thing] = []
    while len(beads) < 2:
        yield 2
        beads = lying_in(floor.book, "tray", "bead")
    reading = weigh(beads[0].stuff.mass_ug, dice)
    line = Line(Role.OF, tag=beads[1].label, gross=reading.gross, gross_u=reading.u)
    number = floor.book.write(Act.WEIGH, [line])
    floor.book.strike(number, f"was the weight of {beads[0].label}")
    say_weight(floor.book, [beads[1]], dice)
