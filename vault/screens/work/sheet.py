"""A work as it is typed: the words of every field, as a draft keeps them over a crash."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field


@dataclass(frozen=True, slots=True)
class WeightSheet:
    """A weight as it stands in its field.

    Attributes:
        text: as it was typed, or as the scale showed it.
        scale: the scale that it was read on, empty where it was typed.
        exact, u: in that case the weight and its standard uncertainty in grams.
    """

    text: str = ""
    scale: str = ""
    exact: str = ""
    u: str = ""

    def __bool__(self) -> bool:
        return bool(self.text)


@dataclass(frozen=True, slots=True)
class UsedSheet:
    """An item that goes in; of a part the weights of it and of the rest.

    With a form it is all of that form in the container of this name.
    """

    tag: str
    form: str = ""
    is_part: bool = False
    part_weight: WeightSheet = WeightSheet()
    rest_weight: WeightSheet = WeightSheet()


@dataclass(frozen=True, slots=True)
class AddedSheet:
    """A thing that is added; one that was only proposed counts once it has a weight."""

    name: str = ""
    weight: WeightSheet = WeightSheet()
    contents: tuple[tuple[str, str], ...] = ()
    is_proposed: bool = False


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """A thing that comes out; the tag is empty where it is the one proposed."""

    form: str = ""
    weight: WeightSheet = WeightSheet()
    tag: str = ""
    place: str = ""
    looks: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole form.

    Attributes:
        process: its word, empty until one is chosen.
        key: of the one action that records it, so that a retry records it once.
    """

    process: str = ""
    used: tuple[UsedSheet, ...] = ()
    added: tuple[AddedSheet, ...] = ()
    made: tuple[MadeSheet, ...] = ()
    heat: str = ""
    time: str = ""
    when: str = ""
    note: str = ""
    key: str = field(default_factory=lambda: uuid.uuid4().hex)

    @property
    def is_blank(self) -> bool:
        """Whether nothing was entered that would be missed."""
        typed = [self.heat, self.time, self.when, self.note]
        weighed = [one.weight for one in self.added] + [one.weight for one in self.made]
        return not (self.used or any(typed) or any(weighed))

    def content(self) -> dict[str, object]:
        """Give it as a draft keeps it."""
        return asdict(self)


def sheet_from(content: Mapping[str, object]) -> Sheet:
    """Give the sheet that a draft kept; what it does not say, or says in other terms, is empty."""
    blank = Sheet()
    return Sheet(
        process=_word(content, "process"),
        used=tuple(
            UsedSheet(
                tag=_word(one, "tag"),
                form=_word(one, "form"),
                is_part=one.get("is_part") is True,
                part_weight=_weight(one, "part_weight"),
                rest_weight=_weight(one, "rest_weight"),
            )
            for one in _rows(content, "used")
        ),
        added=tuple(
            AddedSheet(
                name=_word(one, "name"),
                weight=_weight(one, "weight"),
                contents=_pairs(one, "contents"),
                is_proposed=one.get("is_proposed") is True,
            )
            for one in _rows(content, "added")
        ),
        made=tuple(
            MadeSheet(
                form=_word(one, "form"),
                weight=_weight(one, "weight"),
                tag=_word(one, "tag"),
                place=_word(one, "place"),
                looks=tuple(str(look) for look in _list(one, "looks")),
                note=_word(one, "note"),
            )
            for one in _rows(content, "made")
        ),
        heat=_word(content, "heat"),
        time=_word(content, "time"),
        when=_word(content, "when"),
        note=_word(content, "note"),
        key=_word(content, "key") or blank.key,
    )


def _word(told: Mapping[str, object], name: str) -> str:
    value = told.get(name, "")
    return value if isinstance(value, str) else ""


def _weight(told: Mapping[str, object], name: str) -> WeightSheet:
    value = told.get(name)
    if not isinstance(value, Mapping):
        return WeightSheet()
    return WeightSheet(*(_word(value, part) for part in ("text", "scale", "exact", "u")))


def _list(told: Mapping[str, object], name: str) -> list[object]:
    value = told.get(name, ())
    return list(value) if isinstance(value, list | tuple) else []


def _rows(told: Mapping[str, object], name: str) -> list[Mapping[str, object]]:
    return [one for one in _list(told, name) if isinstance(one, Mapping)]


def _pairs(told: Mapping[str, object], name: str) -> tuple[tuple[str, str], ...]:
    pairs = [one for one in _list(told, name) if isinstance(one, list | tuple) and len(one) == 2]
    return tuple((str(one[0]), str(one[1])) for one in pairs)
