"""The paper round the works: receipts, assays, weighings, moves, dispatches and prices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from demo_db.simulator.dice import Dice
from demo_db.simulator.instruments import assay, declare, weigh
from demo_db.simulator.notebook import Notebook, Thing
from demo_db.simulator.stuff import Stuff
from vault.core.daybook import Act, Line, Role, Said
from vault.core.money import Money

CURRENCY = "EUR"


@dataclass(frozen=True)
class Bag:
    """A bag as a customer brings it.

    Attributes:
        form: its form.
        stuff: what it truly consists of.
        declares: metals that the customer declares.
        vague: whether no doubt is stated with them.
        note: what was said.
        place: where it is put.
        says: what a stamp or a sheet says, in place of the customer's guess.
    """

    form: str
    stuff: Stuff
    declares: tuple[str, ...] = ()
    vague: bool = True
    note: str = ""
    place: str = "bench"
    says: tuple[Said, ...] = ()


@dataclass(frozen=True)
class Owner:
    """Whose a lot is and on what terms."""

    party: str
    terms: str


def receive(
    book: Notebook,
    owner: Owner,
    bags: Sequence[Bag],
    dice: Dice,
    *,
    slip: tuple[str, str] = ("", ""),
) -> tuple[str, list[Thing]]:
    """Receive a lot and give its name and things.

    Args:
        book: the notebook.
        owner: whose it is.
        bags: what was brought.
        dice: chance.
        slip: a wrong customer written down first, and the reason of the strike; empty where not.
    """
    lot = book.new_tag("L", digits=3)
    lines = [_receipt_line(bag, lot, owner, dice) for bag in bags]
    if slip[0]:
        wrong = [_retagged(book, line, party=slip[0]) for line in lines]
        book.strike(book.write(Act.RECEIVE, wrong), slip[1])
    lines = [_retagged(book, line) for line in lines]
    book.write(Act.RECEIVE, lines)
    things = [
        Thing(line.tag, bag.form, bag.stuff, lot=lot) for line, bag in zip(lines, bags, strict=True)
    ]
    book.keep(things)
    return lot, things


def _receipt_line(bag: Bag, lot: str, owner: Owner, dice: Dice) -> Line:
    reading = weigh(bag.stuff.mass_ug, dice)
    says = bag.says or declare(bag.stuff, bag.declares, dice, vague=bag.vague)
    return Line(
        Role.IN,
        form=bag.form,
        lot=lot,
        party=owner.party,
        terms=owner.terms,
        place=bag.place,
        gross=reading.gross,
        gross_u=reading.u,
        contents=says,
        how="declared" if says else "",
        note=bag.note,
    )


def _retagged(book: Notebook, line: Line, *, party: str = "") -> Line:
    return Line(
        line.role,
        tag=book.new_tag("R"),
        form=line.form,
        lot=line.lot,
        party=party or line.party,
        terms=line.terms,
        place=line.place,
        gross=line.gross,
        gross_u=line.gross_u,
        contents=line.contents,
        how=line.how,
        note=line.note,
    )


_CERTIFICATE = {"fire assay": "F", "XRF": "X", "ICP": "P"}


def say_assay(
    book: Notebook,
    thing: Thing,
    method: str,
    dice: Dice,
    *,
    note: str = "",
    of: str = "",
    says: tuple[Said, ...] = (),
) -> int:
    """Assay a thing and record it; gives the entry, 0 where nothing was found.

    Args:
        book: the notebook.
        thing: what is assayed.
        method: how.
        dice: chance.
        note: what the line says besides.
        of: another tag that is written down by mistake.
        says: what is written down in place of what was read.
    """
    found = says or assay(thing.stuff, method, dice)
    if not found:
        return 0
    certificate = book.new_tag(_CERTIFICATE[method], digits=3)
    line = Line(
        Role.OF,
        tag=of or thing.label,
        contents=found,
        how=method,
        ref=certificate,
        note=note,
    )
    return book.write(Act.ASSAY, [line])


def say_weight(book: Notebook, things: Iterable[Thing], dice: Dice, *, note: str = "") -> int:
    """Weigh things again."""
    lines = []
    for thing in things:
        reading = weigh(thing.stuff.mass_ug, dice)
        lines.append(
            Line(Role.OF, tag=thing.label, gross=reading.gross, gross_u=reading.u, note=note)
        )
    return book.write(Act.WEIGH, lines)


def move(book: Notebook, things: Iterable[Thing], place: str, *, note: str = "") -> int:
    """Put things somewhere else."""
    lines = [Line(Role.OF, tag=thing.label, place=place, note=note) for thing in things]
    return book.write(Act.MOVE, lines)


def move_container(book: Notebook, name: str, place: str) -> int:
    """Put a container with all that is in it somewhere else."""
    return book.write(Act.MOVE, [Line(Role.OF, tag=name, place=place)])


def hand_over(
    book: Notebook, act: Act, things: Sequence[Thing], party: str, *, note: str = ""
) -> int:
    """Return things to a customer or sell them."""
    lines = [
        Line(Role.OUT, tag=thing.label, party=party, note=note if at == 0 else "")
        for at, thing in enumerate(things)
    ]
    return book.write(act, lines)


def send(book: Notebook, things: Sequence[Thing], party: str, terms: str) -> str:
    """Send things to a refinery and give the shipment's number."""
    ref = book.new_tag("V")
    lines = [Line(Role.OUT, tag=thing.label, party=party, terms=terms, ref=ref) for thing in things]
    book.write(Act.SEND, lines)
    return ref


def euros(cents: int) -> Money:
    """Give an amount from whole cents."""
    return Money(cents * 10_000, CURRENCY)


def price(book: Notebook, cents_tenths: dict[str, int]) -> int:
    """Set prices for one gram, in tenths of a cent."""
    lines = [
        Line(
            Role.LINE,
            ref=metal,
            money=Money(tenths * 1_000, CURRENCY),
            note="from the morning paper" if metal == "Ag" else "",
        )
        for metal, tenths in cents_tenths.items()
    ]
    return book.write(Act.PRICE, lines, by="Imke", day_only=True)
