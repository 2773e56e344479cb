"""What the shop writes down: entries that keep the rules of the book, and the truth beside them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from demo_db.simulator.days import Clock
from demo_db.simulator.dice import Dice
from demo_db.simulator.stuff import NOTHING, Stuff
from vault.core.daybook import Act, Entry, Line, Process, Role, When
from vault.core.rules import record
from vault.core.shop import Shop

OWNER = "Imke"
HELPERS = ("Imke", "Imke", "Tove", "Bálint")


@dataclass
class Thing:
    """A thing in the shop.

    Attributes:
        tag: the tag it was given.
        form: its form.
        stuff: what it truly consists of.
        label: the tag that hangs on it; another one after two bags were mixed up.
        lot: the lot it came with; empty where a work made it.
    """

    tag: str
    form: str
    stuff: Stuff
    label: str = ""
    lot: str = ""

    def __post_init__(self) -> None:
        self.label = self.label or self.tag


@dataclass(frozen=True)
class TrueWork:
    """What truly happened at a work.

    Attributes:
        entry: the entry that records it.
        used: tags of the things that truly went in.
        added: what was added.
        made: tags of the things that came out.
        lost: precious metal lost for good.
    """

    entry: int
    process: Process
    used: tuple[str, ...]
    added: tuple[Stuff, ...]
    made: tuple[str, ...]
    lost: Stuff


@dataclass(frozen=True)
class Mistake:
    """Something planted in the book that is not as it seems.

    Attributes:
        kind: what was done wrong.
        entries: the entries that say it.
        tags: the items concerned.
        wrong, right: what the book says and what it should say.
        families: further tags whose figures suffer from it.
    """

    kind: str
    entries: tuple[int, ...]
    tags: tuple[str, ...]
    wrong: str
    right: str


@dataclass
class Notebook:
    """The daybook as it grows, and what only the simulator knows.

    Attributes:
        clock: the clock on the wall.
        shop: the shop as the entries leave it.
        entries: the entries so far.
        things: everything ever made and not struck, by tag, with its truth.
        works: what truly happened at every work, by entry.
        lost: metal lost so far and not yet swept up.
        mistakes: what was planted.
    """

    clock: Clock
    shop: Shop = field(default_factory=Shop)
    entries: list[Entry] = field(default_factory=list)
    things: dict[str, Thing] = field(default_factory=dict)
    works: dict[int, TrueWork] = field(default_factory=dict)
    lost: Stuff = NOTHING
    mistakes: list[Mistake] = field(default_factory=list)
    _given: dict[str, int] = field(default_factory=dict)
    _dice: Dice = field(default_factory=lambda: Dice("hands"))

    def new_tag(self, prefix: str, *, digits: int = 4) -> str:
        """Give the next tag of a kind; none is ever given twice."""
        self._given[prefix] = self._given.get(prefix, 0) + 1
        return f"{prefix}-{self._given[prefix]:0{digits}d}"

    def write(
        self,
        act: Act,
        lines: Iterable[Line],
        *,
        process: Process | None = None,
        by: str = "",
        day_only: bool = False,
    ) -> int:
        """Record an entry now and give its number; the rules of the book refuse what is wrong."""
        when = self.clock.tick()
        entry = Entry(
            number=len(self.entries) + 1,
            when=When(when.day) if day_only else when,
            by=by or self._dice.pick(HELPERS),
            act=act,
            lines=tuple(lines),
            process=process,
        )
        record(self.shop, entry)
        self.entries.append(entry)
        return entry.number

    def strike(self, number: int, reason: str) -> int:
        """Strike an entry."""
        by = self.entries[number - 1].by
        line = Line(Role.NONE, ref=str(number), note=reason)
        struck = self.write(Act.STRIKE, [line], by=by)
        self.mistakes.append(
            Mistake("struck", (number, struck), (), reason, f"entry {struck + 1} as recorded anew")
        )
        return struck

    def keep(self, things: Sequence[Thing]) -> None:
        """Keep the truth of things that were made."""
        for thing in things:
            self.things[thing.tag] = thing
