from __future__ import annotations

import csv
import io
import json
import math
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from random_shop import RandomShop
from vault.application.exchange import tables_out, xlsx_rows
from vault.application.exchange.daybook_csv import Reading, daybook_table, read_daybook
from vault.application.exchange.tables_out import (
    TableTooLarge,
    write_csv,
    write_json,
    write_xlsx,
)

ZONE = ZoneInfo("Europe/Berlin")
HEADER = ("entry", "when", "by", "act", "role", "tag", "form", "lot", "terms", "gross_g", "note")


def workbook(*rows: tuple[object, ...], change: Callable[[Worksheet], None] | None = None) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    for row in (HEADER, *rows):
        sheet.append(list(row))
    if change:
        change(sheet)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def receipt(
    number: object, when: object, gross: object, *, tag: object = "R-1"
) -> tuple[object, ...]:
    return (number, when, "Imke", "receive", "in", tag, "scrap", f"L-{number}", "own", gross, None)


def read(data: bytes) -> Reading:
    return read_daybook(data, zone=ZONE)


# --- .xlsx in ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "text"),
    [(512.4, "512.4"), (512, "512"), ("512.40", "512.4"), (0.1 + 0.2, "0.3"), (1e-6, "0.000001")],
)
def test_numbers_of_a_spreadsheet_are_read_to_the_digit(cell: object, text: str) -> None:
    gross = read(workbook(receipt(1, "2031-01-01", cell))).entries[0].lines[0].gross
    assert gross is not None
    assert gross.to_text() == text


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (date(2031, 3, 1), "2031-03-01"),
        (datetime(2031, 3, 1), "2031-03-01 2031-02-28T23:00:00Z"),  # noqa: DTZ001 -- has no zone
        (datetime(2031, 3, 1, 9, 10), "2031-03-01 2031-03-01T08:10:00Z"),  # noqa: DTZ001 -- same
        ("2031-03-01T09:10", "2031-03-01 2031-03-01T08:10:00Z"),
    ],
)
def test_dates_of_a_spreadsheet_are_read_by_the_clock_of_the_shop(cell: object, text: str) -> None:
    assert read(workbook(receipt(1, cell, 1))).entries[0].when.to_text() == text


def test_a_midnight_shown_as_a_day_is_a_day() -> None:
    def show_days(sheet: Worksheet) -> None:
        sheet["B2"].number_format = "yyyy-mm-dd"

    data = workbook(receipt(1, datetime(2031, 3, 1), 1), change=show_days)  # noqa: DTZ001 -- none
    assert read(data).entries[0].when.at is None


def test_a_spreadsheet_that_misses_the_second_by_a_hair_is_understood() -> None:
    off = datetime(2031, 3, 1, 9, 10) - timedelta(milliseconds=1)  # noqa: DTZ001 -- has no zone
    assert read(workbook(receipt(1, off, 1))).entries[0].when.to_text().endswith("T08:10:00Z")


def test_a_fraction_of_a_second_that_is_meant_is_kept() -> None:
    meant = datetime(2031, 3, 1, 9, 10, 0, 250_000)  # noqa: DTZ001 -- has no zone
    assert (
        read(workbook(receipt(1, meant, 1))).entries[0].when.to_text().endswith("08:10:00.250000Z")
    )


@pytest.mark.parametrize(
    ("cell", "column"), [(True, "gross_g"), ("#N/A", "gross_g"), (time(9, 10), "gross_g")]
)
def test_other_kinds_of_cells_are_at_fault_by_row_and_column(cell: object, column: str) -> None:
    reading = read(workbook(receipt(1, "2031-01-01", 5), receipt(2, "2031-01-02", cell, tag="R-2")))
    assert [(fault.row, fault.column) for fault in reading.faults] == [(3, column)]


def test_a_formula_without_its_result_is_not_taken_for_an_empty_cell() -> None:
    reading = read(workbook(receipt(1, "2031-01-01", "=500+12.4")))
    assert [(fault.row, fault.column) for fault in reading.faults] == [(2, "gross_g")]
    assert "whose result is not in the file" in reading.faults[0].sentence


def test_a_formula_with_its_result_counts_as_that() -> None:
    data = workbook(receipt(1, "2031-01-01", "=500+12.4"))
    data = with_part_changed(data, b"<v></v>", b"<v>512.4</v>", b"<v/>", b"<v />")
    gross = read(data).entries[0].lines[0].gross
    assert gross is not None
    assert gross.to_text() == "512.4"


