"""What a form of receipt wants to know when it is opened."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.queries.answers.receive import ReceiptHelp
from vault.application.queries.bench_help import known_names
from vault.core.numbering import next_name
from vault.store.lots import is_lot, last_lots

_FIRST = "L-0001"
_MOST_LOTS = 40


def receipt_help(book: Book) -> ReceiptHelp:
    """Give the next number of a lot, the names that the book knows, and the time."""
    names = known_names(book)
    return ReceiptHelp(
        next_lot=next_lot(book),
        parties=names.parties,
        places=names.places,
        forms=names.forms,
        place_of=names.place_of,
        now=book.clock().astimezone(book.zone),
    )


def next_lot(book: Book) -> str:
    """Give a number that no lot has: the one after the last that ends in a number."""
    with book.file.reading() as connection:
        lasts = last_lots(connection, _MOST_LOTS)
        return next_name(lasts, _FIRST, lambda name: is_lot(connection, name))
