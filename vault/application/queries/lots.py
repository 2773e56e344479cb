"""Lots: what was received, how far it is, and where its metal is now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.items import HistoryLine
from vault.application.queries.answers.lots import (
    FateItem,
    LotAccount,
    LotDetail,
    LotRow,
)
from vault.application.reckoned import Reckoned
from vault.application.wording import PLAIN, Numbers, entry_in_words
from vault.core.daybook import Act, Entry
from vault.core.days import day_to_text
from vault.core.errors import VaultError
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.core.words import searched_for
from vault.reckoning.accounts import LotAccount as Account
from vault.reckoning.accounts import lot_account
from vault.reckoning.micrograms import micrograms
from vault.reckoning.stock import sums_of
from vault.store.entries import load_entries_naming
from vault.store.lots import (
    ListedLot,
    lot_listed,
    lots_listed,
    tags_of_lot,
    waiting_tags_of_lot,
)

_MOST_ITEMS = 200
HOUSE = "the house"


class NoSuchLot(VaultError):
    """A name that is no lot in the book."""


def lots(book: Book, text: str = "") -> tuple[LotRow, ...]:
    """Give every lot, newest first; only those that hold each word of a text."""
    with book.file.reading() as connection:
        listed = lots_listed(connection)
    words = searched_for(text.casefold())
    today = book.today()
    wanted = [one for one in listed if all(word in _searched(one, today) for word in words)]
    received = _received(book.reckoned, [one.name for one in wanted])
    return tuple(_row(one, received.get(one.name, {}), today) for one in wanted)


def lot_detail(book: Book, lot: str, numbers: Numbers = PLAIN) -> LotDetail:
    """Give a lot's accounts, the items that hold its metal now, and its history.

    Raises:
        NoSuchLot: when there is none of that name.
    """
    with book.file.reading() as connection:
        listed = lot_listed(connection, lot)
        if listed is None:
            raise NoSuchLot(f"There is no lot {lot} in this book; check its name.")
        waiting = waiting_tags_of_lot(connection, lot)
        entries: dict[int, Entry] = {}
        for tag in tags_of_lot(connection, lot):
            entries |= {one.number: one for one in load_entries_naming(connection, tag)}
    accounts = _accounts(book.reckoned, lot)
    items = _fate_items(book.reckoned, accounts)
    return LotDetail(
        row=_row(listed, _received(book.reckoned, [lot]).get(lot, {}), book.today()),
        accounts=tuple(_account(one, listed) for one in accounts),
        items=tuple(items[:_MOST_ITEMS]),
        more_items=max(0, len(items) - _MOST_ITEMS),
        history=tuple(
            HistoryLine(number, one.when.day, f"{one.act.value}: {entry_in_words(one, numbers)}")
            for number, one in sorted(entries.items())
        ),
        waiting=tuple(waiting),
        receipts=tuple(
            (number, one.when.day)
            for number, one in sorted(entries.items())
            if one.act is Act.RECEIVE
        ),
        hold=_hold(listed, book.today()),
    )


def _hold(one: ListedLot, today: date) -> str:
    """Say until when a lot is held and what that means; empty where it is not."""
    if one.held_until is None or one.held_until <= today:
        return ""
    return (
        f"Held until {day_to_text(one.held_until)}: before that day the book takes no work on it, "
        "and it is neither sent nor sold."
    )


def _row(one: ListedLot, received: Mapping[str, Figure], today: date) -> LotRow:
    return LotRow(
        lot=one.name,
        party=one.party or HOUSE,
        terms=one.terms,
        received_on=one.day,
        items=one.items,
        gross_ug=one.gross_ug,
        not_weighed=one.not_weighed,
        words=", ".join(one.forms),
        progress=_progress(one, today),
        received=received,
        entry=one.entry,
        is_held=bool(_hold(one, today)),
    )


def _progress(one: ListedLot, today: date) -> str:
    """Say how far a lot is, by what became of the things that were received."""
    if one.held_until is not None and _hold(one, today):
        # The year is left out where it is this one: the column is narrow.
        return f"held until {day_to_text(one.held_until).removesuffix(f' {today.year}')}"
    if one.waiting == one.items:
        return "waiting"
    if one.waiting:
        return f"{one.items - one.waiting} of {one.items} begun"
    return "all begun"


def _received(reckoned: Reckoned | None, lots: Iterable[str]) -> dict[str, dict[str, Figure]]:
    """Give by lot and metal what was received; all lots are summed at once."""
    if reckoned is None:
        return {}
    origins, contents = reckoned.origins, reckoned.contents
    known = frozenset(origins.lots)
    tags = {lot: origins.items_of(lot) for lot in lots if lot in known}
    found: dict[str, dict[str, Figure]] = {lot: {} for lot in tags}
    for metal in contents.metals:
        for lot, total in sums_of(contents, metal, tags).items():
            found[lot][metal] = total.figure
    return found


def _searched(one: ListedLot, today: date) -> str:
    words = (one.name, one.party or HOUSE, one.terms, *one.forms, _progress(one, today))
    return "\n".join(words).casefold()


def _accounts(reckoned: Reckoned | None, lot: str) -> list[Account]:
    if reckoned is None or lot not in reckoned.origins.lots:
        return []
    found = [
        lot_account(reckoned.origins, reckoned.contents, lot, metal, reckoned.drawn(metal))
        for metal in sorted(reckoned.contents.metals, key=ALL_SYMBOLS.index)
    ]
    return [one for one in found if one.received.fine_ug or one.fate.not_known]


def _account(one: Account, lot: ListedLot) -> LotAccount:
    return LotAccount(
        metal=one.metal,
        received=one.received,
        on_hand=one.on_hand,
        in_residues=one.in_residues,
        out=one.out,
        unaccounted=one.unaccounted,
        # Nothing of a lot that waits as it came has been recovered yet.
        yield_share=None if lot.waiting == lot.items else one.yield_share,
    )


def _fate_items(reckoned: Reckoned | None, accounts: Iterable[Account]) -> list[FateItem]:
    """Give the items that hold the lot's metal, those with most of any metal first."""
    if reckoned is None:
        return []
    held: dict[str, dict[str, int]] = {}
    for account in accounts:
        fate = account.fate
        for one in (*fate.on_hand, *fate.gone, *fate.missing):
            held.setdefault(one.tag, {})[account.metal] = micrograms(one.fine_g)
    found = [
        FateItem(
            tag=tag,
            form=reckoned.flow.items[tag].form,
            place=reckoned.flow.items[tag].place,
            state=reckoned.flow.items[tag].state,
            fine_ug=metals,
        )
        for tag, metals in held.items()
    ]
    return sorted(found, key=lambda one: (-max(one.fine_ug.values()), one.tag))
