"""From a filled-in receipt to the entry that records it."""

from __future__ import annotations

from datetime import date

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.operations.recording import Draft, record, record_together
from vault.core.daybook import Act, Line, Role, Terms
from vault.core.days import day_to_text
from vault.core.errors import VaultError
from vault.core.knowledge import DECLARED
from vault.store.photos import keep, read_picture, take_back


def receive(book: Book, receipt: ReceiptDraft, key: str) -> Changes:
    """Take in a lot as it stands in the form, as one entry, and one more for each photo.

    Raises:
        RuleBroken: when it cannot be true, or lacks what the book cannot do without.
        StoreError: when the file cannot take it, or a photo is none.
    """
    received = draft_of(receipt)
    shown = [(bag.tag, bag.photo) for bag in receipt.bags if bag.photo is not None]
    if not shown:
        return record(book, received, key=key)
    # All are read before the first is kept: one that is no picture stops everything.
    pictures = [(tag, read_picture(file)) for tag, file in shown]
    photos: list[Draft] = []
    new: list[str] = []
    try:
        for tag, content in pictures:
            sha256, is_new = keep(book.path, content)
            new += [sha256] if is_new else []
            line = Line(Role.OF, tag=tag, ref=sha256)
            photos.append(Draft(Act.PHOTO, (line,), when=receipt.when))
        return record_together(book, [received, *photos], key=key)
    except VaultError:
        for sha256 in new:
            take_back(book.path, sha256)
        raise


def draft_of(receipt: ReceiptDraft) -> Draft:
    """Give the entry of a receipt; one not filled in enough gives an entry that is refused."""
    lines = tuple(_line(one, receipt) for one in receipt.bags)
    return Draft(Act.RECEIVE, lines, when=receipt.when)


def _line(bag: BagDraft, receipt: ReceiptDraft) -> Line:
    return Line(
        Role.IN,
        tag=bag.tag,
        form=bag.form,
        lot=receipt.lot,
        party="" if receipt.terms is Terms.OWN else receipt.party,
        terms="" if receipt.terms is None else receipt.terms.value,
        place=bag.place,
        gross=bag.net,
        gross_u=None if bag.on_scale is None else bag.gross_u,
        contents=bag.contents,
        how=DECLARED if bag.contents else "",
        note=_note(bag, receipt),
        tare=None if bag.on_scale is None else bag.tare,
        hold_until=receipt.hold_until,
        scale="" if bag.on_scale is None else bag.scale,
    )


def _note(bag: BagDraft, receipt: ReceiptDraft) -> str:
    """Join what is said of the bag and of the whole lot: each bag goes its own way later."""
    parts = [bag.note, receipt.origin, _shortened(receipt.hold_until, receipt.hold_set)]
    return "\n".join(one for one in parts if one)


def _shortened(until: date | None, hold_set: date | None) -> str:
    if hold_set is None or (until is not None and until >= hold_set):
        return ""
    return f"Held shorter than set: the setting said until {day_to_text(hold_set)}."
