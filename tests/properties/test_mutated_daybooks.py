"""Daybooks spoilt at random: whatever comes in, reading answers with a book or with faults."""

from __future__ import annotations

import csv
import io
import random
import zipfile
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from random_shop import RandomShop
from vault.application.exchange.daybook_csv import daybook_table, read_daybook
from vault.application.exchange.tables_out import write_xlsx
from vault.core.rules import replay

ROOT = Path(__file__).resolve().parents[2]
GOOD = (ROOT / "resources" / "examples" / "example-daybook.csv").read_bytes()
ROWS = list(csv.reader(io.StringIO(GOOD.decode(), newline="")))
ZONE = ZoneInfo("Europe/Berlin")

Mutation = Callable[[random.Random], bytes]

ODD_CELLS = (
    "",
    " ",
    "=1+1",
    "@SUM(A1)",
    "-1",
    "0",
    "1e999999",
    "9" * 400,
    "NaN",
    "2031-02-30",
    "2031-03-30T02:30",
    "2031-10-26T02:30",
    "0001-01-01T00:00+23:59",
    "2199-12-31T23:59-23:59",
    "٣",
    "\0",
    "\ud800",
    "\u202e",
    "a\nb",
    '"',
    "'",
    "''=",
    "R-0001",
    "K-0002",
    "strike",
    "work",
    "cupel",
    "made",
    "used",
    "drum D",
    "12",
    "V-0001",
    "1000",
    "e\u0301",
    "x" * 200_000,
)


def written(rows: list[list[str]]) -> bytes:
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows(rows)
    return stream.getvalue().encode(errors="surrogatepass")


def bytes_changed(chance: random.Random) -> bytes:
    data = bytearray(GOOD)
    for _ in range(chance.choice((1, 1, 1, 2, 5, 50))):
        at = chance.randrange(len(data))
        change = chance.randrange(3)
        if change == 0:
            data[at] = chance.randrange(256)
        elif change == 1:
            del data[at : at + chance.choice((1, 1, 10, 500))]
        else:
            data[at:at] = bytes([chance.choice(b'",;\r\n\0\xff=0-')])
        if not data:
            break
    return bytes(data)


def cells_changed(chance: random.Random) -> bytes:
    rows = [list(row) for row in ROWS]
    for _ in range(chance.choice((1, 1, 1, 2, 3, 30))):
        row = chance.choice(rows)
        other = chance.choice(ROWS)
        at = chance.randrange(len(row))
        row[at] = chance.choice((chance.choice(ODD_CELLS), other[at], chance.choice(other)))
    return written(rows)


def rows_changed(chance: random.Random) -> bytes:
    rows = [list(row) for row in ROWS]
    for _ in range(chance.choice((1, 1, 2, 10))):
        at = chance.randrange(len(rows))
        change = chance.randrange(5)
        if change == 0 and len(rows) > 1:
            del rows[at]
        elif change == 1:
            rows.insert(chance.randrange(len(rows)), list(rows[at]))
        elif change == 2:
            other = chance.randrange(len(rows))
            rows[at], rows[other] = rows[other], rows[at]
        elif change == 3:
            rows[at] = rows[at][: chance.randrange(len(rows[at]) + 1)]
        else:
            rows[at] = rows[at] + [""] * chance.randrange(3) + ["more"]
    return written(rows)


def columns_changed(chance: random.Random) -> bytes:
    rows = [list(row) for row in ROWS]
    one, other = chance.randrange(len(rows[0])), chance.randrange(len(rows[0]))
    for row in rows:
        if chance.random() < 0.5:
            row[one], row[other] = row[other], row[one]
    if chance.random() < 0.5:
        for row in rows:
            del row[one]
    return written(rows)


MUTATIONS: tuple[Mutation, ...] = (bytes_changed, cells_changed, rows_changed, columns_changed)


def read_spoilt(seed: int) -> bool:
    """Read one spoilt daybook; tell whether it was still a good one."""
    chance = random.Random(seed)
    data = MUTATIONS[seed % len(MUTATIONS)](chance)
    reading = read_daybook(data, zone=ZONE)
    if reading.faults:
        assert reading.entries == ()
        assert reading.shop is None
        assert all(
            fault.row >= 1 and fault.sentence.endswith((".", "?")) for fault in reading.faults
        )
        return False
    # What is taken holds by the rules on its own as well, and no row of it was passed over.
    assert reading.shop is not None
    assert replay(reading.entries).items == reading.shop.items
    rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    filled = sum(1 for row in rows if any(cell.strip() for cell in row))
    assert sum(len(entry.lines) for entry in reading.entries) == filled - 1
    return True


@pytest.mark.parametrize("block", range(5))
def test_a_spoilt_daybook_is_refused_or_taken_whole_and_never_crashes(block: int) -> None:
    taken = sum(read_spoilt(seed) for seed in range(block * 100, block * 100 + 100))
    assert 0 < taken < 100


@pytest.mark.slow
def test_ten_thousand_spoilt_daybooks_are_refused_or_taken_whole() -> None:
    taken = sum(read_spoilt(seed) for seed in range(10_000))
    assert 0 < taken < 5_000


def good_workbook() -> bytes:
    random_shop = RandomShop(1)
    random_shop.go_on(15)
    columns, rows = daybook_table(random_shop.entries, zone=ZONE)
    stream = io.BytesIO()
    write_xlsx(columns, rows, stream)
    return stream.getvalue()


WORKBOOK = good_workbook()
ODD_XML = (b"9999999", b"</row>", b"<f>1</f>", b"&#0;", b"-1", b"nan", b"<", b'"')


def part_changed(part: bytes, chance: random.Random) -> bytes:
    changed = bytearray(part)
    for _ in range(chance.choice((1, 2, 10))):
        at = chance.randrange(len(changed) + 1)
        change = chance.randrange(3)
        if change == 0:
            changed[at : at + 1] = bytes([chance.choice(b'<>"&0123456789abz-. ')])
        elif change == 1:
            del changed[at : at + chance.choice((1, 5, 60))]
        else:
            changed[at:at] = chance.choice(ODD_XML)
    return bytes(changed)


def workbook_changed(chance: random.Random) -> bytes:
    if chance.random() < 0.3:
        return part_changed(WORKBOOK, chance)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(WORKBOOK)) as good, zipfile.ZipFile(out, "w") as spoilt:
        hit = chance.choice(good.namelist())
        for name in good.namelist():
            part = good.read(name)
            spoilt.writestr(name, part_changed(part, chance) if name == hit else part)
    return out.getvalue()


def read_spoilt_workbook(seed: int) -> bool:
    reading = read_daybook(workbook_changed(random.Random(seed)), zone=ZONE)
    assert bool(reading.faults) == (reading.shop is None)
    assert not (reading.faults and reading.entries)
    return not reading.faults


def test_a_spoilt_workbook_is_refused_or_taken_whole_and_never_crashes() -> None:
    assert 0 < sum(read_spoilt_workbook(seed) for seed in range(80)) < 80


@pytest.mark.slow
def test_two_thousand_spoilt_workbooks_are_refused_or_taken_whole() -> None:
    assert 0 < sum(read_spoilt_workbook(seed) for seed in range(2_000)) < 2_000
