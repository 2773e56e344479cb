"""Containers in short: everything of one form that lies in one, to go into a work as a whole."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.queries.answers.bench import ContainerBrief, ItemBrief
from vault.core.forms import order_of
from vault.core.items import State
from vault.core.knowledge import Figure
from vault.reckoning.stock import sums_of
from vault.store.bench import all_places, ids_of_tags, lying_in
from vault.store.lists import ListedItem, items_of

_MOST_PLACES = 3
_MOST_LOTS = 2


def container_briefs(book: Book, name: str) -> tuple[ContainerBrief, ...]:
    """Give what lies in a container, by form; nothing where it is none or empty.

    What lies in bags and boxes within it counts as lying in it.
    """
    with book.file.reading() as connection:
        _, _, tags = lying_in(connection, name)
        listed = items_of(connection, ids_of_tags(connection, tags))
    by_form: dict[str, list[ListedItem]] = {}
    for one in listed:
        by_form.setdefault(one.form, []).append(one)
    return tuple(_brief(book, name, by_form[form]) for form in sorted(by_form, key=order_of))


def containers_like(book: Book, text: str) -> tuple[ContainerBrief, ...]:
    """Give the containers that a text could mean, a few places of them, by what lies in each."""
    begun = text.casefold().strip()
    if not begun:
        return ()
    with book.file.reading() as connection:
        places = [one for one in all_places(connection) if one.casefold().startswith(begun)]
    # A few things one beside the other are picked one by one; a container is for many.
    found = (container_briefs(book, place) for place in sorted(places)[:_MOST_PLACES])
    return tuple(one for some in found for one in some if len(one.tags) > 1)


def _brief(book: Book, name: str, held: list[ListedItem]) -> ContainerBrief:
    tags = tuple(one.tag for one in held)
    weights = [one.gross_ug for one in held if one.gross_ug is not None]
    lots = dict.fromkeys(
        lot for one in held for lot in (one.lots or ((one.lot,) if one.lot else ()))
    )
    one = ItemBrief(
        tag=name,
        form=held[0].form,
        gross_ug=sum(weights) if len(weights) == len(held) else None,
        gross_u_ug=None,
        contents=_contents(book, tags),
        lots=tuple(lots)[:_MOST_LOTS],
        more_lots=max(0, len(lots) - _MOST_LOTS),
        party="",
        place=name,
        state=State.ON_HAND,
        made_on=min(one.made_on for one in held),
        is_residue=held[0].is_residue,
    )
    return ContainerBrief(one, tags, len(held) - len(weights))


def _contents(book: Book, tags: tuple[str, ...]) -> dict[str, Figure]:
    """Give what all of it holds, where that is worked out; its ± wants the covariances."""
    reckoned = book.reckoned
    if reckoned is None:
        return {}
    here = [tag for tag in tags if tag in reckoned.contents.place_of]
    found = {
        metal: sums_of(reckoned.contents, metal, {"": here}).get("")
        for metal in reckoned.contents.metals
    }
    return {metal: one.figure for metal, one in found.items() if one is not None}
