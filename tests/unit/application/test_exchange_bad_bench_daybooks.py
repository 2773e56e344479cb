"""Bad daybooks with the facts of the bench: tares, test weights, holds, scales, photos, seals."""

from __future__ import annotations

import io

import pytest

from spoilt_daybooks import (
    EXAMPLES,
    ZONE,
    Kind,
    cell,
    cells,
    header,
    insist_that_it_is_refused,
    with_row,
    without,
)
from vault.application.exchange.daybook_csv import read_daybook, write_daybook
from vault.core.daybook import Act

EXAMPLE = (EXAMPLES / "example-bench-daybook.csv").read_bytes()
PICTURE = "5d4a3f0b6a9c2e7718f04c6b9d3e1a2750b8c6f4e2d19a7b3c5d8e0f1a2b3c4d"
LAST = "13,2031-05-03,Imke,"

KINDS = [
    cell("a tare in words", 3, "tare_g", "the bag", "is no weight; write grams"),
    cell("a tare below zero", 3, "tare_g", "-18.4", "A tare cannot be below zero"),
    cells(
        "a tare without a weight",
        "3 gross_g=; 3 gross_u_g=; 3 scale=",
        3,
        "tare_g",
        "A tare is given without the weight",
    ),
    cell("a test weight in a weighing", 15, "nominal_g", "200", "belongs to a scale check only"),
    cell("a test weight in words", 2, "nominal_g", "M1", "is no weight; write grams"),
    cell("a test weight of nothing", 2, "nominal_g", "0", "must be more than nothing"),
    cell("a check without its weight", 2, "nominal_g", "", "what the test weight weighs"),
    cell("a check that showed nothing", 2, "gross_g", "", "what the scale showed"),
    cell("a check of no scale", 2, "scale", "", "needs the name of the scale"),
    cell("a check of an item", 2, "tag", "R-0101", "A scale check is no item's"),
    cell("a check with another role", 2, "role", "of", "has the role “line”, not “of”"),
    cell("a hold in words", 4, "hold_until", "next month", "is no day; write year-month-day"),
    cell("a hold with a time", 4, "hold_until", "2031-05-01T09:00", "is no day"),
    cell("a hold of a day that is none", 4, "hold_until", "2031-02-30", "no day 2031-02-30"),
    cell("a hold from before it came", 4, "hold_until", "2031-03-01", "before that; correct"),
    cell("a hold of years to come", 4, "hold_until", "2301-05-01", "lies outside 1900 to 2199"),
    cell("a hold of what is made", 9, "hold_until", "2031-05-01", "Only what is received"),
    cells(
        "held and worked",
        "17 when=2031-04-30; 18 when=2031-04-30; 19 when=2031-04-30",
        18,
        "tag",
        "R-0102 is held until 2031-05-01 and cannot be worked before that day",
    ),
    cell("a scale without a weight", 16, "scale", "bench scale", "named, but no weight"),
    cell("a formula as scale", 15, "scale", "=A1", "would run as a formula"),
    cell("a witness who cannot be seen", 11, "witness", "O\u200ble", "(U+200B)"),
    cell("furnace facts of a move", 16, "furnace", "965 °C", "belong to work only"),
    cell("a picture by its name", 5, "ref", "bag.jpg", "is the SHA-256 of its file"),
    cell("a picture in capitals", 5, "ref", PICTURE.upper(), "is the SHA-256 of its file"),
    cell("no picture", 5, "ref", "", "needs the picture"),
    cell("a picture of nothing", 5, "tag", "R-0999", "No item with tag R-0999"),
    with_row(
        "a picture once more",
        f"{LAST}photo,,of,R-0101,,,,,,,,,,,,,,,,,{PICTURE},,,,,,,,,",
        "ref",
        "This picture is with R-0101 already",
    ),
    cell("a seal without its number", 12, "ref", "", "needs the number on the seal"),
    cell("a seal with another role", 12, "role", "made", "has the role “applied” or “broken”"),
    cell("a seal on nothing", 12, "tag", "drum Z", "No item with tag drum Z", ((17, "ref"),)),
    cells("a second seal", "13 role=applied", 13, "tag", "carries seal 0417 already"),
    cell("another number than that of the seal", 13, "ref", "0471", "carries seal 0417 in the"),
    without("a seal that nobody applied", 11, 12, "ref", "carries no seal in the book"),
    without("a sealed drum that nobody broke", 14, 15, "tag", "S-0101 lies in drum D, which is"),
    without("a sealed bag that nobody broke", 17, 17, "tag", "is under seal 0418"),
    cells(
        "put into a sealed drum",
        "14 act=seal; 14 role=checked; 15 tag=K-0101; 15 act=move; 15 gross_g=; 15 gross_u_g=; "
        "15 tare_g=; 15 scale=; 15 place=drum D; 16 tag=K-0101",
        15,
        "place",
        "drum D is under seal 0417; nothing can be put into it",
    ),
    header("a column of another spelling", "tare_g", "tare", "tare", "mean “tare_g”?"),
    header("a column of the bench twice", "furnace", "witness", "witness", "stands twice"),
]


def test_there_are_at_least_twelve_kinds_and_none_stands_twice() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS) >= 12


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_bad_bench_daybook_is_refused_with_row_column_and_sentence(kind: Kind) -> None:
    insist_that_it_is_refused(kind, EXAMPLE)


def written(data: bytes) -> str:
    reading = read_daybook(data, zone=ZONE)
    assert reading.faults == ()
    stream = io.StringIO(newline="")
    write_daybook(reading.entries, stream, zone=ZONE)
    return stream.getvalue()


def test_the_example_is_read_without_a_fault_and_written_as_it_was() -> None:
    reading = read_daybook(EXAMPLE, zone=ZONE)
    assert reading.faults == ()
    assert {Act.PHOTO, Act.SEAL, Act.SCALE_CHECK} < {entry.act for entry in reading.entries}
    again = read_daybook(written(EXAMPLE).encode(), zone=ZONE)
    assert again.entries == reading.entries


def test_columns_of_the_bench_are_written_only_where_one_is_used() -> None:
    plain = (EXAMPLES / "example-daybook.csv").read_bytes()
    assert written(plain).splitlines()[0] == plain.decode().splitlines()[0]
    used = written(EXAMPLE).splitlines()[0]
    assert used == EXAMPLE.decode().splitlines()[0]
    tare_only = written(EXAMPLE.replace(b",2031-05-01,", b",,"))
    assert tare_only.splitlines()[0].endswith(",note,tare_g,nominal_g,scale,witness,furnace")


def test_columns_of_the_bench_are_found_wherever_they_stand() -> None:
    rows = [line.split(",") for line in EXAMPLE.decode().splitlines() if '"' not in line]
    moved_ = "\n".join(",".join([*row[-6:], *row[:-6]]) for row in rows[:6])
    kept = "\n".join(",".join(row) for row in rows[:6])
    assert read_daybook(moved_.encode(), zone=ZONE).entries == (
        read_daybook(kept.encode(), zone=ZONE).entries
    )
