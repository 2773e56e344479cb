"""Works: things go into the furnace or under the hammer, and the book says what the scale said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from demo_db.simulator.dice import Dice
from demo_db.simulator.instruments import weigh
from demo_db.simulator.notebook import Notebook, Thing, TrueWork
from demo_db.simulator.stuff import UG, Stuff, stuff, total
from vault.core.daybook import Act, Line, Process, Role, Said
from vault.core.fineness import Fineness
from vault.core.masses import Mass

# 15 to 25 g of silver in a tonne of lead (Beringer 1904): what this house's lead says and holds.
LEAD_SAID = (Said("Ag", Fineness(20_000), Fineness(5_000)),)
LEAD_SILVER = 19e-6
FINE_SILVER_SAID = (Said("Ag", Fineness(999_000_000), Fineness(500_000)),)


@dataclass(frozen=True)
class Making:
    """A thing about to come out of a work.

    Attributes:
        prefix: of its tag.
        form: its form.
        stuff: what it truly consists of.
        place: where it is put.
        weighed: whether somebody puts it on the scale.
        note: what the line says besides.
    """

    prefix: str
    form: str
    stuff: Stuff
    place: str
    weighed: bool = True
    note: str = ""


@dataclass(frozen=True)
class Adding:
    """A thing put into a work that is no item, as the book names it and as it truly is."""

    form: str
    stuff: Stuff
    gross_ug: int
    says: tuple[Said, ...] = ()


def flux_of(grams: Mapping[str, int]) -> list[Adding]:
    """Give fluxes as they are written down; weighed on the kitchen scale, to the gram."""
    return [
        Adding(name, stuff(glass=float(weight)), weight * UG)
        for name, weight in grams.items()
        if weight
    ]


def lead(grams: float) -> Adding:
    """Give lead with the little silver it holds."""
    return Adding(
        "lead",
        stuff(Pb=grams * (1 - LEAD_SILVER), Ag=grams * LEAD_SILVER),
        round(grams) * UG,
        LEAD_SAID,
    )


def fine_silver(grams: float) -> Adding:
    """Give bought silver for inquarting."""
    truth = stuff(Ag=grams * 0.9988, Cu=grams * 0.0012)
    return Adding(
        "silver grain for inquarting", truth, round(grams * 100) * 10_000, FINE_SILVER_SAID
    )


def new_cupel(grams: float) -> Adding:
    """Give a new cupel."""
    return Adding("new cupel", stuff(body=grams), round(grams) * UG)


def new_crucible(grams: float) -> Adding:
    """Give a new crucible that will not outlive the melt."""
    return Adding("new crucible", stuff(body=grams), round(grams) * UG)


@dataclass(frozen=True)
class Job:
    """A work with all that the book says of it.

    Attributes:
        process: what is done.
        used: the things that go in.
        makes: what comes out.
        lost: precious metal lost for good.
        adds: what else goes in.
        note: what the entry says besides.
        slip: why it is written down wrongly first, struck and written anew; empty where not.
    """

    process: Process
    used: Sequence[Thing]
    makes: Sequence[Making]
    lost: Stuff
    adds: Sequence[Adding] = ()
    note: str = ""
    slip: str = ""


def do(book: Notebook, job: Job, dice: Dice) -> list[Thing]:
    """Record a work and give the things it made."""
    used = [Line(Role.USED, tag=thing.label) for thing in job.used]
    added = [_added_line(one) for one in job.adds]
    made = [_made_line(one, dice) for one in job.makes]
    if job.slip:
        wrong = [_mistyped(line) if at == 0 else line for at, line in enumerate(made)]
        number = _write(book, job, [*used, *added], wrong)
        book.strike(number, job.slip)
    lines = [replace(line, tag=book.new_tag(one.prefix)) for line, one in _paired(made, job)]
    number = book.write(Act.WORK, _noted([*used, *added, *lines], job.note), process=job.process)
    things = [Thing(line.tag, line.form, one.stuff) for line, one in _paired(lines, job)]
    book.keep(things)
    book.works[number] = TrueWork(
        number,
        job.process,
        tuple(thing.tag for thing in job.used),
        tuple(one.stuff for one in job.adds),
        tuple(thing.tag for thing in things),
        job.lost,
    )
    book.lost += job.lost
    return things


def _write(book: Notebook, job: Job, before: list[Line], made: list[Line]) -> int:
    tagged = [replace(line, tag=book.new_tag(one.prefix)) for line, one in _paired(made, job)]
    return book.write(Act.WORK, _noted([*before, *tagged], job.note), process=job.process)


def _paired(lines: Sequence[Line], job: Job) -> list[tuple[Line, Making]]:
    return list(zip(lines, job.makes, strict=True))


def _noted(lines: list[Line], note: str) -> list[Line]:
    """Put the note on the first line; one saying is enough."""
    if note and not lines[0].note:
        return [replace(lines[0], note=note), *lines[1:]]
    return lines


def _added_line(one: Adding) -> Line:
    return Line(
        Role.ADDED,
        form=one.form,
        gross=Mass(one.gross_ug),
        contents=one.says,
        how="declared" if one.says else "",
    )


def _made_line(one: Making, dice: Dice) -> Line:
    reading = weigh(one.stuff.mass_ug, dice)
    return Line(
        Role.MADE,
        form=one.form,
        place=one.place,
        gross=reading.gross if one.weighed else None,
        gross_u=reading.u if one.weighed else None,
        note=one.note,
    )


def _mistyped(line: Line) -> Line:
    """Swap two digits of the weight, the lower one first, so that it stays possible."""
    if line.gross is None:
        return line
    digits = list(line.gross.to_text())
    for at in range(len(digits) - 1):
        pair = digits[at : at + 2]
        if all(one.isdigit() for one in pair) and pair[0] > pair[1] != "0":
            digits[at : at + 2] = pair[::-1]
            break
    whole, _, decimals = "".join(digits).partition(".")
    return replace(line, gross=Mass(int(whole) * UG + int(decimals.ljust(6, "0"))))


def whole_of(things: Sequence[Thing]) -> Stuff:
    """Give what things truly hold together."""
    return total(thing.stuff for thing in things)
