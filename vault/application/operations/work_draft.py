"""A work that is not recorded yet, as it stands in the form: perhaps half filled, never an error.

Plain values of `core` throughout, so that a draft can be shown, previewed, kept over a crash and
recorded. What is empty or None has not been filled in yet.
"""

from __future__ import annotations

from dataclasses import dataclass

from vault.core.daybook import Process, Said, When
from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class PartTaken:
    """What is taken of an item, by dividing it first: the part goes in, the rest stays.

    Attributes:
        tag, gross, gross_u: of the part, an item of its own from then on.
        rest_tag, rest_gross, rest_place: of what stays; the place is that of the whole where empty.
    """

    tag: str = ""
    gross: Mass | None = None
    gross_u: Mass | None = None
    rest_tag: str = ""
    rest_gross: Mass | None = None
    rest_place: str = ""


@dataclass(frozen=True, slots=True)
class UsedThing:
    """An item that goes in, whole or in part, or all of one form that lies in a container.

    Attributes:
        tag: of the item on hand, or the name of the container.
        form: its form in the book, wanted where it is divided and for a container.
        part: what is taken of it; None where the whole goes in.
        held: of a container, the tags of all that goes in; empty for an item.
    """

    tag: str = ""
    form: str = ""
    part: PartTaken | None = None
    held: tuple[str, ...] = ()

    @property
    def going_in(self) -> tuple[str, ...]:
        """The tags under which it goes into the work."""
        if self.held:
            return self.held
        return (self.tag if self.part is None else self.part.tag,)


@dataclass(frozen=True, slots=True)
class AddedThing:
    """A thing put in that is no item: flux, lead, a new cupel, silver for inquarting.

    Attributes:
        form: what it is ("lead", "borax", "magnesia cupel").
        gross, gross_u: its weight.
        contents, how: metal that it carries, and how that is known.
        scale: the scale it was weighed on; empty where typed by hand.
        steady: whether the scale stood still.
    """

    form: str = ""
    gross: Mass | None = None
    gross_u: Mass | None = None
    contents: tuple[Said, ...] = ()
    how: str = ""
    note: str = ""
    scale: str = ""
    steady: bool = True


@dataclass(frozen=True, slots=True)
class MadeThing:
    """An item that comes out.

    Attributes:
        tag, form, place, note: as they will stand in the book.
        gross, gross_u: its weight, None where it is not weighed; `gross` is net of `tare`.
        tare: what its bag or vessel weighs.
        contents, how: what is declared of it, where anything is.
        scale: the scale it was weighed on; empty where typed by hand.
        steady: whether the scale stood still.
    """

    tag: str = ""
    form: str = ""
    gross: Mass | None = None
    gross_u: Mass | None = None
    tare: Mass | None = None
    contents: tuple[Said, ...] = ()
    how: str = ""
    place: str = ""
    note: str = ""
    scale: str = ""
    steady: bool = True


@dataclass(frozen=True, slots=True)
class WorkDraft:
    """A work as far as it is filled in.

    Attributes:
        process: what is done; None until it is chosen.
        used, added, made: what goes in and comes out, in the order of the form.
        furnace: heat and time in words ("965 °C, 85 min").
        note: anything.
        when: when it happened; the present moment where None.
    """

    process: Process | None = None
    used: tuple[UsedThing, ...] = ()
    added: tuple[AddedThing, ...] = ()
    made: tuple[MadeThing, ...] = ()
    furnace: str = ""
    note: str = ""
    when: When | None = None
