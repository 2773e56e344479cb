"""Teaching: a pattern made from one line and what the display showed, and what must be asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from vault.bench.scale_lines import NotAWeight, Reading, Token, Unreadable, tokens, unit_named
from vault.bench.scale_profiles import Profile, number_with_mark
from vault.core.errors import TextNotUnderstood
from vault.core.masses import MICROGRAMS_PER_UNIT
from vault.core.numerals import number_from_text

# Words of units that a user may not call by another name; each would make a wrong weight.
_OTHER_UNITS = frozenset({"lb", "lbs", "ct", "t", "tl", "mom", "pcs", "n"})
_FREE_UNITS = {"gr": {"g", "gr"}, "oz": {"ozt"}}
_MOST_HIDDEN_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class Question:
    """What the user must say before a pattern can be made; answers are by their place.

    Attributes:
        about: `number` or `flag`.
        words: the question.
        options: (piece, words) of each answer; the piece is None for "none of them".
    """

    about: str
    words: str
    options: tuple[tuple[int | None, str], ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What a pattern makes of lines.

    Attributes:
        readings: each line with what it says, in order.
        refused: lines that it does not read, each with the reason.
    """

    readings: tuple[tuple[str, Reading], ...]
    refused: tuple[Unreadable, ...]


# The answer that was not given yet, as None is an answer.
_OPEN = -1


def teach(
    line: str, shows: str, *, number_at: int | None = None, flag_at: int | None = _OPEN
) -> Profile | Question:
    """Make a pattern from a line and the weight that the scale showed with it.

    Args:
        line: the line as it came.
        shows: what the scale's display said, with its unit: `123.45 g`.
        number_at: the answer to a question about the number.
        flag_at: the answer to the question about the flag; None where no word tells.

    Raises:
        TextNotUnderstood: when line and weight do not go together, in a sentence.
    """
    try:
        pieces = tokens(line)
    except NotAWeight as refused:
        raise TextNotUnderstood(str(refused)) from None
    value, unit = _shown(shows)
    ways = _ways(pieces, value)
    if not ways:
        held = ", ".join(one.text for one in pieces if one.kind == "number") or "no number"
        raise TextNotUnderstood(
            f"The line does not show {shows.strip()}; it holds {held}. Type what the display "
            "showed with that very line."
        )
    places = list(dict.fromkeys(way.at for way in ways))
    if number_at is None and len(places) > 1:
        options = tuple((at, _place_words(pieces, at)) for at in places)
        return Question("number", "Which of these numbers is the weight?", options)
    way = next((one for one in ways if number_at in {None, one.at}), ways[0])
    made = _made(pieces, way, unit)
    words = _may_be_flags(made)
    if flag_at == _OPEN and words:
        flags: list[tuple[int | None, str]] = [(at, f"“{text}”") for at, text in words]
        flags.append((None, "none of them"))
        return Question("flag", "Which of these says that the weight stands still?", tuple(flags))
    return replace(made, flag_at=None if flag_at == _OPEN else flag_at)


def prove(profile: Profile, lines: list[str]) -> Proof:
    """Read lines by a pattern, to see what it makes of them before it is trusted."""
    told = [(line, profile.read(line)) for line in lines]
    return Proof(
        tuple((line, one) for line, one in told if isinstance(one, Reading)),
        tuple(one for _, one in told if isinstance(one, Unreadable)),
    )


@dataclass(frozen=True, slots=True)
class _Way:
    at: int
    decimal_mark: str
    hidden_decimals: int


def _shown(shows: str) -> tuple[Decimal, str]:
    """Give number and unit of what the user says the display showed."""
    text = shows.strip().replace("\u2212", "-")
    cut = next((at for at, sign in enumerate(text) if sign.isalpha()), len(text))
    word = text[cut:].strip()
    unit = unit_named(word) or (word if word in MICROGRAMS_PER_UNIT else "")
    if not unit:
        raise TextNotUnderstood("Type the weight with its unit, as the display showed it: 123.45 g")
    value = number_from_text(text[:cut], decimal_mark="," if _has_lone_comma(text[:cut]) else ".")
    if value == 0:
        raise TextNotUnderstood(
            "Put something on the scale first: a line that shows nothing does not tell where the "
            "weight stands in it."
        )
    return abs(value), unit


def _has_lone_comma(text: str) -> bool:
    return text.count(",") == 1 and "." not in text


def _ways(pieces: list[Token], value: Decimal) -> list[_Way]:
    """Give every way in which the line shows the number, the plainest for each place."""
    ways = []
    for at, piece in enumerate(pieces):
        if piece.kind != "number":
            continue
        for mark in (".", ","):
            if number_with_mark(piece.text, mark, 0) == value:
                ways.append(_Way(at, mark, 0))
                break
        else:
            hidden = range(1, _MOST_HIDDEN_DECIMALS + 1)
            fitting = [one for one in hidden if number_with_mark(piece.text, ".", one) == value]
            ways += [_Way(at, ".", one) for one in fitting]
    return ways


def _made(pieces: list[Token], way: _Way, unit: str) -> Profile:
    """Make the pattern; the unit is the word behind the weight, if it can be one."""
    at = way.at
    if at and pieces[at - 1].kind == "sign":
        pieces = [*pieces[: at - 1], *pieces[at:]]
        at -= 1
    unit_at = None
    if at + 1 < len(pieces) and pieces[at + 1].kind == "word":
        word = pieces[at + 1].text
        if _may_mean(word, unit):
            unit_at = at + 1
    return Profile(
        pieces=tuple((one.kind, one.text) for one in pieces),
        number_at=at,
        unit=unit,
        unit_at=unit_at,
        decimal_mark=way.decimal_mark,
        hidden_decimals=way.hidden_decimals,
    )


def _may_mean(word: str, unit: str) -> bool:
    """Tell whether the word behind the weight is its unit; refuse one that is another's."""
    bare = word.rstrip(".")
    sure = unit_named(bare)
    allowed = _FREE_UNITS.get(bare.lower())
    if sure == unit or (allowed and unit in allowed):
        return True
    if sure or allowed or bare.lower() in _OTHER_UNITS:
        raise TextNotUnderstood(
            f"The line says “{word}” and you say {unit}. Look at the display again, or set the "
            "scale to another unit."
        )
    return False


def _may_be_flags(profile: Profile) -> list[tuple[int, str]]:
    known = {profile.number_at, profile.unit_at}
    return [
        (at, text)
        for at, (kind, text) in enumerate(profile.pieces)
        if at not in known and kind in {"word", "doubt", "other"}
    ]


def _place_words(pieces: list[Token], at: int) -> str:
    around = " ".join(one.text for one in pieces[max(0, at - 1) : at + 2])
    return f"the one in “{around}”"
