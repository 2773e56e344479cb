"""Mass: whole micrograms, read from and written in the trade's units, with no binary fraction."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from vault.core.errors import TextNotUnderstood
from vault.core.numerals import (
    millionths_from_text,
    millionths_to_text,
    number_from_text,
    shortened,
)

# Exact by definition: NIST Handbook 44, Appendix C (troy ounce 31.1034768 g,
# pennyweight 1.55517384 g, grain 64.79891 mg).
MICROGRAMS_PER_UNIT: dict[str, Decimal] = {
    "g": Decimal(1_000_000),
    "kg": Decimal(1_000_000_000),
    "mg": Decimal(1_000),
    "ozt": Decimal("31103476.8"),
    "dwt": Decimal("1555173.84"),
    "gr": Decimal("64798.91"),
}
_UNIT_WORDS = {
    "gram": "g",
    "grams": "g",
    "kilogram": "kg",
    "kilograms": "kg",
    "milligram": "mg",
    "milligrams": "mg",
    "oz t": "ozt",
    "troy ounce": "ozt",
    "troy ounces": "ozt",
    "pennyweight": "dwt",
    "pennyweights": "dwt",
    "grain": "gr",
    "grains": "gr",
}
# Nine tonnes: far more than a shop holds, and safely inside 64 bits of micrograms.
GREATEST_UG = 9_000_000_000_000
_NUMBER_THEN_UNIT = re.compile(r"([+-]?[0-9.,'\s\u00a0\u202f]*[0-9][0-9.,]*)\s*([A-Za-z ]*)\Z")


@dataclass(frozen=True, slots=True, order=True)
class Mass:
    """A mass in whole micrograms; masses add to masses and to nothing else."""

    micrograms: int

    def __add__(self, other: Mass) -> Mass:
        return Mass(self.micrograms + other.micrograms)

    def __sub__(self, other: Mass) -> Mass:
        return Mass(self.micrograms - other.micrograms)

    def __neg__(self) -> Mass:
        return Mass(-self.micrograms)

    def __bool__(self) -> bool:
        raise TypeError("A mass is neither true nor false; ask `is None` or compare it.")

    @property
    def grams(self) -> float:
        """The mass in grams as a float, for reckoning only."""
        return self.micrograms / 1_000_000

    def in_unit(self, unit: str) -> Decimal:
        """Give the mass in a trade unit (g, kg, mg, ozt, dwt, gr), to all digits."""
        return Decimal(self.micrograms) / MICROGRAMS_PER_UNIT[unit]

    def to_text(self) -> str:
        """Give grams as plain decimal text, exact, with no more digits than needed."""
        return millionths_to_text(self.micrograms)


def total(masses: Iterable[Mass]) -> Mass:
    """Add masses up; the sum of none is no mass at all."""
    return Mass(sum(mass.micrograms for mass in masses))


@lru_cache(maxsize=65_536)
def grams_from_text(text: str) -> Mass:
    """Read the strict form of the daybook file: grams, decimal point, no unit, no grouping.

    Raises:
        TextNotUnderstood: when it is no such number, or is too large.
    """
    micrograms = millionths_from_text(text)
    if micrograms is None:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no weight; write grams with a decimal point and at most six "
            "decimals, such as 12.34."
        )
    if abs(micrograms) > GREATEST_UG:
        raise TextNotUnderstood(
            f"{shortened(text)} g is more than this book can hold (9 000 kg); check the unit."
        )
    return Mass(micrograms)


def mass_from_text(text: str, *, decimal_mark: str = ".", unit: str = "g") -> Mass:
    """Read a mass as a person types it: `12,5`, `12.5 g`, `.4 ozt`, `1 004.62 g`.

    Args:
        text: what was typed.
        decimal_mark: the shop's setting, `.` or `,`; the other one is refused where it could
            mean two things.
        unit: the unit meant when none is typed.

    Raises:
        TextNotUnderstood: when it is no mass, or could mean two things.
    """
    found = _NUMBER_THEN_UNIT.match(text.strip())
    if not found:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no weight; type a number and a unit, such as 12.5 g."
        )
    word = found[2].strip()
    named = word if word in MICROGRAMS_PER_UNIT else _UNIT_WORDS.get(word.lower(), word)
    named = named or unit
    if named not in MICROGRAMS_PER_UNIT:
        raise TextNotUnderstood(
            f"“{shortened(word)}” is no unit of mass known here; use g, kg, mg, ozt, dwt or gr."
        )
    number = number_from_text(found[1], decimal_mark=decimal_mark)
    micrograms = number * MICROGRAMS_PER_UNIT[named]
    if abs(micrograms) > GREATEST_UG:
        raise TextNotUnderstood(
            f"{shortened(text)} is more than this book can hold (9 000 kg); check the unit."
        )
    return Mass(int(micrograms.to_integral_value()))
