"""Reading a daybook in, store and all, beside reading the same file into plain lists."""

from __future__ import annotations

import csv
import time
from itertools import takewhile
from pathlib import Path
from zoneinfo import ZoneInfo

from performance.big_books import entries_of_a_book
from performance.table import Measured, Table, seconds_of, time_words
from vault.application.book import Book
from vault.application.exchange.daybook_csv import write_daybook
from vault.application.operations.read_in import read_into

LINES = 100_000


def daybook_of(lines: int, path: Path) -> int:
    """Write a daybook of at least so many lines; give how many entries it has."""
    written = 0

    def is_wanted(_: object) -> bool:
        return written < lines

    entries = []
    for entry in takewhile(is_wanted, entries_of_a_book(lines, tied=False)):
        written += len(entry.lines)
        entries.append(entry)
    with path.open("w", encoding="utf-8", newline="") as stream:
        write_daybook(entries, stream, zone=ZoneInfo("UTC"))
    return len(entries)


def rows_of(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.reader(stream))


def test_a_daybook_of_100_000_lines_beside_the_csv_module(tmp_path: Path, table: Table) -> None:
    daybook = tmp_path / "daybook.csv"
    entries = daybook_of(LINES, daybook)
    assert len(rows_of(daybook)) > LINES
    plain = seconds_of(lambda: rows_of(daybook))
    taken = []
    for number in range(3):
        with Book.create(tmp_path / f"{number}.shop", zone="UTC") as book:
            start = time.perf_counter()
            outcome = read_into(book, daybook)
            taken.append(time.perf_counter() - start)
            assert outcome.entries == entries
            assert outcome.faults == ()
    ours = sorted(taken)[1]
    table.add(
        Measured(
            5, "a daybook read into a new book, all of it judged and stored", "100 000 lines",
            time_words(ours), f"{time_words(plain)}: csv.reader into lists", ours / plain, "≤ 30",
            ours / plain <= 30,
        )
    )  # fmt: skip
