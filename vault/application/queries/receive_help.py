"""What a form of receipt wants to know when it is opened."""

from __future__ import annotations

import re

from vault.application.book import Book
from vault.application.queries.answers.receive import ReceiptHelp
from vault.application.queries.bench_help import known_names
from vault.store.lots import is_lot, last_lots

_FIRST = "L-0001"
_ENDS_IN_NUMBER = re.compile(r"(.*?)([0-9]+)\Z", re.DOTALL | re.ASCII)
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
        name = next((one for one in lasts if _ENDS_IN_NUMBER.match(one)), "")
        name = _after(name) if name else _FIRST
        while is_lot(connection, name):
            name = _after(name)
    return name


def _after(name: str) -> str:
    """Give the name with its number one higher, as wide as before: `L-0099` gives `L-0100`."""
    return _ENDS_IN_NUMBER.sub(
        lambda found: f"{found[1]}{int(found[2]) + 1:0{len(found[2])}d}", name, count=1
    )
