"""Makes `first_format.shop`: `PYTHONPATH=.:tests python tests/old_files/first_format.py`.

Only for as long as the first format has not been released; from then on the file stays for ever as
it is, and every later version must open it.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from builders import (
    assayed,
    counted,
    moved,
    priced,
    received,
    returned,
    sent,
    settled,
    struck,
    thing,
    weighed,
    worked,
)
from vault.application.book import Book
from vault.application.operations.recording import import_entries

FILE = Path(__file__).with_suffix(".shop")
ENTRIES = (
    received(
        1,
        thing("R-1", "filings", "512.40 ± 0.02", "Ag 600 ± 60, Au 2", place="bench", note="moist"),
        thing("R-2", "scrap", "80"),
        party="Møller & Søn",
    ),
    worked(
        2,
        "cupel",
        used="R-1",
        added=[thing("", "lead", "350", "Ag 0.1")],
        made=[thing("B-1", "bead", "300", place="tray"), thing("C-1", "spent cupel")],
    ),
    assayed(3, "B-1", "Ag 991 ± 0.4, Au 3, Pd 1", ref="F-7", on="2031-01-03 09:10"),
    weighed(4, "B-1", "299.98 ± 0.01"),
    moved(5, "tray", "safe"),
    sent(6, "C-1"),
    settled(7, thing("C-1", says="Ag 1.85", how="settlement"), thing(money="-2.21 EUR")),
    returned(8, "B-1", party="Møller & Søn"),
    counted(9, missing="R-2", extra=[thing("X-1", "dust", "4", note="a tin nobody knows")]),
    priced(10, "Ag", "0.953125 EUR"),
    struck(11, 10, reason="of last year"),
)


def make() -> None:
    """Write the file anew."""
    FILE.unlink(missing_ok=True)
    clock = datetime(2031, 2, 1, 8, 30, tzinfo=UTC)
    with Book.create(
        FILE, zone="Europe/Oslo", shop_name="The Assay Yard", clock=lambda: clock
    ) as book:
        import_entries(book, ENTRIES)


if __name__ == "__main__":
    make()
