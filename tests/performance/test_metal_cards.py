"""The metal cards of the largest book beside the same sums asked of the items themselves."""

from __future__ import annotations

from pathlib import Path

from performance.table import Measured, Table, seconds_of, time_words
from vault.application.book import Book
from vault.application.queries.safe import safe

SUMS = (
    "SELECT c.metal, i.form, count(*), sum(c.fine_ug IS NULL), sum(c.fine_ug) "
    "FROM item i JOIN content c ON c.item = i.id WHERE i.state = 'on hand' GROUP BY 1, 2"
)


def test_the_cards_of_a_million_items_beside_the_same_sums_in_sql(
    million: Path, table: Table
) -> None:
    with Book.open(million) as book, book.file.wire() as wire:
        cards = seconds_of(lambda: safe(book), 15)
        sums = seconds_of(lambda: wire.execute(SUMS).fetchall(), 3)
        found = {(metal, form): tuple(rest) for metal, form, *rest in wire.execute(SUMS)}
        shown = {
            (card.metal, part.form): (part.items, part.not_known, part.figure.fine_ug)
            for card in safe(book).cards
            for part in card.parts
        }
    assert len(found) > 5
    assert shown == {name: (items, not_known, fine or 0) for name, (items, not_known, fine)
                     in found.items()}  # fmt: skip
    table.add(
        Measured(
            1, "metal cards of the Safe", "1 000 000 items", time_words(cards),
            f"{time_words(sums)}: the same sums in SQL", cards / sums, "≤ 1/100",
            cards <= sums / 100,
        )
    )  # fmt: skip
