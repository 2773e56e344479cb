"""A line of text from a bench scale, read as a weight or refused with a reason.

Common shapes are recognised without asking: words of status, at most one sign, exactly one
number, a unit, and words of status again. Whatever does not fit wholly is refused, for a guess
would sooner or later be a wrong weight:

    S S     100.0023 g          ST,GS,+  123.45 g          US,NT,-0001.2kg
    N       123.45 g ?          +00123.45 g                123,45
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.masses import GREATEST_UG, MICROGRAMS_PER_UNIT, Mass
from vault.core.numerals import number_from_text, shortened

LONGEST_LINE = 120
# What frames a line on the wire and says nothing: white space, start and end of text, NUL.
_FRAME = " \t\r\n\x00\x02\x03\x04\x06"
_TOKEN = re.compile(
    r"(?P<number>[0-9]+(?:[.,][0-9]+)*(?:\.(?![0-9]))?|\.[0-9]+)"
    r"|(?P<bars>[-.]*-{3}[-.]*|_{3,}|\^{3,})"
    r"|(?P<sign>[+\-\u2212])"
    r"|(?P<word>[A-Za-z](?:\.?[A-Za-z])*\.?)"
    r"|(?P<doubt>\?)"
    r"|(?P<between>[\s;:]+|,(?![0-9])|(?<=[A-Za-z?]),)"
    r"|(?P<other>.)"
)

# Words that stand in such lines. Common practice of scale makers; there is no standard for them.
_STEADY = frozenset({"ST", "STABLE", "STEADY"})
_UNSTEADY = frozenset({"US", "D", "M", "MO", "MOTION", "UNSTABLE"})
_GROSS = frozenset({"GS", "G", "GROSS", "GW", "WT", "W", "WEIGHT", "WGT"})
NET_WORDS = frozenset({"NT", "N", "NET", "NW"})
TARE_WORDS = frozenset({"TR", "T", "TARE", "PT"})
CONTENT_WORDS = _GROSS | NET_WORDS | TARE_WORDS
_ZERO = frozenset({"Z", "ZERO"})
_OVER = frozenset({"OL", "OVER", "OVERLOAD"})
_UNDER = frozenset({"UL", "UNDER", "UNDERLOAD"})
_FAULT = frozenset({"ERR", "ERROR"})
# Once on its own this letter is a command's name on one scale and means steady on another.
_ECHO = "S"
_KNOWN = _STEADY | _UNSTEADY | CONTENT_WORDS | _ZERO | {_ECHO}

_UNITS = {
    "g": "g",
    "G": "g",
    "GRAM": "g",
    "KG": "kg",
    "MG": "mg",
    "OZT": "ozt",
    "TOZ": "ozt",
    "DWT": "dwt",
    "GN": "gr",
    "GRN": "gr",
    "GRAIN": "gr",
}
# A capital M before g is a thousand kilograms, so these two must be written one way throughout.
_EXACTLY = frozenset({"mg", "MG", "kg", "KG", "Kg", "g", "G"})
_TWO_UNITS = {
    "GR": "means grain on one scale and gram on another",
    "OZ": "means the troy ounce on one scale and the common ounce on another",
}
KNOWN_UNITS = "g, kg, mg, ozt, dwt or grain"


class Kind(Enum):
    """What a line tells of."""

    WEIGHT = "weight"
    TARE = "tare"
    OVERLOAD = "overload"
    UNDERLOAD = "underload"


@dataclass(frozen=True, slots=True)
class Reading:
    """What one line says.

    Attributes:
        kind: what it tells of.
        mass: the weight; None at overload and underload, which show none.
        steady: whether the line itself says that the weight stands still; None where it is silent.
        said: the number with the scale's own digits and a decimal point (`150.850`).
        unit: the unit of that number.
        names_unit: whether the line named the unit, or it was taken from the settings.
        is_net: whether the scale has taken a tare off.
    """

    kind: Kind
    mass: Mass | None = None
    steady: bool | None = None
    said: str = ""
    unit: str = ""
    names_unit: bool = False
    is_net: bool = False

    @property
    def step(self) -> Mass:
        """The value of the last digit shown."""
        decimals = len(self.said.partition(".")[2])
        size = MICROGRAMS_PER_UNIT[self.unit or "g"] * Decimal(1).scaleb(-decimals)
        return Mass(max(1, int(size.to_integral_value())))


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A line of which no weight is taken, and why, in a sentence.

    Attributes:
        line: the line, short and tame enough to be shown.
        reason: what is wrong and what to do.
    """

    line: str
    reason: str


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a line: `number`, `sign`, `word`, `doubt`, `bars` or `other`."""

    kind: str
    text: str
    start: int
    end: int


class NotAWeight(VaultError):
    """A line of which no weight can be taken; the sentence says why."""


def read_line(line: str, *, unit: str = "g") -> Reading | Unreadable:
    """Read a line of one of the common shapes.

    Args:
        line: what came, without or with its line end.
        unit: the unit meant where the line names none.
    """
    try:
        return _read(tokens(line), unit)
    except NotAWeight as refused:
        return Unreadable(shortened(line), str(refused))


def tokens(line: str) -> list[Token]:
    """Cut a line into its pieces, what stands between them left out.

    Raises:
        NotAWeight: when it is no text at all.
    """
    text = line.strip(_FRAME)
    if not text:
        raise NotAWeight("The line is empty.")
    if len(text) > LONGEST_LINE:
        raise NotAWeight("The line is too long for a weight; check the speed of the port.")
    if not text.replace("\t", " ").isprintable() or "\N{REPLACEMENT CHARACTER}" in text:
        raise NotAWeight(
            "Bytes came that are no text; check the speed and the framing of the port."
        )
    return [
        Token(found.lastgroup, found[0], found.start(), found.end())
        for found in _TOKEN.finditer(text)
        if found.lastgroup is not None and found.lastgroup != "between"
    ]


def mass_of(number: Decimal, unit: str) -> Mass | None:
    """Give a number of units as a mass, or None where it is more than the book holds."""
    micrograms = number * MICROGRAMS_PER_UNIT[unit]
    if abs(micrograms) > GREATEST_UG:
        return None
    return Mass(int(micrograms.to_integral_value()))


def unit_named(word: str) -> str | None:
    """Give the unit that a word on a scale means beyond doubt, or None."""
    upper = word.rstrip(".").upper()
    if upper in {"MG", "KG", "G"} and word.rstrip(".") not in _EXACTLY:
        return None
    return _UNITS.get(upper)


def why_not_a_unit(word: str) -> str:
    """Say why a word is not taken for a unit, and what to do."""
    twice = _TWO_UNITS.get(word.rstrip(".").upper())
    if twice:
        return f"“{word}” {twice}; teach the program what it means on this scale."
    return (
        f"“{shortened(word)}” is no unit known here; set the scale to {KNOWN_UNITS}, or teach the "
        "program this line."
    )


def steadiness(words: list[str], *, in_doubt: bool = False) -> bool | None:
    """Tell what the words of a line say of the weight standing still; None if nothing."""
    if in_doubt or any(word in _UNSTEADY for word in words):
        return False
    if any(word in _STEADY for word in words) or words.count(_ECHO) > 1:
        return True
    return None


def _read(pieces: list[Token], unit: str) -> Reading:
    words = [_word(one) for one in pieces if one.kind == "word"]
    beyond = _beyond(pieces, words)
    if beyond is not None:
        return Reading(beyond)
    if any(word in _FAULT for word in words):
        raise NotAWeight("The scale tells of a fault; look at its display.")
    at = _place_of_number(pieces)
    before, behind = pieces[:at], pieces[at + 1 :]
    is_negative = bool(before) and before[-1].kind == "sign" and before[-1].text != "+"
    if before and before[-1].kind == "sign":
        before = before[:-1]
    named, behind = _unit_behind(behind)
    told = [_status(one, before=True) for one in before if one.kind != "doubt"]
    told += [_status(one, before=False) for one in behind if one.kind != "doubt"]
    doubt = any(one.kind == "doubt" for one in (*before, *behind))
    number = _number(pieces[at].text)
    mass = mass_of(-number if is_negative else number, named or unit)
    if mass is None:
        raise NotAWeight("The weight is more than this book can hold; check the unit.")
    if any(word in _ZERO for word in told) and mass.micrograms != 0:
        raise NotAWeight("The line says zero and shows a weight; teach the program this line.")
    return Reading(
        kind=Kind.TARE if any(word in TARE_WORDS for word in told) else Kind.WEIGHT,
        mass=mass,
        steady=steadiness(told, in_doubt=doubt),
        said=f"{'-' if mass.micrograms < 0 else ''}{number:f}",
        unit=named or unit,
        names_unit=bool(named),
        is_net=any(word in NET_WORDS for word in told),
    )


def _word(piece: Token) -> str:
    return piece.text.replace(".", "").upper()


def _beyond(pieces: list[Token], words: list[str]) -> Kind | None:
    """Tell whether the scale says that it has too much on it, or less than nothing."""
    numbers = any(one.kind == "number" for one in pieces)
    bars = [one.text for one in pieces if one.kind == "bars"]
    if any(word in _UNDER or re.fullmatch("L{3,}", word) for word in words):
        return Kind.UNDERLOAD
    if any(word in _OVER or re.fullmatch("H{3,}", word) for word in words):
        return Kind.OVERLOAD
    if bars:
        return Kind.UNDERLOAD if bars[0].startswith("_") else Kind.OVERLOAD
    signs = [one.text for one in pieces if one.kind == "sign"]
    if not numbers and words == [_ECHO] and len(pieces) == 2 and signs:
        return Kind.OVERLOAD if signs == ["+"] else Kind.UNDERLOAD
    return None


def _place_of_number(pieces: list[Token]) -> int:
    strange = next((one for one in pieces if one.kind == "other"), None)
    if strange is not None:
        raise NotAWeight(
            f"“{shortened(strange.text)}” stands in the line, which no shape known here has; "
            "teach the program this line."
        )
    places = [at for at, one in enumerate(pieces) if one.kind == "number"]
    if not places:
        raise NotAWeight("No weight stands in the line.")
    if len(places) > 1:
        raise NotAWeight("More than one number stands in the line; teach the program which it is.")
    signs = [at for at, one in enumerate(pieces) if one.kind == "sign"]
    if signs and signs != [places[0] - 1]:
        raise NotAWeight("A sign stands where none belongs.")
    return places[0]


def _unit_behind(behind: list[Token]) -> tuple[str, list[Token]]:
    """Give the unit, if the next piece is one, and the pieces after it."""
    if not behind or behind[0].kind != "word":
        return "", behind
    word = behind[0].text
    named = unit_named(word)
    if named is not None:
        return named, behind[1:]
    if _word(behind[0]) in _KNOWN - {"T"} and word.isupper():
        return "", behind
    raise NotAWeight(why_not_a_unit(word))


def _status(piece: Token, *, before: bool) -> str:
    word = _word(piece)
    # One small letter is rather a unit in a strange place than a word of status.
    if word in _KNOWN and (len(word) > 1 or piece.text.rstrip(".").isupper()):
        return word
    if not before or unit_named(piece.text) is None:
        raise NotAWeight(
            f"“{shortened(piece.text)}” is not known here; teach the program this line."
        )
    raise NotAWeight("The unit stands before the number; teach the program this line.")


def _number(text: str) -> Decimal:
    try:
        return number_from_text(text.removesuffix("."))
    except TextNotUnderstood:
        raise NotAWeight(
            f"“{shortened(text)}” could mean two numbers; teach the program this line."
        ) from None
