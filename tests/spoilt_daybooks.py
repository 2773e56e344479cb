"""Ways to spoil a daybook, each with the row, the column and the words of what must be told."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from builders import received, shop_of, thing
from vault.application.exchange.daybook_csv import read_daybook

EXAMPLES = Path(__file__).resolve().parents[1] / "resources" / "examples"
ZONE = ZoneInfo("Europe/Berlin")
# Stands for the row after the last.
BELOW_ALL = 0


@dataclass
class Paper:
    """A daybook, to be spoilt; rows are counted as a spreadsheet does."""

    rows: list[list[str]]

    @classmethod
    def of(cls, data: bytes) -> Paper:
        return cls(list(csv.reader(io.StringIO(data.decode(), newline=""))))

    def write(self, row: int, column: str, text: str) -> None:
        self.rows[row - 1][self.rows[0].index(column)] = text

    def to_bytes(self, delimiter: str = ",") -> bytes:
        stream = io.StringIO(newline="")
        csv.writer(stream, delimiter=delimiter).writerows(self.rows)
        return stream.getvalue().encode()


Change = Callable[[Paper], bytes | None]


@dataclass(frozen=True)
class Kind:
    name: str
    change: Change
    row: int
    column: str
    words: str
    # What else cannot but be said: a thing that was to be made here is missing further down.
    also: tuple[tuple[int, str], ...] = ()


def cell(
    name: str,
    row: int,
    column: str,
    text: str,
    words: str,
    also: tuple[tuple[int, str], ...] = (),
) -> Kind:
    """One cell is changed, and that cell is at fault."""

    def change(paper: Paper) -> None:
        paper.write(row, column, text)

    return Kind(name, change, row, column, words, also)


def cells(name: str, changes: str, row: int, column: str, words: str) -> Kind:
    """`cells("…", "3 lot=L-2; 4 lot=L-2", …)` changes several cells."""

    def change(paper: Paper) -> None:
        for one in changes.split("; "):
            place, _, text = one.partition("=")
            number, _, name_of_column = place.partition(" ")
            paper.write(int(number), name_of_column, text)

    return Kind(name, change, row, column, words)


def without(
    name: str,
    row: int,
    at: int,
    column: str,
    words: str,
    also: tuple[tuple[int, str], ...] = (),
) -> Kind:
    """One row is taken out; the fault is at row `at` of what remains."""

    def change(paper: Paper) -> None:
        del paper.rows[row - 1]

    return Kind(name, change, at, column, words, also)


def with_row(name: str, text: str, column: str, words: str) -> Kind:
    """A row is put below all others."""

    def change(paper: Paper) -> None:
        paper.rows.append(next(csv.reader([text])))

    return Kind(name, change, BELOW_ALL, column, words)


def raw(name: str, change: Callable[[bytes], bytes], row: int, column: str, words: str) -> Kind:
    """The bytes of the file are changed."""
    return Kind(name, lambda paper: change(paper.to_bytes()), row, column, words)


def replaced(data: bytes, old: str, new: bytes) -> bytes:
    assert data.count(old.encode()) >= 1
    return data.replace(old.encode(), new, 1)


def header(name: str, old: str, new: str, column: str, words: str) -> Kind:
    return raw(name, lambda data: replaced(data, old, new.encode()), 1, column, words)


def insist_that_it_is_refused(kind: Kind, example: bytes) -> None:
    """Spoil a daybook in one way; what is told must be just that, and nothing is taken."""
    paper = Paper.of(example)
    spoilt = kind.change(paper)
    data = paper.to_bytes() if spoilt is None else spoilt
    shop = shop_of(received(1, thing("Z-1", "bar", "10"), lot="Z", on="2030-01-01"))
    # The book holds an entry 1 of its own; the daybook's numbers follow.
    shop.entries.clear()
    shop.last_number = 0
    before = vars(shop.copy())
    reading = read_daybook(data, zone=ZONE, shop=shop)
    found = [(fault.row, fault.column) for fault in reading.faults]
    row = len(paper.rows) if kind.row == BELOW_ALL else kind.row
    assert found == [(row, kind.column), *kind.also], reading.faults
    assert kind.words in reading.faults[0].sentence, reading.faults
    assert reading.entries == ()
    assert reading.shop is None
    assert vars(shop) == before
