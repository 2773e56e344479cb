"""Open text that a person may write: JSON read field by field, every fault told with its place."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Any, TypeVar

from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.numerals import shortened

T = TypeVar("T")
E = TypeVar("E", bound=Enum)
_DIGITS = re.compile(r"\d{1,6}\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class TextFault:
    """One thing that is wrong with a text.

    Attributes:
        row: which record of it, counted from 1; None for the text as a whole.
        column: the field, such as `metals, row 2, payable`; empty for the record as a whole.
        sentence: what is wrong and what to do.
    """

    row: int | None
    column: str
    sentence: str

    def sentence_with_place(self) -> str:
        """Give place and sentence in one line."""
        where = ", ".join(
            one for one in (f"sheet {self.row}" if self.row else "", self.column) if one
        )
        return f"{where[:1].upper()}{where[1:]}: {self.sentence}" if where else self.sentence


class OpenTextRefused(VaultError):
    """A text that holds nothing of its kind, or something that cannot be; nothing was taken of it.

    Attributes:
        faults: everything that is wrong with it.
    """

    def __init__(self, faults: Sequence[TextFault]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(one.sentence_with_place() for one in self.faults))


def records_of(text: str, kind: str, format_: int, name: str) -> list[object]:
    """Give the records of a text, none of them looked into yet.

    Args:
        text: JSON such as `{"terms sheets": 1, "sheets": [ … ]}`.
        kind: the word with which it begins, whose value is the number of the format.
        format_: the newest format known here.
        name: the word behind which the records stand.

    Raises:
        OpenTextRefused: when it holds no such records.
    """
    told = _json(text, kind)
    if not isinstance(told, dict) or kind not in told:
        raise _whole(f"This holds no {kind}; a file of them begins with {{“{kind}”: {format_}.")
    if told[kind] != str(format_):
        raise _whole(
            f"This was written by a newer version of this program ({kind} "
            f"{shortened(str(told[kind]))}, this one knows {format_}); install that one to read it."
        )
    records = told.get(name)
    if not isinstance(records, list):
        raise _whole(f"The {name} are missing; they stand in square brackets behind “{name}”.")
    return records


def _json(text: str, kind: str) -> object:
    try:
        return json.loads(
            text, parse_int=str, parse_float=str, parse_constant=str, object_pairs_hook=_once_each
        )
    except json.JSONDecodeError as error:
        raise _whole(
            f"Line {error.lineno}, sign {error.colno}: this is no JSON any more; look for a comma, "
            "a quotation mark or a bracket that is missing there."
        ) from None
    except RecursionError:
        raise _whole(f"This holds no {kind}: its brackets never come to an end.") from None


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Take the fields of one bracket; JSON alone would keep the last of two of one name."""
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise _whole(f"The field “{shortened(name)}” stands twice in one bracket; keep one.")
        found[name] = value
    return found


def _whole(sentence: str) -> OpenTextRefused:
    return OpenTextRefused([TextFault(None, "", sentence)])


class Table:
    """One bracket of fields: each is read, or told as a fault and taken as left out."""

    def __init__(
        self,
        told: object,
        names: Sequence[str],
        faults: list[TextFault],
        *,
        row: int,
        place: str = "",
    ) -> None:
        """Take a bracket in hand.

        Args:
            told: what JSON gave in its place.
            names: the fields that it can have.
            faults: where what is wrong is told.
            row: which record it belongs to, counted from 1.
            place: where in the record it stands, such as `metals, row 2`.
        """
        self._row, self._place, self._faults = row, place, faults
        self._told: dict[str, Any] = told if isinstance(told, dict) else {}
        self._has_fields = isinstance(told, dict)
        if not self._has_fields:
            self.fault("", "Fields are expected here, in curly brackets.")
        for name in self._told:
            if name not in names:
                self.fault(name, f"There is no field of this name; it can be {', '.join(names)}.")

    def fault(self, name: str, sentence: str) -> None:
        """Tell that a field is wrong."""
        column = ", ".join(one for one in (self._place, shortened(name)) if one)
        self._faults.append(TextFault(self._row, column, sentence))

    def text(self, name: str) -> str:
        """Give a field's words; empty where it is left out."""
        told = self._told.get(name, "")
        if isinstance(told, str):
            return told
        self.fault(name, "A text in quotation marks is expected here.")
        return ""

    def value(self, name: str, read: Callable[[str], T], otherwise: T) -> T:
        """Read a field; where it is empty or cannot be read, it is taken as `otherwise`."""
        text = self.text(name).strip()
        try:
            return read(text) if text else otherwise
        except VaultError as error:
            self.fault(name, str(error))
            return otherwise

    def needed(self, name: str, read: Callable[[str], T], otherwise: T) -> T:
        """Read a field that a sheet cannot do without."""
        told = self._told.get(name, "")
        if self._has_fields and isinstance(told, str) and not told.strip():
            self.fault(name, "This is missing; a sheet cannot do without it.")
        return self.value(name, read, otherwise)

    def inner(self, name: str, names: Sequence[str]) -> Table:
        """Give the bracket behind a name; one without fields where it is left out."""
        return self._within(self._told.get(name, {}), name, names)

    def rows(self, name: str, names: Sequence[str]) -> list[Table]:
        """Give the brackets of a list; none where it is left out."""
        told = self._told.get(name, [])
        if not isinstance(told, list):
            self.fault(name, "A list in square brackets is expected here.")
            return []
        return [self._within(one, f"{name}, row {at}", names) for at, one in enumerate(told, 1)]

    def _within(self, told: object, name: str, names: Sequence[str]) -> Table:
        place = f"{self._place}, {name}" if self._place else name
        return Table(told, names, self._faults, row=self._row, place=place)


def day(text: str) -> date:
    """Read a day as files have it: `2031-03-14`.

    Raises:
        TextNotUnderstood: when it is none.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no day; write it like 2031-03-14."
        ) from None


def whole_number(text: str) -> int:
    """Read a whole number of at most six digits.

    Raises:
        TextNotUnderstood: when it is none.
    """
    if not _DIGITS.match(text):
        raise TextNotUnderstood(f"“{shortened(text)}” is no whole number, such as 1 or 75.")
    return int(text)


def one_of(kind: type[E], text: str) -> E:
    """Read one of several words that stand for a thing.

    Raises:
        TextNotUnderstood: when it is none of them.
    """
    try:
        return kind(text)
    except ValueError:
        known = " or ".join(f"“{one.value}”" for one in kind)
        raise TextNotUnderstood(f"“{shortened(text)}” cannot stand here; it is {known}.") from None
