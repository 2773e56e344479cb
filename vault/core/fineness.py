"""Fineness: fine metal per mass, in whole parts per billion."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from vault.core.errors import TextNotUnderstood, TextUnclear
from vault.core.numerals import (
    millionths_from_text,
    millionths_to_text,
    number_from_text,
    shortened,
)

PPB_PER_PERMILLE = 1_000_000
WHOLE_PPB = 1_000_000_000

# 24 karat is pure; 1 g/t is one part in a million.
_PPB_PER_UNIT: dict[str, Decimal] = {
    "‰": Decimal(PPB_PER_PERMILLE),
    "%": Decimal(10 * PPB_PER_PERMILLE),
    "kt": Decimal(WHOLE_PPB) / 24,
    "g/t": Decimal(1_000),
    "ppm": Decimal(1_000),
}
_UNIT_WORDS = {"": "‰", "k": "kt", "ct": "kt", "karat": "kt", "carat": "kt"}
# Hardly any keyboard has the sign ‰.
_UNIT_WORDS |= dict.fromkeys(("o/oo", "g/kg", "permille", "per mille", "promille"), "‰")
_DOUBT_SIGN = re.compile(r"±|\+\s*/?\s*[-−]")
# Up to here a bare number is as likely meant in percent as in ‰, and up to 24 in karat as well.
_LEAST_PLAIN_PERMILLE = 100
_LEAST_KARAT, _MOST_KARAT = 8, 24
_NUMBER_THEN_UNIT = re.compile(r"([+-]?[0-9.,'\s\u00a0\u202f]*[0-9][0-9.,]*)\s*([^0-9.,]*)\Z")


@dataclass(frozen=True, slots=True, order=True)
class Fineness:
    """A share by mass in whole parts per billion, from none to all."""

    ppb: int

    @property
    def share(self) -> float:
        """The fineness as a plain fraction, for reckoning only."""
        return self.ppb / WHOLE_PPB

    @property
    def permille(self) -> Decimal:
        """The fineness in ‰, exact."""
        return Decimal(self.ppb) / PPB_PER_PERMILLE

    def to_text(self) -> str:
        """Give ‰ as plain decimal text, exact."""
        return millionths_to_text(self.ppb)


@lru_cache(maxsize=65_536)
def permille_from_text(text: str) -> Fineness:
    """Read the strict form of the daybook file: ‰, decimal point, no unit.

    Raises:
        TextNotUnderstood: when it is no number between 0 and 1000 with at most six decimals.
    """
    ppb = millionths_from_text(text)
    if ppb is None:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no fineness; write ‰ with a decimal point, such as 925."
        )
    if not 0 <= ppb <= WHOLE_PPB:
        raise TextNotUnderstood(
            f"A fineness of {shortened(text)} ‰ is impossible; it lies between 0 and 1000 ‰."
        )
    return Fineness(ppb)


def fineness_from_text(text: str, *, decimal_mark: str = ".") -> Fineness:
    """Read a fineness as a person types it: `925`, `92.5 %`, `18 kt`, `300 g/t`.

    A bare number is ‰.

    Raises:
        TextNotUnderstood: when it is no fineness or lies outside 0 to 1000 ‰.
    """
    found = _NUMBER_THEN_UNIT.match(text.strip())
    if not found:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no fineness; type ‰, %, karat or g/t, such as 925 or 18 kt."
        )
    word = found[2].strip().lower()
    unit = _UNIT_WORDS.get(word, word)
    if unit not in _PPB_PER_UNIT:
        raise TextNotUnderstood(
            f"“{shortened(word)}” is no unit of fineness known here; use ‰, %, kt or g/t."
        )
    ppb = number_from_text(found[1], decimal_mark=decimal_mark) * _PPB_PER_UNIT[unit]
    if not 0 <= ppb <= WHOLE_PPB:
        raise TextNotUnderstood(
            f"A fineness of {shortened(text)} is impossible; it lies between nothing and pure."
        )
    return Fineness(int(ppb.to_integral_value()))


def typed_fineness(text: str, *, decimal_mark: str = ".") -> tuple[Fineness, Fineness | None]:
    """Read a fineness that a person types, with its ± where one is typed: `925 ± 0.5 ‰`.

    A unit written once holds for both numbers. A bare number up to 100 could be ‰, percent or
    karat, and is asked about; above that it can only be ‰.

    Raises:
        TextUnclear: when it could mean two things; `meant` tells them apart.
        TextNotUnderstood: when it is no fineness.
    """
    parts = [part.strip() for part in _DOUBT_SIGN.split(text.strip())]
    units = [_unit_typed(part) for part in parts]
    if len(parts) > 2 or (len(parts) == 2 and not all(parts)):
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no fineness with its ±; type it like 925 ± 0.5 ‰."
        )
    unit = next((one for one in reversed(units) if one), "")
    told = [
        part if own else f"{part} {unit}".strip() for part, own in zip(parts, units, strict=True)
    ]
    # What is no number at all is refused before anybody is asked what it is meant in.
    read = [fineness_from_text(one, decimal_mark=decimal_mark) for one in told]
    if not unit:
        _insist_on_a_unit(text.strip(), parts[0], decimal_mark)
    return read[0], read[1] if len(read) > 1 else None


def typed_part(text: str, *, decimal_mark: str = ".") -> Fineness:
    """Read a part or a grade as papers of terms have it: `85 %`, `2 ‰`, `30 g/t`; it is exact.

    Raises:
        TextUnclear: when a bare number could be ‰ or percent; nobody means karat there.
        TextNotUnderstood: when it is none, or has a ±.
    """
    try:
        part, doubt = typed_fineness(text, decimal_mark=decimal_mark)
    except TextUnclear as unclear:
        meant = [one for one in unclear.meant if not one.endswith("kt")]
        question = f"Is {shortened(text.strip())} meant as {' or '.join(meant)}?"
        raise TextUnclear(question, meant) from None
    if doubt is not None:
        raise TextNotUnderstood(f"“{shortened(text)}” has a ±; terms are exact, leave it out.")
    return part


def _unit_typed(part: str) -> str:
    found = _NUMBER_THEN_UNIT.match(part)
    return found[2].strip() if found else ""


def _insist_on_a_unit(text: str, number: str, decimal_mark: str) -> None:
    """Ask for the unit of a bare number that could be of several."""
    if not _NUMBER_THEN_UNIT.match(number):
        return
    value = number_from_text(number, decimal_mark=decimal_mark)
    if not 0 < value <= _LEAST_PLAIN_PERMILLE:
        return
    units = ["‰", "%"]
    if value == int(value) and _LEAST_KARAT <= value <= _MOST_KARAT:
        units.append("kt")
    meant = [f"{text} {unit}" for unit in units]
    raise TextUnclear(f"Is {shortened(text)} meant as {' or '.join(meant)}?", meant)
