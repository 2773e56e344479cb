"""Tables for other programs: CSV, JSON and .xlsx, in which no text can be run as a formula."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, BinaryIO, TextIO

from vault.application.exchange.formulas import guarded
from vault.core.errors import VaultError

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

Row = Mapping[str, object]

# What the .xlsx format has room for.
_MOST_ROWS = 1_048_575
_LONGEST_TEXT = 32_767
_WIDEST_COLUMN = 40


class TableTooLarge(VaultError):
    """A table that the wanted kind of file has no room for."""


def write_csv(columns: Sequence[str], rows: Iterable[Row], stream: TextIO) -> None:
    """Write a table as CSV: comma, decimal point, empty where nothing is known.

    Args:
        columns: names of the columns, in order; what a row has beyond them is left out.
        rows: text, numbers, days, or None, by column.
        stream: where to; opened as UTF-8 text with `newline=""`.
    """
    writer = csv.writer(stream)
    writer.writerow([guarded(name) for name in columns])
    for row in rows:
        writer.writerow([_csv_text(row.get(name)) for name in columns])


def write_json(document: object, stream: TextIO) -> None:
    """Write mappings, sequences, text, numbers, days and None as JSON, with all digits."""
    json.dump(document, stream, ensure_ascii=False, indent=2, allow_nan=False, default=_json_value)
    stream.write("\n")


def write_xlsx(
    columns: Sequence[str], rows: Iterable[Row], stream: BinaryIO, *, title: str = "Table"
) -> None:
    """Write a table as the one sheet of a workbook: numbers as numbers, text as text.

    Raises:
        TableTooLarge: when it has more rows than a sheet can have.
    """
    # Imported here, since start-up does without it.
    from xlsxwriter import Workbook  # noqa: PLC0415 -- see the line above

    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with Workbook(stream, options) as book:
        sheet = book.add_worksheet(title)
        bold = book.add_format({"bold": True})
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.freeze_panes(1, 0)
        for at, name in enumerate(columns):
            sheet.set_column(at, at, min(max(10, len(name) + 2), _WIDEST_COLUMN))
            sheet.write_string(0, at, guarded(name), bold)
        for number, row in enumerate(rows, start=1):
            if number > _MOST_ROWS:
                raise TableTooLarge(
                    f"This table has more than {_MOST_ROWS} rows, which is all that an .xlsx file "
                    "holds; write it as CSV."
                )
            for at, name in enumerate(columns):
                _write_cell(sheet, number, at, row.get(name), day)


def _write_cell(sheet: Worksheet, row: int, at: int, value: object, day: Format) -> None:
    if value is None or value == "":
        return
    if isinstance(value, bool):
        sheet.write_boolean(row, at, value)
    elif isinstance(value, int | float | Decimal):
        sheet.write_number(row, at, value)
    elif isinstance(value, date) and not isinstance(value, datetime):
        sheet.write_datetime(row, at, value, day)
    else:
        text = _csv_text(value)
        if len(text) > _LONGEST_TEXT:
            raise TableTooLarge(
                f"A text of {len(text)} characters does not fit a cell of an .xlsx file; write the "
                "table as CSV."
            )
        sheet.write_string(row, at, text)


def _csv_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value)
    if isinstance(value, float):
        return f"{Decimal(repr(value)):f}"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    return str(value)


def _json_value(value: object) -> object:
    if isinstance(value, Decimal):
        # The shortest text of a float has all digits of any mass that a book can hold.
        if value != Decimal(repr(float(value))):
            raise ValueError(f"{value} has more digits than a JSON number carries everywhere")
        return int(value) if value == value.to_integral_value() else float(value)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")
