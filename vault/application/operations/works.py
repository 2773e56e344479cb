"""From a filled-in work to the entries that record it."""

from __future__ import annotations

from vault.application.operations.recording import Draft
from vault.application.operations.work_draft import (
    AddedThing,
    MadeThing,
    PartTaken,
    UsedThing,
    WorkDraft,
)
from vault.core.daybook import Act, Line, Process, Role
from vault.core.knowledge import DECLARED


def drafts_of(work: WorkDraft, *, by: str = "") -> tuple[Draft, ...]:
    """Give the entries of a work in order: a divide for each item used in part, then the work.

    A draft that is not filled in enough gives entries that the book refuses.
    """
    divides = [
        Draft(
            Act.WORK,
            _divide(one, one.part),
            process=Process.DIVIDE,
            when=work.when,
            by=by,
        )
        for one in work.used
        if one.part is not None
    ]
    going_in = [tag for one in work.used for tag in one.going_in]
    lines = [
        Line(Role.USED, tag=tag)
        if place
        else Line(Role.USED, tag=tag, note=work.note, furnace=work.furnace)
        for place, tag in enumerate(going_in)
    ]
    lines += [added_line(one) for one in work.added]
    lines += [made_line(one) for one in work.made]
    done = Draft(Act.WORK, tuple(lines), process=work.process, when=work.when, by=by)
    return (*divides, done)


def _divide(whole: UsedThing, part: PartTaken) -> tuple[Line, ...]:
    return (
        Line(Role.USED, tag=whole.tag),
        Line(Role.MADE, tag=part.tag, form=whole.form, gross=part.gross, gross_u=part.gross_u),
        Line(
            Role.MADE,
            tag=part.rest_tag,
            form=whole.form,
            gross=part.rest_gross,
            place=part.rest_place,
        ),
    )


def added_line(thing: AddedThing) -> Line:
    """Give the line of a thing put in."""
    return Line(
        Role.ADDED,
        form=thing.form,
        gross=thing.gross,
        gross_u=thing.gross_u,
        contents=thing.contents,
        how=_how(thing),
        note=thing.note,
        scale=thing.scale,
    )


def made_line(thing: MadeThing) -> Line:
    """Give the line of a thing that comes out."""
    return Line(
        Role.MADE,
        tag=thing.tag,
        form=thing.form,
        place=thing.place,
        gross=thing.gross,
        gross_u=thing.gross_u,
        contents=thing.contents,
        how=_how(thing),
        note=thing.note,
        tare=thing.tare,
        scale=thing.scale,
    )


def _how(thing: AddedThing | MadeThing) -> str:
    """Give how contents are known; a word about contents that are not given says nothing."""
    return (thing.how or DECLARED) if thing.contents else ""
