"""What forms of the bench want to know while they are filled in, quick in a book of any size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.bench import (
    ItemBrief,
    KnownNames,
    KnownThing,
    RecentWork,
)
from vault.core.daybook import Entry, Process, Role
from vault.core.forms import PRODUCT_FORMS, RESIDUE_FORMS
from vault.core.items import State
from vault.core.knowledge import Figure, How
from vault.reckoning.micrograms import micrograms
from vault.store.bench import (
    all_places,
    ids_of_tags,
    late_names,
    on_hand_like,
    parties_of_lots,
    weights_of,
    works_lately,
)
from vault.store.entries import load_some
from vault.store.figures import contents_of
from vault.store.lists import ListedItem, items_of

MOST_TO_PICK = 12
_MOST_WORKS = 40
_GONE = {
    State.USED: "it was used up in a work",
    State.SENT: "it was sent away",
    State.RETURNED: "it went back to its customer",
    State.SOLD: "it was sold",
    State.MISSING: "the count found it missing",
}


def known_names(book: Book) -> KnownNames:
    """Give the names that the book knows, what is used most lately first."""
    with book.file.reading() as connection:
        late = late_names(connection)
        parties = parties_of_lots(connection)
        places = all_places(connection)
    return KnownNames(
        parties=_joined(late.parties, parties),
        places=_joined(late.places, places),
        forms=_joined(late.forms, (*PRODUCT_FORMS, *RESIDUE_FORMS)),
        added=tuple(
            KnownThing(one.name, one.times, one.gross_ug, one.contents, one.how)
            for one in late.added
        ),
        place_of=late.place_of,
    )


def item_briefs(book: Book, tags: Sequence[str]) -> dict[str, ItemBrief]:
    """Give items in short by their tags; a tag that names nothing is left out."""
    with book.file.reading() as connection:
        listed = items_of(connection, ids_of_tags(connection, tags))
        contents = contents_of(connection, [one.id for one in listed])
    on = _today(book)
    return {one.tag: _brief(one, contents.get(one.id, {}), on) for one in listed}


def items_to_pick(book: Book, text: str) -> tuple[ItemBrief, ...]:
    """Give a few items on hand that a text could mean; those made last where it is empty."""
    with book.file.reading() as connection:
        listed = items_of(connection, on_hand_like(connection, text, MOST_TO_PICK))
        contents = contents_of(connection, [one.id for one in listed])
    on = _today(book)
    return tuple(_brief(one, contents.get(one.id, {}), on) for one in listed)


def recent_works(book: Book) -> tuple[RecentWork, ...]:
    """Give the works done lately, the last first."""
    with book.file.reading() as connection:
        numbers = works_lately(connection, _MOST_WORKS)
        entries = {one.entry.number: one.entry for one in load_some(connection, numbers)}
        used = [line.tag for one in entries.values() for line in one.lines if line.tag]
        weights = weights_of(connection, used)
    return tuple(_recent(book, entries[number], weights) for number in numbers)


def _joined(used: Iterable[str], others: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*used, *others]))


def _today(book: Book) -> date:
    return book.clock().astimezone(book.zone).date()


def _brief(one: ListedItem, contents: dict[str, Figure], on: date) -> ItemBrief:
    why = _GONE.get(one.state, "")
    is_held = one.state is State.ON_HAND and one.hold_until is not None and on < one.hold_until
    return ItemBrief(
        tag=one.tag,
        form=one.form,
        gross_ug=one.gross_ug,
        gross_u_ug=one.gross_u_ug,
        contents=contents,
        lots=one.lots or ((one.lot,) if one.lot else ()),
        more_lots=one.more_lots,
        party=one.party,
        place=one.place,
        state=one.state,
        made_on=one.made_on,
        is_residue=one.is_residue,
        hold_until=one.hold_until if is_held else None,
        trouble=f"{one.tag} is not on hand: {why}." if why else "",
    )


def _recent(book: Book, entry: Entry, weights: dict[str, int | None]) -> RecentWork:
    used = [line for line in entry.lines if line.role is Role.USED]
    added = [line for line in entry.lines if line.role is Role.ADDED]
    made = [line for line in entry.lines if line.role is Role.MADE]
    went_in = [weights.get(line.tag) for line in used]
    went_in += [None if line.gross is None else line.gross.micrograms for line in added]
    came_out = [None if line.gross is None else line.gross.micrograms for line in made]
    at = entry.when.at
    return RecentWork(
        number=entry.number,
        day=entry.when.day,
        at=None if at is None else at.astimezone(book.zone),
        by=entry.by,
        process=entry.process or Process.OTHER,
        used=tuple(line.tag for line in used),
        added=tuple(line.form for line in added),
        made=tuple((line.tag, line.form) for line in made),
        in_ug=sum(one for one in went_in if one is not None),
        out_ug=sum(one for one in came_out if one is not None),
        not_weighed=sum(one is None for one in went_in + came_out),
        lost=_lost(book, entry.number, [line.tag for line in used]),
    )


def _lost(book: Book, number: int, used: Sequence[str]) -> dict[str, Figure]:
    reckoned = book.reckoned
    if reckoned is None:
        return {}
    contents = reckoned.contents
    here = [tag for tag in used if tag in reckoned.flow.items]
    fed = {
        metal: sum(one.fine_g for tag in here if (one := contents.of(tag).get(metal)) is not None)
        for metal in contents.metals
    }
    found: dict[str, Figure] = {}
    for metal in sorted(fed, key=lambda one: -fed[one]):
        loss = contents.loss(number, metal)
        if loss is None:
            continue
        if loss.determinable:
            how = How.WORKED_OUT
            found[metal] = Figure(micrograms(loss.fine_g), micrograms(loss.u_g), how)
        else:
            found[metal] = Figure(None, None, How.NOT_KNOWN)
    return found
