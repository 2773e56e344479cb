"""What a form of a shipment wants to know when it is opened."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.queries.answers.shipments import ShipmentHelp
from vault.application.queries.bench_help import known_names
from vault.application.terms_sheets import terms_sheets, valid_sheets, words_for_entry
from vault.core.numbering import next_name
from vault.store.shipments import is_shipment, residues_by_place, sent_to, shipment_numbers

_FIRST = "V-0001"
_MOST_SHIPMENTS = 40


def shipment_help(book: Book) -> ShipmentHelp:
    """Give the next number of a shipment, refineries with their terms, and where residues lie."""
    sheets: dict[str, list[str]] = {}
    for sheet in valid_sheets(book, book.today()):
        sheets.setdefault(sheet.party, []).append(words_for_entry(sheet))
    with book.file.reading() as connection:
        lasts = shipment_numbers(connection, _MOST_SHIPMENTS)
        number = next_name(lasts, _FIRST, lambda name: is_shipment(connection, name))
        refineries = sent_to(connection)
        places = residues_by_place(connection)
    parties = (*refineries, *(one.party for one in terms_sheets(book)), *known_names(book).parties)
    return ShipmentHelp(
        next_number=number,
        parties=tuple(dict.fromkeys(parties)),
        sheets={party: tuple(names) for party, names in sheets.items()},
        places=places,
        now=book.clock().astimezone(book.zone),
    )
