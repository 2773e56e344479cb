"""Makes `second_format.shop`: `PYTHONPATH=.:tests python tests/old_files/second_format.py`.

Only for as long as the second format has not been released; from then on the file stays for ever
as it is, and every later version must open it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from builders import (
    moved,
    photographed,
    received,
    returned,
    scale_checked,
    sealed,
    struck,
    thing,
    worked,
)
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.core.daybook import Entry, Role

FILE = Path(__file__).with_suffix(".shop")


def _with_furnace(work: Entry, furnace: str) -> Entry:
    first, *others = work.lines
    return replace(work, lines=(replace(first, furnace=furnace), *others))


ENTRIES = (
    scale_checked(1, "bench scale", "200 g", "200.01 g"),
    received(
        2,
        thing("R-1", "filings", "512.40", place="bench", tare="12.6", scale="bench scale"),
        thing("R-2", "scrap", "80 ± 0.02", hold_until="2031-02-01", witness="Ole"),
        party="Møller & Søn",
    ),
    photographed(3, "R-1", "5d" * 32, "the bag as it came"),
    _with_furnace(
        worked(
            4,
            "smelt",
            used="R-1",
            made=[thing("K-1", "button", "300"), thing("S-1", "slag", place="drum D")],
        ),
        "1 080 °C, 40 min",
    ),
    moved(5, "K-1", "drum D"),
    sealed(6, "drum D", "0417", witness="Ole"),
    sealed(7, "drum D", "0417", role=Role.CHECKED),
    sealed(8, "R-2", "0418"),
    sealed(9, "R-2", "0418", role=Role.BROKEN, witness="Ole"),
    returned(10, "R-2", party="Møller & Søn"),
    scale_checked(11, "bench scale", "200 g", "20.01 g"),
    struck(12, 11, "a slip of the pen"),
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
