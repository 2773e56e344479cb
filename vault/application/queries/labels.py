"""What stands on the tag of an item or of a container."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.labels import TagLabel
from vault.bench.tags import symbol_of
from vault.core.cautions import label_cautions_for
from vault.core.tags import check_digits, payload_of
from vault.reckoning.guesses import COLD
from vault.store.lists import ListedItem, item_of
from vault.store.tags import Residues, kept_since, residues_in

_MOST_LOTS = 2
_COLD = frozenset(process.value for process in COLD)
CONTAINER = "container"


def tag_labels(book: Book, tags: Sequence[str]) -> tuple[TagLabel, ...]:
    """Give the labels of items and containers, in the order asked for.

    A name that is neither is labelled all the same: a container is tagged before it is filled.
    """
    labels = []
    with book.file.reading() as connection:
        for tag in tags:
            item = item_of(connection, tag)
            if item is not None:
                since = kept_since(connection, tag, _COLD) if item.is_residue else None
                labels.append(_of_item(item, since))
            else:
                labels.append(_of_container(tag, residues_in(connection, tag, _COLD)))
    return tuple(labels)


def _of_item(item: ListedItem, since: int | None) -> TagLabel:
    lots = item.lots or ((item.lot,) if item.lot else ())
    return TagLabel(
        tag=item.tag,
        check=check_digits(item.tag),
        symbol=symbol_of(payload_of(item.tag)),
        form=item.form,
        lots=lots[:_MOST_LOTS],
        more_lots=len(lots[_MOST_LOTS:]) + item.more_lots,
        made_on=item.made_on,
        is_received=bool(item.lot),
        kept_since=None if since is None else date.fromordinal(since),
        cautions=label_cautions_for([item.form], item.note, item.party),
    )


def _of_container(name: str, held: Residues) -> TagLabel:
    return TagLabel(
        tag=name,
        check=check_digits(name),
        symbol=symbol_of(payload_of(name)),
        form=CONTAINER,
        lots=(),
        more_lots=0,
        made_on=None,
        is_received=False,
        kept_since=None if held.first_day is None else date.fromordinal(held.first_day),
        cautions=label_cautions_for(held.forms, *held.notes),
    )
