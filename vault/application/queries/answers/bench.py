"""What forms of the bench propose and show: known names, items by their tags, works done lately.

Masses are whole micrograms. `None` is always "not known" and never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from vault.core.daybook import Process, Said
from vault.core.items import State
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class KnownThing:
    """A thing that is put into works and is no item: flux, lead, a new cupel.

    Attributes:
        name: what it is called.
        times: how often it was added lately.
        gross_ug: what was added the last time, None where that was not weighed.
        contents, how: the metal that it carried the last time, and how that was known.
    """

    name: str
    times: int = 0
    gross_ug: int | None = None
    contents: tuple[Said, ...] = ()
    how: str = ""


@dataclass(frozen=True, slots=True)
class KnownNames:
    """Names that the book knows, each list with what is used most first.

    Attributes:
        parties: customers and refineries.
        places: where things lie.
        forms: what items can be; those of the trade that were never used here come last.
        added: things added to works.
        place_of: where things of a form were put the last time they were made.
    """

    parties: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    added: tuple[KnownThing, ...] = ()
    place_of: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ItemBrief:
    """One item in short, as a line of a form shows it.

    Attributes:
        lots: the lots that most of its metal came from; `more_lots` is how many more.
        contents: fine metal by symbol.
        hold_until: the day before which it is neither worked, sent nor sold; None where it is not
            held any more.
        trouble: why nothing can be done with it, as a sentence; empty where it is on hand.
    """

    tag: str
    form: str
    gross_ug: int | None
    gross_u_ug: int | None
    contents: Mapping[str, Figure]
    lots: tuple[str, ...]
    more_lots: int
    party: str
    place: str
    state: State
    made_on: date
    is_residue: bool
    hold_until: date | None = None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ContainerBrief:
    """Everything of one form that lies in a container.

    Attributes:
        brief: all of it as if it were one thing with the name of the container; its weight is
            there where everything in it was weighed.
        tags: of all of it.
        not_weighed: how many of it were never weighed.
    """

    brief: ItemBrief
    tags: tuple[str, ...]
    not_weighed: int


@dataclass(frozen=True, slots=True)
class RecentWork:
    """One work done lately.

    Attributes:
        number: of its entry.
        day, at: when it was done; `at` in the shop's own time, None where only the day is known.
        used: tags of what went in.
        added: names of what was added.
        made: tag and form of what came out.
        in_ug, out_ug: what went in and was added, and what came out, as far as it was weighed.
        not_weighed: how many of all these were not.
        lost: per metal what the balance leaves over, that of which most went in first.
    """

    number: int
    day: date
    at: datetime | None
    by: str
    process: Process
    used: tuple[str, ...]
    added: tuple[str, ...]
    made: tuple[tuple[str, str], ...]
    in_ug: int
    out_ug: int
    not_weighed: int
    lost: Mapping[str, Figure]