def with_part_changed(data: bytes, new_last: bytes, new: bytes, *olds: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as changed:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                before = part
                for one in (new_last, *olds):
                    part = part.replace(one, new)
                assert part != before, part
            changed.writestr(name, part)
    return out.getvalue()


def test_blank_rows_of_a_sheet_are_counted_as_the_spreadsheet_does() -> None:
    def leave_a_gap(sheet: Worksheet) -> None:
        for at, cell in enumerate(receipt(2, "soon", 1, tag="R-2"), start=1):
            sheet.cell(7, at).value = cell  # type: ignore[assignment]  # any cell of a row

    reading = read(workbook(receipt(1, "2031-01-01", 1), change=leave_a_gap))
    assert [(fault.row, fault.column) for fault in reading.faults] == [(7, "when")]


@pytest.mark.parametrize(
    "spoilt",
    [
        pytest.param(lambda data: data[: len(data) // 2], id="cut off"),
        pytest.param(
            lambda data: with_part_changed(data, b"</sheetData>", b"<oops>"), id="broken XML"
        ),
        pytest.param(
            lambda data: with_part_changed(data, b'r="A2"', b'r="2A"'), id="a cell of no column"
        ),
    ],
)
def test_a_broken_workbook_is_told_in_a_sentence(spoilt: Callable[[bytes], bytes]) -> None:
    reading = read(spoilt(workbook(receipt(1, "2031-01-01", 1))))
    assert "no readable .xlsx workbook" in reading.faults[0].sentence
    assert reading.entries == ()


def test_a_row_beyond_all_sheets_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(xlsx_rows, "_MOST_ROWS", 5_000)
    data = workbook(receipt(1, "2031-01-01", 1))
    reading = read(with_part_changed(data, b'<row r="2"', b'<row r="99999999999"'))
    assert "no readable .xlsx workbook" in reading.faults[0].sentence
    assert reading.faults[0].row == 5_002


def test_a_file_that_unpacks_beyond_measure_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(xlsx_rows, "_MOST_UNPACKED_BYTES", 1000)
    reading = read(workbook(receipt(1, "2031-01-01", 1)))
    assert "no readable .xlsx workbook" in reading.faults[0].sentence


def test_another_packed_file_is_no_workbook() -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("letter.txt", "Dear shop")
    assert "no readable .xlsx workbook" in read(stream.getvalue()).faults[0].sentence


def test_reading_a_long_sheet_tells_how_far_it_is() -> None:
    rows = [receipt(n, "2031-01-01", 1, tag=f"R-{n}") for n in range(1, 1_200)]
    told: list[float] = []
    read_daybook(workbook(*rows), zone=ZONE, progress=told.append)
    assert told == sorted(told)
    assert 0.3 < told[0] < 0.5
    assert told[-1] == 1


# --- Out and in again ----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
def test_a_daybook_written_as_xlsx_reads_back_the_same(seed: int) -> None:
    random_shop = RandomShop(seed)
    random_shop.go_on(60)
    columns, rows = daybook_table(random_shop.entries, zone=ZONE)
    stream = io.BytesIO()
    write_xlsx(columns, rows, stream, title="Daybook")
    reading = read(stream.getvalue())
    assert reading.faults == ()
    assert reading.entries == tuple(random_shop.entries)


# --- Tables out ----------------------------------------------------------------------------------

COLUMNS = ("tag", "fine_g", "share", "since", "noted", "is_residue", "note")
ROW = {
    "tag": "B-1",
    "fine_g": Decimal("452.580001"),
    "share": 1e-7,
    "since": date(2031, 3, 1),
    "noted": datetime(2031, 3, 1, 9, 10, tzinfo=UTC),
    "is_residue": False,
    "note": '=HYPERLINK("x")',
    "beyond": "left out",
}


def test_a_table_as_csv_has_plain_numbers_and_harmless_words() -> None:
    stream = io.StringIO(newline="")
    write_csv(COLUMNS, [ROW, {"tag": None, "fine_g": -3}], stream)
    rows = list(csv.reader(io.StringIO(stream.getvalue(), newline="")))
    assert rows == [
        list(COLUMNS),
        [
            "B-1",
            "452.580001",
            "0.0000001",
            "2031-03-01",
            "2031-03-01T09:10:00+00:00",
            "False",
            '\'=HYPERLINK("x")',
        ],
        ["", "-3", "", "", "", "", ""],
    ]


def test_a_table_as_xlsx_has_typed_cells_and_no_formula() -> None:
    stream = io.BytesIO()
    write_xlsx(COLUMNS, [ROW, {"tag": None}], stream, title="Stock")
    sheet = openpyxl.load_workbook(io.BytesIO(stream.getvalue()))["Stock"]
    cells = [cell.value for cell in sheet[2]]
    assert cells == [
        "B-1",
        452.580001,
        1e-7,
        datetime(2031, 3, 1),  # noqa: DTZ001 -- a sheet's days have no zone
        "2031-03-01T09:10:00+00:00",
        False,
        '\'=HYPERLINK("x")',
    ]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n", "d", "b"}
    assert sheet.freeze_panes == "A2"


def test_a_table_too_long_for_a_sheet_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables_out, "_MOST_ROWS", 2)
    with pytest.raises(TableTooLarge, match="write it as CSV"):
        write_xlsx(["tag"], [{"tag": "a"}] * 3, io.BytesIO())


def test_a_text_too_long_for_a_cell_is_refused_and_not_cut() -> None:
    with pytest.raises(TableTooLarge, match="40000 characters"):
        write_xlsx(["tag"], [{"tag": "a" * 40_000}], io.BytesIO())


def test_a_document_as_json_has_all_digits() -> None:
    stream = io.StringIO()
    document = {"as_of": date(2031, 3, 1), "fine_g": Decimal("8999999.123456"), "u_g": None}
    write_json({**document, "whole": Decimal("3.000"), "name": "Møller"}, stream)
    text = stream.getvalue()
    assert '"fine_g": 8999999.123456,' in text
    assert "Møller" in text
    assert json.loads(text) == {
        "as_of": "2031-03-01",
        "fine_g": 8999999.123456,
        "u_g": None,
        "whole": 3,
        "name": "Møller",
    }


@pytest.mark.parametrize(
    "value", [math.nan, Decimal("0.12345678901234567890"), object(), {"deep": math.inf}]
)
def test_what_json_cannot_carry_exactly_is_refused(value: object) -> None:
    with pytest.raises((TypeError, ValueError)):
        write_json({"value": value}, io.StringIO())
