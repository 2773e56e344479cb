"""Is it worth sending out? The choice about residues taken together, in the words of the shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from vault.application.book import Book
from vault.application.queries.answers.send_out import Ask, SendOut
from vault.application.queries.send_out_grounds import grounds_of
from vault.application.queries.send_out_words import (
    ChoiceNumbers,
    heading_of,
    not_known_of,
    reasons_of,
    rows_of,
    turns_of,
    verdict_of,
)
from vault.application.reckoned import Reckoned
from vault.core.items import Item, State

# A container is told by its place and the form of what lies in it.
Key = tuple[str, str]

_TAKEN_BY_NONE = "None of the terms that are kept takes this: write down a refinery's that does."
_FIRST = {
    Ask.FIGURES: "It can be told once the figures of this book are worked out.",
    Ask.CONTENTS: "Nothing is known of what it holds: an assay of it comes first.",
    Ask.PRICES: "No price is set: set the prices of the metals first.",
    Ask.SHEETS: "No terms are kept: write down a refinery's terms first.",
}


def choice_of_containers(book: Book, keys: Sequence[Key], numbers: ChoiceNumbers) -> SendOut:
    """Tell whether the residues of some containers, taken together, are worth sending out.

    Args:
        book: the open book.
        keys: place and form of each container.
        numbers: how the reader has figures written.
    """
    reckoned = book.reckoned
    if reckoned is None:
        return _first(Ask.FIGURES)
    wanted = set(keys)
    kind = [
        one
        for one in reckoned.shop.items.values()
        if one.is_residue and (one.place, one.form) in wanted
    ]
    here = [one for one in kind if one.state is State.ON_HAND]
    return _choice(book, reckoned, here, kind, numbers)


def choice_of_items(book: Book, tags: Sequence[str], numbers: ChoiceNumbers) -> SendOut:
    """Tell whether some items, taken together, are worth sending out; no more of them is made."""
    reckoned = book.reckoned
    if reckoned is None:
        return _first(Ask.FIGURES)
    items = reckoned.shop.items
    here = [items[tag] for tag in tags if tag in items and items[tag].state is State.ON_HAND]
    return _choice(book, reckoned, here, (), numbers)


def _choice(
    book: Book,
    reckoned: Reckoned,
    here: Sequence[Item],
    kind: Sequence[Item],
    numbers: ChoiceNumbers,
) -> SendOut:
    tags = tuple(one.tag for one in here)
    grounds = grounds_of(book, reckoned, here, kind)
    currency = grounds.around.currency
    if not grounds.parcel.residues.metals:
        return _first(Ask.CONTENTS, tags)
    if not currency:
        return _first(Ask.PRICES, tags)
    if not grounds.sheets:
        heading = _TAKEN_BY_NONE if grounds.valid else _FIRST[Ask.SHEETS]
        return replace(_first(Ask.SHEETS, tags), heading=heading)
    choice = grounds.choice()
    return SendOut(
        tags=tags,
        asks=Ask.NOTHING,
        heading=heading_of(choice.best),
        currency=currency,
        verdict=verdict_of(choice, numbers, currency),
        reasons=tuple(reasons_of(choice, numbers, currency)),
        hangs_on=tuple(turns_of(choice, numbers, currency)),
        not_known=tuple(not_known_of(choice.not_counted, grounds.parcel)),
        rows=tuple(rows_of(choice, numbers, currency)),
    )


def _first(asks: Ask, tags: tuple[str, ...] = ()) -> SendOut:
    return SendOut(tags=tags, asks=asks, heading=_FIRST[asks])
