"""Rows of a spreadsheet file (.xlsx), typed cells turned to the exact text of the daybook."""

from __future__ import annotations

import io
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from vault.application.exchange.faults import RowFault

if TYPE_CHECKING:
    from openpyxl.workbook import Workbook

ZIP_MARK = b"PK\x03\x04"
# What a sheet of the format can have; a file that claims more is broken or means harm.
_MOST_ROWS = 1_048_576
_MOST_CELLS = 100_000_000
_MOST_UNPACKED_BYTES = 600_000_000
_HALF_SECOND = timedelta(milliseconds=500)
_CLOCK_NOISE = timedelta(milliseconds=5)

# All that openpyxl is known to raise on a file that is no good workbook; lxml's and the standard
# library's errors of XML are kinds of SyntaxError.
_NO_WORKBOOK = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    SyntaxError,
    EOFError,
    OSError,
    LookupError,
    ValueError,
    TypeError,
    ArithmeticError,
    AttributeError,
    RuntimeError,
)


class XlsxRows:
    """The rows of the first sheet of a workbook, the header first, each with its number.

    Attributes:
        faults: what could not be read; complete once all rows were asked for.
    """

    def __init__(self, data: bytes) -> None:
        self.faults: list[RowFault] = []
        self._data = data
        self._row = 0
        self._rows_expected = 1

    @property
    def share_read(self) -> float:
        """How much of the sheet was handed out, from 0 to 1."""
        return min(1.0, self._row / self._rows_expected)

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        try:
            yield from self._rows()
        except _NO_WORKBOOK:
            self.faults.append(
                RowFault(
                    self._row + 1,
                    "",
                    "From here on this file is no readable .xlsx workbook; open it in a "
                    "spreadsheet, save it anew as .xlsx or as CSV in UTF-8.",
                )
            )

    def _rows(self) -> Iterator[tuple[int, list[str]]]:
        with zipfile.ZipFile(io.BytesIO(self._data)) as packed:
            if sum(one.file_size for one in packed.infolist()) > _MOST_UNPACKED_BYTES:
                raise ValueError("unpacks to more than a daybook holds")
            has_formulas = _has_formulas(packed)
        values = self._sheet(data_only=True)
        formulas = self._sheet(data_only=False) if has_formulas else None
        header: list[str] = []
        cells_seen = 0
        for cells in values:
            self._row += 1
            cells_seen += len(cells)
            if self._row > _MOST_ROWS or cells_seen > _MOST_CELLS:
                raise ValueError("claims more cells than a sheet can have")
            texts = [_text_of(cell) for cell in cells]
            if formulas is not None:
                self._tell_uncalculated(next(formulas, ()), texts, header)
            header = header or texts
            yield self._row, texts

    def _sheet(self, *, data_only: bool) -> Iterator[tuple[Any, ...]]:
        # Imported here, since start-up does without it and it takes a third of a second.
        from openpyxl import load_workbook  # noqa: PLC0415 -- see the line above

        with warnings.catch_warnings():
            # openpyxl warns of styles and extensions that it leaves out; they say nothing here.
            warnings.simplefilter("ignore")
            book: Workbook = load_workbook(
                io.BytesIO(self._data), read_only=True, data_only=data_only
            )
            sheet = book.worksheets[0]
            self._rows_expected = max(1, min(sheet.max_row or 1, _MOST_ROWS))
            # What a file claims of its own size is often wrong.
            sheet.reset_dimensions()
            rows = sheet.iter_rows()
        while True:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                cells = next(rows, None)
            if cells is None:
                return
            yield cells

    def _tell_uncalculated(
        self, cells: tuple[Any, ...], texts: list[str], header: list[str]
    ) -> None:
        """Tell formulas without a result: taking them for empty cells would lose facts."""
        for at, cell in enumerate(cells):
            if cell.data_type == "f" and not (at < len(texts) and texts[at]):
                column = header[at].strip()[:40] if at < len(header) else ""
                self.faults.append(
                    RowFault(
                        self._row,
                        column,
                        "This cell holds a formula whose result is not in the file; put the "
                        "value itself there.",
                    )
                )


def _has_formulas(packed: zipfile.ZipFile) -> bool:
    for name in packed.namelist():
        if not name.startswith("xl/worksheets/"):
            continue
        with packed.open(name) as part:
            tail = b""
            while chunk := part.read(1 << 20):
                if b"<f" in tail + chunk:
                    return True
                tail = chunk[-1:]
    return False


def _text_of(cell: Any) -> str:  # noqa: ANN401 -- openpyxl's cells of one row have no common type
    value = cell.value
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        # A spreadsheet reckons with 15 digits; the 16th and 17th are noise of the binary form.
        return f"{Decimal(f'{value:.15g}'):f}"
    if isinstance(value, datetime):
        return _moment_text(value, has_time="h" in (cell.number_format or "").casefold())
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value)


def _moment_text(value: datetime, *, has_time: bool) -> str:
    """Give a day, or a day and time; a spreadsheet's fraction of a day misses seconds a little."""
    whole = (value + _HALF_SECOND).replace(microsecond=0)
    if abs(whole - value) < _CLOCK_NOISE:
        value = whole
    if not has_time and value.time() == time():
        return value.date().isoformat()
    return value.isoformat()
