"""Counts: the safe and the tray against the book, once a year, with a witness."""

from __future__ import annotations

from collections.abc import Iterable

from demo_db.simulator.campaigns import lying_in
from demo_db.simulator.days import Story
from demo_db.simulator.dice import Dice
from demo_db.simulator.floor import Floor
from demo_db.simulator.instruments import weigh
from demo_db.simulator.notebook import Mistake, Thing
from demo_db.simulator.stuff import Stuff, stuff
from vault.core.daybook import Act, Line, Role

COUNTED = ("safe top shelf", "safe lower shelf", "tray")


def first_count(floor: Floor) -> Story:
    """Count; a tin turns up behind the kiln that nobody knows and nobody weighs."""
    truth = stuff(Ag=8.1, Cu=6.0, PbO=91.0, Fe=4.0, grit=268.0)
    note = "tin behind the kiln, nobody knows it"
    number, tag = _count(floor, missing=(), extra=("dust", "tin 5", note), truth=truth)
    floor.book.mistakes.append(
        Mistake(
            kind="content not known",
            entries=(number,),
            tags=(tag,),
            wrong="neither weighed nor assayed",
            right="377.1 g with 8.1 g Ag",
        )
    )
    yield from ()


def second_count(floor: Floor) -> Story:
    """Count; a sample is not in its box, and a button without a tag lies in the tray."""
    samples = lying_in(floor.book, "assay box", "sample")
    # Riffled samples are kept for good, so no story waits for one; drillings are far smaller.
    gone = next(one for one in reversed(samples) if one.stuff.grams > 20)
    truth = stuff(Ag=41.2, Cu=7.3, Pb=0.6)
    note = "no tag on it, stamped T"
    number, tag = _count(floor, missing=(gone,), extra=("button", "tray", note), truth=truth)
    floor.book.mistakes.append(
        Mistake(
            kind="missing",
            entries=(number,),
            tags=(gone.tag,),
            wrong="missing at the count",
            right="rolled under the scale; found again",
        )
    )
    floor.book.mistakes.append(
        Mistake(
            kind="content not known",
            entries=(number,),
            tags=(tag,),
            wrong="weighed but not assayed",
            right="41.2 g Ag",
        )
    )
    yield 38
    floor.book.write(Act.COUNT, [_found(gone, Dice("found again"), note="rolled under the scale")])


def _count(
    floor: Floor, *, missing: Iterable[Thing], extra: tuple[str, str, str], truth: Stuff
) -> tuple[int, str]:
    """Record a count; gives its entry and the tag of what was found besides."""
    book, dice = floor.book, Dice(f"count {floor.book.clock.day}")
    gone = {thing.label for thing in missing}
    found = [thing for place in COUNTED for thing in lying_in(book, place)]
    lines = [_found(thing, dice) for thing in found if thing.label not in gone]
    lines += [Line(Role.MISSING, tag=label, note="not in the assay box") for label in sorted(gone)]
    form, place, note = extra
    thing = Thing(book.new_tag("X"), form, truth)
    reading = weigh(truth.mass_ug, dice)
    is_weighed = place == "tray"
    lines.append(
        Line(
            Role.EXTRA,
            tag=thing.tag,
            form=form,
            place=place,
            gross=reading.gross if is_weighed else None,
            gross_u=reading.u if is_weighed else None,
            note=note,
        )
    )
    book.keep([thing])
    return book.write(Act.COUNT, lines, by="Imke"), thing.tag


def _found(thing: Thing, dice: Dice, *, note: str = "") -> Line:
    if thing.form not in {"bar", "grain"} and not note:
        return Line(Role.OF, tag=thing.label)
    reading = weigh(thing.stuff.mass_ug, dice)
    return Line(Role.OF, tag=thing.label, gross=reading.gross, gross_u=reading.u, note=note)
