"""Invented books of rows: lots that are split, smelted and cupelled, and now and then merged."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable

from typing_extensions import override

from vault.reckoning.balance.problem import Problem, ProblemBuilder


class _ShortBook(ProblemBuilder):
    """Keeps four digits of every number, so that exact fractions of them stay short."""

    @override
    def add_unknown(self, size: float) -> int:
        return super().add_unknown(_short(size))

    @override
    def add_row(
        self, columns: Iterable[int], coefficients: Iterable[float], value: float, u: float
    ) -> int:
        short = [_short(one) for one in coefficients]
        return super().add_row(columns, short, _short(value), _short(u))


def _short(number: float) -> float:
    part, power = math.frexp(number)
    return math.ldexp(round(part * 2**14), power - 14)


class _Floor:
    """Writes rows as a shop would, with everything as it was nominally expected."""

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.book = _ShortBook([_short(0.005), _short(0.006)])
        self.residues: list[tuple[int, float]] = []

    def told(self, thing: int, mass: float, share: float, chance: float) -> None:
        if self.dice.random() < chance:
            u = share * mass
            self.book.add_row([thing], [1.0], self.dice.gauss(mass, u), u)

    def melt(self, thing: int, mass: float, *, factor: int, kept: float) -> tuple[int, float]:
        out = self.book.add_unknown((1 - kept) * mass)
        residue = self.book.add_unknown(kept * mass)
        self.book.add_row([thing, out, residue], [0.999, -1.0, -1.0], 0.0, 0.001 * mass)
        house = self.book.factor(factor)
        self.book.add_row([residue, thing, house], [1.0, -kept, -mass], 0.0, 0.005 * mass)
        self.residues.append((residue, kept * mass))
        return out, (1 - kept) * mass

    def split(self, thing: int, mass: float, fractions: list[float]) -> list[tuple[int, float]]:
        """Row 6 of the note on balances: n−1 rows, and exact remainders."""
        parts, rest, gone = [], thing, 0.0
        for f in fractions[:-1]:
            part, after = self.book.add_unknown(f * mass), gone + f
            spread = 0.02 * mass * (f * (1 - after) / (1 - gone)) ** 0.5
            self.book.add_row([part, rest], [1.0, -f / (1 - gone)], 0.0, spread)
            left = self.book.add_unknown((1 - after) * mass)
            self.book.add_row([left, rest, part], [1.0, -1.0, 1.0], 0.0, 0.0)
            parts.append((part, f * mass))
            rest, gone = left, after
        return [*parts, (rest, (1 - gone) * mass)]

    def merge(self, things: list[tuple[int, float]]) -> tuple[int, float]:
        mass = sum(one for _, one in things)
        feed = self.book.add_unknown(mass)
        columns = [feed, *(one for one, _ in things)]
        self.book.add_row(columns, [1.0] + [-1.0] * len(things), 0.0, 0.0)
        return feed, mass


def shop(seed: int, *, lots: int, merge_every: int = 3, known: float = 0.5) -> Problem:
    """A shop of some lots; `known` is the chance that a lot or bead is assayed."""
    floor = _Floor(random.Random(seed))
    for lot in range(lots):
        mass = floor.dice.uniform(50.0, 400.0)
        thing = floor.book.add_unknown(mass)
        floor.told(thing, mass, 0.005, known)
        count = floor.dice.randint(1, 3)
        weights = [floor.dice.uniform(1.0, 3.0) for _ in range(count)]
        for bag in floor.split(thing, mass, [one / sum(weights) for one in weights]):
            bead = floor.melt(*floor.melt(*bag, factor=0, kept=0.015), factor=1, kept=0.02)
            floor.told(*bead, 0.002, known)
        if lot % merge_every == merge_every - 1:
            taken, floor.residues = floor.residues[:9], floor.residues[9:]
            floor.told(*floor.melt(*floor.merge(taken), factor=1, kept=0.02), 0.01, 0.7)
    for residue in floor.residues:
        floor.told(*residue, 0.05, known / 4)
    return floor.book.finish()


def rows_of(build: Callable[[ProblemBuilder], None]) -> Problem:
    """A problem written in place, without house factors."""
    book = ProblemBuilder()
    build(book)
    return book.finish()
