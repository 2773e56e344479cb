"""What the small forms show of an item before something is recorded of it, and after.

Masses are whole micrograms. `None` is always "not known" and never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from vault.application.queries.answers.bench import ItemBrief
from vault.application.queries.answers.seals import SealFacts
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class WeighedBefore:
    """The last weighing of an item.

    Attributes:
        gross_ug, u_ug: what the scale said, and one standard uncertainty: the one said then, or
            what a scale of that range is good for.
        entry, day, by: who weighed it and when.
    """

    gross_ug: int
    u_ug: int
    entry: int
    day: date
    by: str


@dataclass(frozen=True, slots=True)
class WeightVerdict:
    """A new weight against the one before.

    Attributes:
        difference_ug: new less before.
        limit_ug: how far two weighings of an unchanged thing can lie apart.
        warning: a sentence where they lie further apart than that; empty otherwise.
    """

    difference_ug: int
    limit_ug: int
    warning: str = ""


@dataclass(frozen=True, slots=True)
class TakenFrom:
    """What a sample, or a part of something, was taken from; its composition is the same.

    Attributes:
        entry: the work that took it.
        wholes: what was divided or sampled.
        others: the other parts, on hand or not.
        words: a sentence on what that means for an assay of it.
    """

    entry: int
    wholes: tuple[str, ...]
    others: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """One item as a form wants it.

    Attributes:
        brief: the item in short.
        weighed: its last weighing, None where it was never weighed.
        taken_from: what it was taken from, None where it is no part of anything.
        cautions: of its form and of what is noted of it.
        seals: that keep it shut, its own first, then those of the containers around it.
    """

    brief: ItemBrief
    weighed: WeighedBefore | None
    taken_from: TakenFrom | None
    cautions: tuple[str, ...]
    seals: tuple[SealFacts, ...] = ()


@dataclass(frozen=True, slots=True)
class ContainerFacts:
    """A container: what lies in it, through all that lies in it in turn.

    Attributes:
        name: of the place.
        lies_in: the place that it lies in; empty where nobody said.
        tags: items on hand in it, in the order of their tags.
        places: containers in it.
        gross_ug: what its items weigh, as far as they were weighed; `not_weighed` were not.
        seal: that is on it, None where none is.
        cautions: of what lies in it.
    """

    name: str
    lies_in: str
    tags: tuple[str, ...]
    places: tuple[str, ...]
    gross_ug: int
    not_weighed: int
    seal: SealFacts | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Learnt:
    """What an entry taught of one item: a metal before and after.

    Attributes:
        before: None where nothing was told of the metal before.
    """

    tag: str
    metal: str
    before: Figure | None
    after: Figure


@dataclass(frozen=True, slots=True)
class RestOfDivide:
    """What is left of an item once some of its parts are weighed.

    Attributes:
        rest_ug: the rest, as worked out; None where the whole was never weighed.
        trouble: a sentence where the parts cannot be of this whole; empty otherwise.
    """

    rest_ug: int | None
    trouble: str = ""


KnownContents = Mapping[str, Mapping[str, Figure]]
