"""Stuff: what a thing truly consists of, in whole micrograms of each part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from demo_db.simulator.dice import Dice

PRECIOUS = ("Ag", "Au", "Pt", "Pd")
BASE = ("Cu", "Zn", "Ni", "Sn", "Fe", "Pb")
# Grams of oxide from one gram of metal, from IUPAC atomic weights.
OXIDE_OF = {
    "Cu": ("CuO", 1.25177),
    "Zn": ("ZnO", 1.24471),
    "Ni": ("NiO", 1.27259),
    "Sn": ("SnO2", 1.26955),
    "Fe": ("FeO", 1.28649),
    "Pb": ("PbO", 1.07722),
}
OXIDES = tuple(name for name, _ in OXIDE_OF.values())
# Molten flux, stone and abrasive, what burns, what boils off, body of cupels and crucibles.
OTHERS = ("glass", "grit", "burnable", "volatile", "body")
NAMES = PRECIOUS + BASE + OXIDES + OTHERS
UG = 1_000_000


@dataclass(frozen=True)
class Stuff:
    """Parts of a thing in whole micrograms, in the order of `NAMES`, none below zero."""

    ug: tuple[int, ...]

    def __post_init__(self) -> None:
        if min(self.ug) < 0:
            raise ValueError(f"stuff below nothing: {dict(self.items())}")

    def __getitem__(self, name: str) -> int:
        return self.ug[NAMES.index(name)]

    def __add__(self, other: Stuff) -> Stuff:
        return Stuff(tuple(one + two for one, two in zip(self.ug, other.ug, strict=True)))

    def __sub__(self, other: Stuff) -> Stuff:
        return Stuff(tuple(one - two for one, two in zip(self.ug, other.ug, strict=True)))

    @property
    def mass_ug(self) -> int:
        """All of it."""
        return sum(self.ug)

    @property
    def grams(self) -> float:
        """All of it in grams."""
        return self.mass_ug / UG

    def items(self) -> Iterator[tuple[str, int]]:
        """Give the parts that are there."""
        return ((name, ug) for name, ug in zip(NAMES, self.ug, strict=True) if ug)

    def share(self, name: str) -> float:
        """Give a part's share of the whole."""
        return self[name] / self.mass_ug

    def sum_of(self, names: Iterable[str]) -> int:
        """Give several parts together, in micrograms."""
        return sum(self[name] for name in names)

    def fine(self) -> dict[str, int]:
        """Give the precious metals that are there, in micrograms."""
        return {name: self[name] for name in PRECIOUS if self[name]}

    def only(self, names: Iterable[str]) -> Stuff:
        """Give just some of the parts."""
        wanted = set(names)
        return Stuff(
            tuple(ug if name in wanted else 0 for name, ug in zip(NAMES, self.ug, strict=True))
        )

    def taken(self, shares: Mapping[str, float]) -> Stuff:
        """Give a share of each named part, rounded to whole micrograms."""
        return Stuff(
            tuple(
                round(ug * min(max(shares.get(name, 0.0), 0.0), 1.0))
                for name, ug in zip(NAMES, self.ug, strict=True)
            )
        )

    def part(self, share: float) -> Stuff:
        """Give a share of everything."""
        return self.taken(dict.fromkeys(NAMES, share))


NOTHING = Stuff((0,) * len(NAMES))


def stuff(**grams: float) -> Stuff:
    """Give stuff from grams of its parts."""
    unknown = set(grams) - set(NAMES)
    if unknown:
        raise ValueError(f"no such part: {sorted(unknown)}")
    return Stuff(tuple(round(grams.get(name, 0.0) * UG) for name in NAMES))


def total(many: Iterable[Stuff]) -> Stuff:
    """Put things together."""
    whole = NOTHING
    for one in many:
        whole += one
    return whole


def burnt(metal: Stuff, shares: Mapping[str, float]) -> Stuff:
    """Give the oxide of a share of each base metal; take that share from the metal yourself."""
    gone = metal.taken(shares)
    grown = dict.fromkeys(NAMES, 0)
    for name, (oxide, factor) in OXIDE_OF.items():
        grown[oxide] = round(gone[name] * factor)
    return Stuff(tuple(grown[name] for name in NAMES))


def portions(whole: Stuff, masses_ug: list[int], constant_g: float, dice: Dice) -> list[Stuff]:
    """Part a well mixed whole; the last portion is what is left.

    Each portion is off by the sampling error of its own mass, u² = C (1/m − 1/G) (Gy's constant
    C), less where a metal is nearly all there is: pure metal cannot segregate.
    """
    left, made = whole, []
    for mass_ug in masses_ug:
        made.append(_portion(left, mass_ug, constant_g, dice))
        left -= made[-1]
    return [*made, left]


def _portion(whole: Stuff, mass_ug: int, constant_g: float, dice: Dice) -> Stuff:
    fraction = mass_ug / whole.mass_ug
    spread = sqrt(max(constant_g * (1.0 / (mass_ug / UG) - 1.0 / whole.grams), 0.0))
    fine = {}
    for name in PRECIOUS:
        off = spread * sqrt(1.0 - whole.share(name))
        fine[name] = fraction * min(max(1.0 + dice.normal(off), 0.0), 2.0)
    precious = whole.taken(fine)
    rest = whole - whole.only(PRECIOUS)
    wanted = mass_ug - precious.mass_ug
    if not 0 <= wanted <= rest.mass_ug or precious.mass_ug > whole.mass_ug:
        return whole.part(fraction)
    return precious + rest.part(wanted / rest.mass_ug if rest.mass_ug else 0.0)
