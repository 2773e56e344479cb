"""Makes `third_format.shop`: `PYTHONPATH=.:tests python tests/old_files/third_format.py`.

Only for as long as the third format has not been released; from then on the file stays for ever
as it is, and every later version must open it.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from builders import assayed, received, thing, worked
from vault.application.book import Book
from vault.application.figures import tell_months, work_out
from vault.application.operations.recording import import_entries

FILE = Path(__file__).with_suffix(".shop")

ENTRIES = (
    received(1, thing("R-1", "filings", "512.40", "Ag 600 ± 4"), party="Møller & Søn"),
    worked(
        2,
        "smelt",
        used="R-1",
        made=[thing("K-1", "button", "330"), thing("S-1", "slag", "240", place="drum D")],
        on="2031-01-20",
    ),
    assayed(3, "S-1", "Ag 20 ± 1", how="ICP", on="2031-02-03"),
    received(4, thing("R-2", "scrap", "80"), lot="L-2", on="2031-03-05"),
)


def make() -> None:
    """Write the file anew."""
    FILE.unlink(missing_ok=True)
    clock = datetime(2031, 3, 5, 8, 30, tzinfo=UTC)
    with Book.create(
        FILE, zone="Europe/Oslo", shop_name="The Assay Yard", clock=lambda: clock
    ) as book:
        import_entries(book, ENTRIES)
        work_out(book)
        tell_months(book)


if __name__ == "__main__":
    make()
