"""The receipt of a lot: what somebody brought, as the book recorded it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.application.book import Book
from vault.core.cautions import cautions_for
from vault.core.daybook import Act, Line, Role, Said
from vault.core.errors import VaultError
from vault.core.masses import Mass
from vault.core.tags import check_digits
from vault.store.entries import load_entry

IN_WORDS = {
    "toll": "The metal stays the customer's; the shop works it for a charge.",
    "bought": "Bought by the shop.",
    "own": "The shop's own.",
}


class NoReceipt(VaultError):
    """An entry of which there is no receipt to be had."""


@dataclass(frozen=True, slots=True)
class ReceiptBag:
    """One thing or bag on a receipt.

    Attributes:
        tag, check: its tag and check digits; these are empty where the tag has none.
        form, place, note: as recorded.
        gross, gross_u: weight without the bag, and its ±; None where nothing was said.
        tare: what the bag weighed; None where it was not weighed.
        contents, how: what was said of each metal, and whether it was declared or measured.
        hold_until: the day before which it is not worked; None where it is not held.
    """

    tag: str
    check: str
    form: str
    place: str
    note: str
    gross: Mass | None
    gross_u: Mass | None
    tare: Mass | None
    contents: tuple[Said, ...]
    how: str
    hold_until: date | None


@dataclass(frozen=True, slots=True)
class Receipt:
    """Everything that a receipt says.

    Attributes:
        shop: what the shop calls itself.
        entry: number of the entry.
        day: when it was brought.
        by: who took it in.
        lot, party: the lot and who brought it; no party for the shop's own.
        terms: toll, bought or own; `terms_in_words` says what that means.
        bags: what was brought, in order.
        total: all weights together; None where nothing was weighed.
        not_weighed: how many bags were not.
        hold_until: the last day of any hold; None where there is none.
        cautions: what can hurt, each a sentence or two.
        head: the chain up to and with this entry, in hexadecimal.
        struck_by: number of the entry that struck it; None while it stands.
    """

    shop: str
    entry: int
    day: date
    by: str
    lot: str
    party: str
    terms: str
    terms_in_words: str
    bags: tuple[ReceiptBag, ...]
    total: Mass | None
    not_weighed: int
    hold_until: date | None
    cautions: tuple[str, ...]
    head: str
    struck_by: int | None


def receipt_of(book: Book, entry: int) -> Receipt:
    """Give the receipt of the entry that received a lot.

    Raises:
        NoReceipt: when there is no such entry, or it received nothing.
    """
    with book.file.reading() as connection:
        recorded = load_entry(connection, entry)
    if recorded is None:
        raise NoReceipt(f"There is no entry {entry} in this book; check the number.")
    if recorded.entry.act is not Act.RECEIVE:
        raise NoReceipt(f"Entry {entry} received no lot; a receipt is printed for one that did.")
    lines = [line for line in recorded.entry.lines if line.role is Role.IN]
    first = lines[0]
    weights = [line.gross for line in lines if line.gross is not None]
    holds = [line.hold_until for line in lines if line.hold_until is not None]
    cautions = (
        caution for line in lines for caution in cautions_for(line.form, line.note, line.party)
    )
    return Receipt(
        shop=book.shop_name,
        entry=entry,
        day=recorded.entry.when.day,
        by=recorded.entry.by,
        lot=first.lot,
        party=first.party,
        terms=first.terms,
        terms_in_words=IN_WORDS.get(first.terms, ""),
        bags=tuple(_bag(line) for line in lines),
        total=sum(weights[1:], weights[0]) if weights else None,
        not_weighed=len(lines) - len(weights),
        hold_until=max(holds, default=None),
        cautions=tuple(dict.fromkeys(cautions)),
        head=recorded.head.hex(),
        struck_by=recorded.struck_by,
    )


def _bag(line: Line) -> ReceiptBag:
    return ReceiptBag(
        tag=line.tag,
        check=check_digits(line.tag),
        form=line.form,
        place=line.place,
        note=line.note,
        gross=line.gross,
        gross_u=line.gross_u,
        tare=line.tare,
        contents=line.contents,
        how=line.how,
        hold_until=line.hold_until,
    )
