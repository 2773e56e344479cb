"""A work that is not recorded yet, looked at in its book: what the rules say, what it would give.

Drafts may be half filled. What the rules judge is the draft as it stands; what is foreseen is as
much of it as can be told already, with names of its own for what has none yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from vault.application.book import Book
from vault.application.operations.work_draft import (
    AddedThing,
    MadeThing,
    PartTaken,
    WorkDraft,
)
from vault.application.operations.works import added_line, drafts_of, made_line
from vault.application.queries.work_wholes import (
    as_one,
    figures_with,
    tags_of,
    weighed_g,
    wholes_of,
)
from vault.core.daybook import Act, Entry, Line, Process, Role, When
from vault.core.errors import Fault
from vault.core.fineness import WHOLE_PPB
from vault.core.forms import is_residue
from vault.core.items import Item
from vault.core.masses import Mass
from vault.core.metals import BY_SYMBOL
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.reckoning.draft_balance import Known
from vault.reckoning.foresight import Foresight, foresee, known_from_figures
from vault.reckoning.guesses import COLD
from vault.store.bench import ids_of_tags
from vault.store.entries import last_number, shop_for
from vault.store.figures import contents_of, figures_state
from vault.store.lists import items_of


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """A draft as it looks in its book.

    Attributes:
        draft: what is filled in.
        items: the items that go in, as the book has them, by tag; all that goes in of a container
            as one thing, by its name.
        faults: what the rules say, each with the position of its entry: divides come first.
        known: what the figures say of the items.
        foresight: what the work would give.
        going_in: for each of `draft.used` the tag under which it is foreseen, empty where the book
            knows no such item.
        made: for each of `draft.made` the tag under which it is foreseen, empty where it is not.
        figures_of: the entry up to which the figures stand, None where there are none.
        last_entry: the last entry of the book.
    """

    draft: WorkDraft
    items: Mapping[str, Item]
    faults: tuple[tuple[int, Fault], ...]
    known: Known
    foresight: Foresight
    going_in: tuple[str, ...]
    made: tuple[str, ...]
    figures_of: int | None
    last_entry: int

    @property
    def on_hand(self) -> tuple[Item, ...]:
        """The items that go in, in the order of the form."""
        return tuple(
            self.items[one.tag] for one in self.draft.used if self.items.get(one.tag) is not None
        )

    @property
    def not_in_figures(self) -> tuple[str, ...]:
        """The items that go in of which something was said after the figures."""
        entry = self.figures_of or 0
        return tuple(item.tag for item in self.on_hand if max(item.mentions, default=0) > entry)


def look_at(book: Book, draft: WorkDraft) -> Looked:
    """Look at a draft in its book; a draft is never an error."""
    moment = book.clock()
    when = draft.when or When(moment.astimezone(book.zone).date(), moment)
    reckoned = book.reckoned
    with book.file.reading() as connection:
        last = last_number(connection)
        entries = [
            Entry(last + 1 + at, when, one.by or book.operator, one.act, one.lines, one.process)
            for at, one in enumerate(drafts_of(draft))
        ]
        lines = tuple(line for entry in entries for line in entry.lines)
        shop = shop_for(connection, replace(entries[-1], lines=lines))
        wholes = wholes_of(draft, shop)
        tags = dict.fromkeys(
            one.tag for one in draft.used if not one.held and one.tag in shop.items
        )
        items = {tag: shop.items[tag].copy() for tag in tags}
        items |= {name: as_one(name, held) for name, held in wholes.items()}
        if reckoned is not None:
            figures_of: int | None = reckoned.entry
            known = reckoned.known(tuple(tags), tags_of(wholes))
        else:
            state = figures_state(connection)
            figures_of = None if state is None else state.entry
            figures = {}
            if state is not None:
                wanted = [*tags, *(item.tag for held in wholes.values() for item in held)]
                listed = items_of(connection, ids_of_tags(connection, wanted))
                contents = contents_of(connection, [one.id for one in listed])
                told = {one.tag: contents.get(one.id, {}) for one in listed}
                figures = figures_with(told, tags, wholes)
            known = known_from_figures(figures_of or 0, figures, _gross_of(items.values()))
    faults = tuple(_faults(entries, shop))
    named = _Named(draft, items, last, when)
    return Looked(
        draft=draft,
        items=items,
        faults=faults,
        known=known,
        foresight=foresee(known, items.values(), named.entries),
        going_in=named.going_in,
        made=named.made,
        figures_of=figures_of,
        last_entry=last,
    )


def _gross_of(items: Iterable[Item]) -> dict[str, tuple[float, float]]:
    return {
        item.tag: weighed_g(item.gross, item.gross_u) for item in items if item.gross is not None
    }


def _faults(entries: Sequence[Entry], shop: Shop) -> Iterator[tuple[int, Fault]]:
    """Judge entries one after another, each in the shop that those before it leave."""
    for at, entry in enumerate(entries):
        found = faults_of(entry, shop)
        yield from ((at, fault) for fault in found)
        if found:
            return
        shop.take(entry)


class _Named:
    """A draft with a name for everything, and with only what can be true of it.

    Attributes:
        going_in, made: by line of the draft the tag it is foreseen under, empty where it is not.
        entries: what is foreseen: divides, then the work.
    """

    def __init__(self, draft: WorkDraft, items: Mapping[str, Item], last: int, when: When) -> None:
        divides: list[tuple[Line, ...]] = []
        going_in: list[str] = []
        for at, one in enumerate(draft.used):
            if one.tag not in items or one.tag in [line.tag for some in divides for line in some]:
                going_in.append("")
            elif one.part is None:
                going_in.append("" if one.tag in going_in else one.tag)
            else:
                part = _name("part", at)
                divides.append(_divided(items[one.tag], one.part, part, _name("rest", at)))
                going_in.append(part)
        self.going_in = tuple(going_in)
        self.made = tuple(
            _name("made", at) if _comes_out(draft, one) else "" for at, one in enumerate(draft.made)
        )
        work = tuple(_lines(draft, self.going_in, self.made))
        whole = [(lines, Process.DIVIDE) for lines in divides]
        whole.append((work, draft.process or Process.OTHER))
        self.entries = [
            Entry(last + 1 + at, when, "", Act.WORK, lines, process)
            for at, (lines, process) in enumerate(whole)
        ]


def _name(what: str, at: int) -> str:
    """Give a tag that no book can hold."""
    return f"\x00{what} {at}"


def _comes_out(draft: WorkDraft, one: MadeThing) -> bool:
    """Tell whether a thing can be foreseen to come out yet.

    As long as fire leaves nothing but residues, the metal is only not entered yet.
    """
    if draft.process is None or not (one.tag or one.form or one.gross is not None):
        return False
    aims = any(not is_residue(thing.form) for thing in draft.made if thing.form or thing.tag)
    return aims or draft.process in COLD


def _divided(whole: Item, part: PartTaken, tag: str, rest: str) -> tuple[Line, ...]:
    return (
        Line(Role.USED, tag=whole.tag),
        Line(Role.MADE, tag=tag, form=whole.form, gross=_sound(part.gross), gross_u=part.gross_u),
        Line(Role.MADE, tag=rest, form=whole.form, gross=_sound(part.rest_gross)),
    )


def _lines(draft: WorkDraft, going_in: Sequence[str], made: Sequence[str]) -> Iterator[Line]:
    for tag in going_in:
        if tag:
            yield Line(Role.USED, tag=tag)
    for thing in draft.added:
        if thing.form or thing.contents:
            yield replace(_told(added_line(thing), thing), tag="")
    for tag, one in zip(made, draft.made, strict=True):
        if tag:
            yield replace(_told(made_line(one), one), tag=tag, place="")


def _told(line: Line, thing: AddedThing | MadeThing) -> Line:
    """Leave out of a line what cannot be true, which the rules refuse anyway."""
    contents = tuple(
        one
        for one in {said.metal: said for said in thing.contents}.values()
        if one.metal in BY_SYMBOL and 0 <= one.fineness.ppb <= WHOLE_PPB
        if one.u is None or one.u.ppb >= 0
    )
    u = line.gross_u if line.gross_u is not None and line.gross_u.micrograms >= 0 else None
    return replace(line, gross=_sound(line.gross), gross_u=u, contents=contents)


def _sound(gross: Mass | None) -> Mass | None:
    return gross if gross is not None and gross.micrograms > 0 else None
