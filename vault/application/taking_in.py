"""Taking in what was just recorded: the families that it touches, and nothing else.

A whole working-out of a large book takes seconds; one entry touches one family. So its figures
come in two steps: `take_in` reckons the touched families anew and keeps what is now known of their
items, and `figures.settle_figures`, once nobody records any more, keeps the sums over the whole
book, which every family moves a little through the house factors.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.figures import item_contents, item_origins, work_out
from vault.application.operations.recording import ActionStopped
from vault.application.reckoned import Reckoned
from vault.core.daybook import Act, Entry, Recorded
from vault.core.flow import Flow, Work, work_of
from vault.core.settling import refs_of_the_rest
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.origins import Origins, masses_of
from vault.reckoning.reckoner import Reckoner, ReckoningStopped
from vault.store.entries import load_entries
from vault.store.figures import change_contents
from vault.store.garbage import let_go

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]

# More entries than these touch so many families that everything is worked out anew instead.
MOST_AT_ONCE = 200


def take_in(
    book: Book, progress: Progress | None = None, stopped: Stopped | None = None
) -> Changes:
    """Bring the figures up to what was recorded since they were worked out.

    Where none are in memory yet, or very much was recorded, everything is worked out.

    Raises:
        ActionStopped: when asked to stop; the figures stay as they were.
    """
    before = book.reckoned
    if before is None or before.reckoner is None:
        return work_out(book, progress, stopped)
    with book.file.reading() as connection:
        fresh = list(load_entries(connection, first=before.entry + 1))
    if not fresh:
        return Changes()
    if len(fresh) > MOST_AT_ONCE:
        return work_out(book, progress, stopped)
    after, touched = _after(book, before, before.reckoner, fresh, stopped)
    if touched and book.may_write:
        _keep(book, after, touched)
    book.reckoned = after
    records = before.records_of_origins()
    del before
    let_go(records)
    return Changes(tags=frozenset(touched), figures=True)


def _after(
    book: Book,
    before: Reckoned,
    reckoner: Reckoner,
    fresh: Sequence[Recorded],
    stopped: Stopped | None,
) -> tuple[Reckoned, set[str]]:
    """Give the next state of the figures, and the tags of all families that moved."""
    entries = [one.entry for one in fresh]
    shop = before.shop.after(entries)
    flow = _flow_after(before.flow, shop, entries)
    named = _named(before.shop, shop, entries)
    touched = reckoner.family_of(named)
    contents = before.contents
    if named:
        # A reckoner that was stopped half way is good for nothing any more.
        book.reckoned = replace(before, reckoner=None)
        try:
            contents = reckoner.update(flow, named, stopped=stopped)
        except ReckoningStopped as stop:
            raise ActionStopped("Stopped; the figures stay as they were.") from stop
        touched |= reckoner.family_of(named)
    last = fresh[-1]
    after = Reckoned(shop, flow, contents, last.entry.number, last.head, reckoner, before.settled)
    return after, {tag for tag in touched if tag in flow.items}


def _flow_after(flow: Flow, shop: Shop, entries: Iterable[Entry]) -> Flow:
    works = dict(flow.works)
    for entry in entries:
        if entry.act is Act.STRIKE:
            works.pop(entry.struck_number(), None)
        elif entry.act is Act.WORK:
            works[entry.number] = work_of(entry)
    return Flow(shop.items, works)


def _named(before: Shop, after: Shop, entries: Sequence[Entry]) -> set[str]:
    """Give the tags of which entries say something that the reckoning goes by."""
    struck = [after.entries[one.struck_number()] for one in entries if one.act is Act.STRIKE]
    told = (*entries, *struck)
    named = {
        line.tag
        for entry in told
        for line in entry.lines
        if line.tag and (entry.act in _RECKONED or line.gross is not None or line.contents)
    }
    # What names no item is said of all that was sent together, as it stood before a strike or now.
    refs = {ref for entry in told for ref in refs_of_the_rest(entry)}
    return named.union(*(shop.shipment(ref) for shop in (before, after) for ref in refs))


# Acts that make items or use them up; the others count where they weigh or say a content.
_RECKONED = frozenset({Act.RECEIVE, Act.WORK, Act.COUNT})


def _keep(book: Book, after: Reckoned, touched: set[str]) -> None:
    part = _part_of(after.flow, after.contents, touched)
    origins = Origins(part, masses_of(after.contents, part.items))
    contents = list(item_contents(after.contents, part.items))
    chief = list(item_origins(origins, part.items.values()))
    with book.file.writing() as connection:
        change_contents(connection, touched, contents, chief)


def _part_of(flow: Flow, contents: Contents, tags: Iterable[str]) -> Flow:
    """Give whole families as a flow of their own, in the order of the whole."""
    ordered = sorted(tags, key=contents.place_of.__getitem__)
    numbers = {
        number
        for tag in ordered
        for number in (flow.items[tag].made_by, flow.items[tag].used_by)
        if number is not None
    }
    works: dict[int, Work] = {
        number: flow.works[number] for number in sorted(numbers) if number in flow.works
    }
    return Flow({tag: flow.items[tag] for tag in ordered}, works)
