"""Large invented books, made fast: lots in families, or tied into one by reprocessed residues.

The metal in them adds up (every weight follows from the one before), so a reckoning of such a book
is an ordinary one and not a degenerate case.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from vault.core.daybook import Act, Entry, Line, Process, Role, Said, When
from vault.core.fineness import Fineness
from vault.core.masses import Mass

ITEMS_OF_A_LOT = 12
LOTS_BETWEEN_RESMELTS = 25
RESIDUES_OF_A_RESMELT = 76
# So many residues lie about when a resmelt takes some of them, old and new as they come to hand.
RESIDUES_LYING_ABOUT = 300
FIRST_DAY = date(2020, 1, 1)
CUSTOMERS = 200


def _mass(grams: float) -> Mass:
    return Mass(round(grams * 100) * 10_000)


def _said(metal: str, permille: float, u: float) -> Said:
    return Said(metal, Fineness(round(permille * 1000) * 1000), Fineness(round(u * 1000) * 1000))


class _Writer:
    """Numbers entries and tags; remembers the residues that wait for a resmelt."""

    def __init__(self, seed: int, *, in_turn: bool = False, named: float = 1.0) -> None:
        self.random = random.Random(seed)
        self.in_turn, self.named = in_turn, named
        self.number = 0
        self.tags = 0
        self.lots = 0
        self.items = 0
        self.waiting: list[tuple[str, float]] = []

    def tag(self, letter: str) -> str:
        self.tags += 1
        self.items += 1
        return f"{letter}-{self.tags:07d}"

    def entry(self, act: Act, lines: list[Line], process: Process | None = None) -> Entry:
        self.number += 1
        day = FIRST_DAY + timedelta(days=self.lots // 40)
        return Entry(self.number, When(day), "Imke", act, tuple(lines), process)

    def made(self, tag: str, form: str, grams: float | None, place: str) -> Line:
        gross = None if grams is None else _mass(grams)
        return Line(Role.MADE, tag=tag, form=form, gross=gross, place=place)

    def lot(self) -> Iterator[Entry]:
        """Two bags: one cupelled, one smelted and cupelled; beads remelted, a sample assayed."""
        rnd = self.random
        self.lots += 1
        name = f"L-{self.lots:06d}"
        party, terms = (
            f"Customer {self.lots % CUSTOMERS:03d}",
            "toll" if self.lots % 3 else "bought",
        )
        told = self.named >= 1.0 or rnd.random() < self.named
        bags = [(self.tag("R"), rnd.uniform(200, 900), rnd.uniform(500, 800)) for _ in range(2)]
        yield self.entry(
            Act.RECEIVE,
            [
                Line(
                    Role.IN,
                    tag=tag,
                    form="filings",
                    lot=name,
                    party=party,
                    terms=terms,
                    place="bench",
                    gross=_mass(grams),
                    contents=(_said("Ag", ag, 60),) if told else (),
                    how="declared" if told else "",
                )
                for tag, grams, ag in bags
            ],
        )
        (dirty, dirty_g, dirty_ag), (clean, clean_g, clean_ag) = bags
        silver = dirty_g * dirty_ag / 1000
        button, slag = self.tag("K"), self.tag("S")
        weighed = rnd.random() < 0.5
        yield self.entry(
            Act.WORK,
            [
                Line(Role.USED, tag=dirty),
                Line(Role.ADDED, form="borax, anhydrous", gross=_mass(dirty_g / 2)),
                self.made(button, "button", silver * 0.985 / 0.85, "tray"),
                self.made(slag, "slag", dirty_g * 0.6 if weighed else None, "drum D"),
            ],
            Process.SMELT,
        )
        self.waiting.append((slag, silver * 0.012))
        silver = silver * 0.985 + clean_g * clean_ag / 1000
        bead, cupel = self.tag("K"), self.tag("C")
        lead = clean_g
        yield self.entry(
            Act.WORK,
            [
                Line(Role.USED, tag=button),
                Line(Role.USED, tag=clean),
                Line(Role.ADDED, form="lead", gross=_mass(lead)),
                Line(Role.ADDED, form="new cupel", gross=_mass(2 * lead + 500)),
                self.made(bead, "bead", silver * 0.985 / 0.993, "tray"),
                self.made(cupel, "spent cupel", 3 * lead + 500, "drum C"),
            ],
            Process.CUPEL,
        )
        self.waiting.append((cupel, silver * 0.012))
        yield from self._bar(bead, silver * 0.985)

    def _bar(self, bead: str, silver: float) -> Iterator[Entry]:
        rest, sample = self.tag("K"), self.tag("A")
        yield self.entry(
            Act.WORK,
            [
                Line(Role.USED, tag=bead),
                self.made(rest, "bead", silver / 0.993 - 2.0, "tray"),
                self.made(sample, "sample", 2.0, "assay box"),
            ],
            Process.DIVIDE,
        )
        yield self.entry(
            Act.ASSAY,
            [Line(Role.OF, tag=sample, how="fire assay", contents=(_said("Ag", 993.0, 0.4),))],
        )
        bar, slag = self.tag("B"), self.tag("S")
        yield self.entry(
            Act.WORK,
            [
                Line(Role.USED, tag=rest),
                Line(Role.ADDED, form="borax, anhydrous", gross=_mass(20)),
                self.made(bar, "bar", silver / 0.993 - 3.0, "safe"),
                self.made(slag, "slag", 20.5, "tub 2"),
            ],
            Process.REMELT,
        )
        self.waiting.append((slag, silver * 0.002))

    def resmelt(self) -> Iterator[Entry]:
        """Smelt waiting residues together, which ties their lots into one family."""
        if len(self.waiting) < RESIDUES_LYING_ABOUT:
            return
        # The last button goes into the next resmelt, so that all of them hang together.
        taken = [self.waiting.pop(0)]
        for _ in range(RESIDUES_OF_A_RESMELT - 1):
            at = 0 if self.in_turn else self.random.randrange(len(self.waiting))
            taken.append(self.waiting.pop(at))
        silver = sum(grams for _, grams in taken)
        button, slag = self.tag("K"), self.tag("S")
        yield self.entry(
            Act.WORK,
            [
                *(Line(Role.USED, tag=tag) for tag, _ in taken),
                Line(Role.ADDED, form="soda ash", gross=_mass(4000)),
                self.made(button, "button", silver / 0.4, "tray"),
                self.made(slag, "slag", None, "drum E"),
            ],
            Process.SMELT,
        )
        self.waiting.insert(0, (button, silver * 0.98))


def entries_of_a_book(
    items: int, *, tied: bool, seed: int = 1, in_turn: bool = False, named: float = 1.0
) -> Iterator[Entry]:
    """Give the entries of a book of about so many items, in order.

    Args:
        items: how many items to make at least.
        tied: whether residues are reprocessed together, which joins nearly all lots.
        seed: of the random weights; the same seed gives the same book.
        in_turn: whether the oldest residues are reprocessed first, and not any that lie about.
        named: share of the lots of which anything is declared.
    """
    writer = _Writer(seed, in_turn=in_turn, named=named)
    while writer.items < items:
        yield from writer.lot()
        if tied and writer.lots % LOTS_BETWEEN_RESMELTS == 0:
            yield from writer.resmelt()


def entries_of_a_deep_bar(ancestors: int) -> Iterator[Entry]:
    """Give a book whose last bar has about so many ancestors, remelted together in steps."""
    writer = _Writer(7)
    level: list[str] = []
    number = 0
    while number < ancestors * 8 // 9:
        writer.lots += 1
        tag = writer.tag("R")
        number += 1
        level.append(tag)
        yield writer.entry(
            Act.RECEIVE,
            [
                Line(
                    Role.IN,
                    tag=tag,
                    form="grain",
                    lot=f"L-{number:06d}",
                    terms="own",
                    place="bench",
                    gross=_mass(50),
                    contents=(_said("Ag", 900, 5),),
                    how="declared",
                )
            ],
        )
    while len(level) > 1:
        taken, level = level[:9], level[9:]
        bar = writer.tag("B")
        level.append(bar)
        yield writer.entry(
            Act.WORK,
            [
                *(Line(Role.USED, tag=tag) for tag in taken),
                writer.made(bar, "bar", None, "safe"),
            ],
            Process.REMELT,
        )


def entries_of_a_drum(lots: int, cupels: int, *, tied: bool) -> Iterator[Entry]:
    """Give a book of lots of silver and gold, each cupelled in parts; every cupel lies in a drum.

    Args:
        lots: how many, about forty a month.
        cupels: of each lot.
        tied: whether a bead of every lot goes into the cupel again with the next, so that all of
            them hang together.
    """
    writer, before = _Writer(11), ""
    for lot in range(lots):
        day = FIRST_DAY + timedelta(days=lot * 3 // 4)
        bags = [(writer.tag("R"), writer.random.uniform(100, 400)) for _ in range(cupels)]
        lines = [
            Line(
                Role.IN, tag=tag, form="scrap", lot=f"L-{lot:06d}", terms="bought",
                party=f"Customer {lot % CUSTOMERS:03d}", place="bench", gross=_mass(grams),
                contents=(_said("Ag", 700, 20), _said("Au", 30, 4)), how="declared",
            )
            for tag, grams in bags
        ]  # fmt: skip
        yield replace(writer.entry(Act.RECEIVE, lines), when=When(day))
        for tag, grams in bags:
            bead, cupel = writer.tag("K"), writer.tag("C")
            used = [tag, before] if before else [tag]
            carried, before = (250.0 if before else 0.0), ""
            lines = [
                *(Line(Role.USED, tag=one) for one in used),
                Line(Role.ADDED, form="lead", gross=_mass(grams)),
                Line(Role.ADDED, form="new cupel", gross=_mass(2 * grams)),
                writer.made(bead, "bead", 0.72 * grams + 0.99 * carried, "tray"),
                writer.made(cupel, "spent cupel", 3 * grams, "drum C"),
            ]
            yield replace(writer.entry(Act.WORK, lines, Process.CUPEL), when=When(day))
        before = bead if tied else ""
