"""Recording: a draft becomes an entry in one transaction, or nothing happens at all."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.core.daybook import Act, Entry, Line, Process, When
from vault.core.errors import RuleBroken, VaultError
from vault.core.rules import record as record_in_shop
from vault.core.shop import Shop
from vault.store.entries import (
    append,
    last_number,
    load_entry,
    load_shop,
    load_some,
    recorded_under,
    shop_for,
)
from vault.store.garbage import no_search_for_cycles

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]


class ActionStopped(VaultError):
    """A long action that was asked to end; nothing of it remains."""


class KeyUsedBefore(VaultError):
    """The key of one action came with another one, which would have been lost in silence."""


# How many entries pass between two looks at whether to stop.
_STRIDE = 500


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry that has no number yet.

    Attributes:
        act, lines, process: as in an entry.
        when: when it happened; the present moment where None.
        by: who records it; whoever is working where empty.
    """

    act: Act
    lines: tuple[Line, ...]
    process: Process | None = None
    when: When | None = None
    by: str = ""


def new_key() -> str:
    """Give a key for one user action; keep it and use it again when the action is retried."""
    return uuid.uuid4().hex


def record(book: Book, draft: Draft, *, key: str) -> Changes:
    """Record one entry, wholly or not at all.

    A retry under the same key after a crash records nothing more and gives the same answer.

    Raises:
        RuleBroken: when the entry cannot be true.
        StoreError: when the file cannot take it.
    """
    return _record(book, [(draft, key)])


def record_together(book: Book, drafts: Sequence[Draft], *, key: str) -> Changes:
    """Record several entries one after another in one transaction: all of them, or none.

    Each may lean on those before it: a thing is divided, then a part of it is worked. The keys of
    the entries follow from the key of the action, so that a retry records nothing more.

    Raises:
        RuleBroken: at the first entry that cannot be true; `place` says which one it is.
        StoreError: when the file cannot take them.
    """
    keyed = [(draft, f"{key}-{place}") for place, draft in enumerate(drafts)]
    return _record(book, keyed, one_more=f"{key}-{len(keyed)}")


def _record(book: Book, keyed: Sequence[tuple[Draft, str]], *, one_more: str = "") -> Changes:
    """Record drafts under their keys; an entry under the key `one_more` says there were more."""
    moment = book.clock()
    day = moment.astimezone(book.zone).date()
    with book.file.writing() as connection:
        numbers = [recorded_under(connection, key) for key in (*(k for _, k in keyed), one_more)]
        earlier = [load_entry(connection, one) for one in numbers if one is not None]
        entries = [one.entry for one in earlier if one is not None]
        if entries:
            _insist_on_the_same([draft for draft, _ in keyed], entries)
        else:
            for place, (draft, key) in enumerate(keyed):
                entry = Entry(
                    number=last_number(connection) + 1,
                    when=draft.when or When(day, moment),
                    by=draft.by or book.operator,
                    act=draft.act,
                    lines=draft.lines,
                    process=draft.process,
                )
                shop = shop_for(connection, entry)
                _judge(shop, entry, place)
                append(connection, shop, [(entry, key)], moment)
                entries.append(entry)
        strikes = [entry.struck_number() for entry in entries if entry.act is Act.STRIKE]
        struck = [one.entry for one in load_some(connection, strikes)]
    return changes_of([*entries, *struck], recorded=tuple(entry.number for entry in entries))


def _judge(shop: Shop, entry: Entry, place: int) -> None:
    try:
        record_in_shop(shop, entry)
    except RuleBroken as broken:
        raise RuleBroken(broken.faults, place=place) from None


def _insist_on_the_same(drafts: Sequence[Draft], recorded: Sequence[Entry]) -> None:
    same = len(drafts) == len(recorded) and all(
        replace(entry, act=draft.act, lines=draft.lines, process=draft.process).canonical_text()
        == entry.canonical_text()
        for draft, entry in zip(drafts, recorded, strict=True)
    )
    if not same:
        raise KeyUsedBefore(
            f"This action recorded entry {recorded[0].number} before, and says something else now. "
            "Nothing was recorded; look at that entry and enter anew what is missing."
        )


def import_entries(
    book: Book,
    entries: Sequence[Entry],
    *,
    progress: Progress | None = None,
    stopped: Stopped | None = None,
) -> Changes:
    """Record many entries that come with their own numbers: all of them, or none.

    Progress is told in steps of which each entry takes two, one to judge and one to write it.

    Raises:
        RuleBroken: at the first entry that cannot be true.
        ActionStopped: when asked to stop.
    """
    moment = book.clock()
    batch = new_key()
    with book.file.writing() as connection, no_search_for_cycles():
        shop = load_shop(connection)
        for at, entry in enumerate(entries):
            if at % _STRIDE == 0:
                look_up(progress, stopped, at, 2 * len(entries))
            record_in_shop(shop, entry)
        append(
            connection,
            shop,
            [(one, f"{batch}-{one.number}") for one in entries],
            moment,
            written_so_far=lambda done: look_up(
                progress, stopped, len(entries) + done, 2 * len(entries)
            ),
        )
    return changes_of(entries)


def look_up(progress: Progress | None, stopped: Stopped | None, done: int, of: int) -> None:
    """Tell how far a long action is, and end it when that is wanted.

    Raises:
        ActionStopped: when it is to end.
    """
    if stopped is not None and stopped():
        raise ActionStopped("Stopped; nothing of it was recorded.")
    if progress is not None:
        progress(done, of)


def changes_of(entries: Sequence[Entry], recorded: tuple[int, ...] | None = None) -> Changes:
    """Say what these entries touch."""
    lines = [line for entry in entries for line in entry.lines]
    return Changes(
        entries=recorded if recorded is not None else tuple(entry.number for entry in entries),
        tags=frozenset(line.tag for line in lines if line.tag),
        lots=frozenset(line.lot for line in lines if line.lot),
        places=frozenset(line.place for line in lines if line.place),
    )
