"""A pattern for a scale's lines, taught from one example: the line and the weight it shows.

A taught line is a row of pieces, as `scale_lines.tokens` cuts it. A line is read by the pattern
only when it has the same pieces in the same order: the same words (words of gross, net and tare
may stand for each other), any number where the weight stood, and any number where another stood.
Where the flag stood, the taught word means steady and every other word means not steady.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from vault.bench.scale_lines import (
    CONTENT_WORDS,
    NET_WORDS,
    TARE_WORDS,
    Kind,
    NotAWeight,
    Reading,
    Token,
    Unreadable,
    mass_of,
    read_line,
    tokens,
)
from vault.core.errors import TextNotUnderstood
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass
from vault.core.numerals import number_from_text, shortened

# Stands where a line leaves out its flag or its unit.
_LEFT_OUT = Token("left out", "", -1, -1)


@dataclass(frozen=True, slots=True)
class Profile:
    """How the lines of one scale are read.

    Attributes:
        pieces: the taught line in pieces: (kind, text); a sign before the weight is left out.
        number_at: which piece is the weight.
        unit: the unit of the weight.
        unit_at: which piece names the unit; None where the line names none.
        flag_at: which piece tells whether the weight stands still; None where none does.
        decimal_mark: point or comma.
        hidden_decimals: how many of the last digits are decimals where the line writes no mark.
        also: words that may stand in the place of a taught one: (piece, word).
    """

    pieces: tuple[tuple[str, str], ...]
    number_at: int
    unit: str
    unit_at: int | None = None
    flag_at: int | None = None
    decimal_mark: str = "."
    hidden_decimals: int = 0
    also: tuple[tuple[int, str], ...] = ()

    def read(self, line: str) -> Reading | Unreadable:
        """Read a line by this pattern."""
        try:
            return self._read(line)
        except NotAWeight as refused:
            return Unreadable(shortened(line), str(refused))

    def accepting(self, piece: int, word: str) -> Profile:
        """Give the pattern that also reads a line with another word in a place."""
        return replace(self, also=(*self.also, (piece, word)))

    def other_word(self, line: str) -> tuple[int, str] | None:
        """Give (piece, word) of the one word that alone keeps a line from being read, or None."""
        try:
            found = tokens(line)
        except NotAWeight:
            return None
        _, found = _without_sign(found, self.number_at)
        if len(found) != len(self.pieces) or found[self.number_at].kind != "number":
            return None
        strange = [(at, one.text) for at, one in enumerate(found) if not self._is_taught(at, one)]
        if len(strange) != 1 or strange[0][0] == self.unit_at:
            return None
        return strange[0] if isinstance(self.accepting(*strange[0]).read(line), Reading) else None

    def _is_taught(self, at: int, piece: Token) -> bool:
        try:
            self._told(at, piece)
        except NotAWeight:
            return False
        return True

    def in_words(self) -> str:
        """Say in a sentence what is read, and what means steady."""
        before = self._words(0, self.number_at)
        where = f"the number after “{before}”" if before else "the number at the beginning"
        mark = "a comma" if self.decimal_mark == "," else "a point"
        if self.hidden_decimals:
            mark = f"its last {self.hidden_decimals} digits as decimals"
        told = f"It reads {where}, in {self.unit}, with {mark}."
        if self.flag_at is None:
            return f"{told} Steady is what stays the same for a second."
        flag = self.pieces[self.flag_at][1]
        return f"{told} “{flag}” means steady; any other word there means not steady."

    def _words(self, start: int, end: int) -> str:
        return " ".join(text for _, text in self.pieces[start:end])

    def _read(self, line: str) -> Reading:
        found = tokens(line)
        beyond = self._beyond(line)
        if beyond is not None:
            return beyond
        certain = [one for one in found if one.kind != "doubt" or ("doubt", "?") in self.pieces]
        first_refusal = None
        for is_negative, aligned in self._alignments(certain):
            try:
                reading = self._read_aligned(aligned, is_negative=is_negative)
            except NotAWeight as refused:
                first_refusal = first_refusal or refused
            else:
                return reading if len(certain) == len(found) else replace(reading, steady=False)
        raise first_refusal or NotAWeight(
            "The line has other pieces than the one taught; teach this one as well."
        )

    def _read_aligned(self, found: list[Token], *, is_negative: bool) -> Reading:
        told = [self._told(at, one) for at, one in enumerate(found)]
        mass, said = self._mass(found[self.number_at].text, is_negative=is_negative)
        words = {word.upper() for word in told}
        steady = None
        if self.flag_at is not None:
            steady = found[self.flag_at].text == self.pieces[self.flag_at][1]
        if _LEFT_OUT in found:
            steady = False
        return Reading(
            kind=Kind.TARE if words & TARE_WORDS else Kind.WEIGHT,
            mass=mass,
            steady=steady,
            said=said,
            unit=self.unit,
            names_unit=self.unit_at is not None,
            is_net=bool(words & NET_WORDS),
        )

    def _alignments(self, found: list[Token]) -> Iterator[tuple[bool, list[Token]]]:
        """Give each way to lay the pieces of a line beside those of the taught one.

        Whether the weight is negative comes with it. Many scales leave the flag or the unit out
        for as long as the weight moves; such a line has a piece that says so in its place.
        """
        left_outs = [None, *(at for at in (self.flag_at, self.unit_at) if at is not None)]
        for left_out in left_outs:
            full = found
            if left_out is not None:
                # A sign before the weight shifts what stands behind it.
                signs = sum(one.kind == "sign" for one in found[: self.number_at + 1])
                at = left_out + (signs if left_out > self.number_at else 0)
                full = [*found[:at], _LEFT_OUT, *found[at:]]
            is_negative, full = _without_sign(full, self.number_at)
            if len(full) == len(self.pieces):
                yield is_negative, full

    def _beyond(self, line: str) -> Reading | None:
        """Read overload and underload, which have words of their own in any line."""
        known = read_line(line)
        if isinstance(known, Unreadable) or known.kind in {Kind.WEIGHT, Kind.TARE}:
            return None
        taught = read_line(" ".join(text for _, text in self.pieces))
        is_taught = isinstance(taught, Reading) and taught.kind is known.kind
        return None if is_taught else known

    def _told(self, at: int, piece: Token) -> str:
        """Give the word that a piece says, or refuse it where another was taught."""
        kind, text = self.pieces[at]
        if at in {self.number_at, self.flag_at}:
            if at == self.number_at and piece.kind != "number":
                raise NotAWeight("No number stands where the weight is wanted.")
            return ""
        if piece is _LEFT_OUT or (kind == "number" and piece.kind == "number"):
            return ""
        if piece.text == text or (at, piece.text) in self.also:
            return piece.text
        alike = {text.upper(), piece.text.upper()} <= CONTENT_WORDS
        if alike and at != self.unit_at:
            return piece.text
        if at == self.unit_at:
            raise NotAWeight(
                f"The unit reads “{shortened(piece.text)}” and not “{text}”; set the scale back."
            )
        raise NotAWeight(f"“{shortened(piece.text)}” stands where “{text}” was taught.")

    def _mass(self, text: str, *, is_negative: bool) -> tuple[Mass, str]:
        number = number_with_mark(text, self.decimal_mark, self.hidden_decimals)
        if number is None:
            raise NotAWeight(f"“{shortened(text)}” is no number of the kind that was taught.")
        signed = -number if is_negative else number
        mass = mass_of(signed, self.unit)
        if mass is None:
            raise NotAWeight("The weight is more than this book can hold; check the unit.")
        return mass, f"{signed:f}"


def to_words(profile: Profile) -> dict[str, object]:
    """Give a pattern as plain words and numbers, for a settings file."""
    return {
        "pieces": [list(one) for one in profile.pieces],
        "number_at": profile.number_at,
        "unit": profile.unit,
        "unit_at": profile.unit_at,
        "flag_at": profile.flag_at,
        "decimal_mark": profile.decimal_mark,
        "hidden_decimals": profile.hidden_decimals,
        "also": [list(one) for one in profile.also],
    }


def from_words(words: object) -> Profile | None:
    """Give the pattern that `to_words` wrote down; None where it is none."""
    if not isinstance(words, dict):
        return None
    try:
        made = Profile(
            pieces=tuple((str(kind), str(text)) for kind, text in words["pieces"]),
            number_at=int(words["number_at"]),
            unit=str(words["unit"]),
            unit_at=_place(words["unit_at"]),
            flag_at=_place(words["flag_at"]),
            decimal_mark=str(words["decimal_mark"]),
            hidden_decimals=int(words["hidden_decimals"]),
            also=tuple((int(at), str(word)) for at, word in words["also"]),
        )
    except (KeyError, TypeError, ValueError):
        return None
    places = {made.number_at, made.unit_at, made.flag_at} - {None}
    holds = all(place is not None and 0 <= place < len(made.pieces) for place in places)
    return made if holds and made.unit in MICROGRAMS_PER_UNIT else None


def _place(word: object) -> int | None:
    return word if isinstance(word, int) else None


def number_with_mark(text: str, mark: str, hidden_decimals: int) -> Decimal | None:
    """Give the number that a piece shows when its mark is this one, or None."""
    text = text.removesuffix(".")
    if hidden_decimals:
        return Decimal(text).scaleb(-hidden_decimals) if text.isdecimal() else None
    other = "," if mark == "." else "."
    if other in text and mark not in text:
        return None
    try:
        return number_from_text(text, decimal_mark=mark)
    except TextNotUnderstood:
        return None


def _without_sign(pieces: list[Token], number_at: int) -> tuple[bool, list[Token]]:
    """Take the sign before the weight out, so that lines with and without one are alike."""
    if number_at < len(pieces) and pieces[number_at].kind == "sign":
        is_negative = pieces[number_at].text != "+"
        return is_negative, [*pieces[:number_at], *pieces[number_at + 1 :]]
    return False, pieces
