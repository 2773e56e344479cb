"""Rows of a CSV file, whatever its bytes are: what cannot be read is told and stepped over."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from vault.application.exchange.faults import RowFault

# The csv module's own limit; a cell beyond it is refused by it without being taken in.
_LONGEST_CELL = csv.field_size_limit()
# Each row with a broken quotation mark may cost a look at all rows below it.
_MOST_BROKEN_ROWS = 100
# Any cell, as far as it is well formed; possessive, so that a long one costs one pass.
_CELL = re.compile(r'"(?:[^"]++|"")*+"|[^",\r\n][^,\r\n]*+|')
_BAD_BYTE = re.compile("[\udc80-\udcff]")

_SAVE_AS = "Save it as CSV in UTF-8 and read it again."
_UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_OLD_SPREADSHEET = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


class CsvRows:
    """The rows of one CSV file, the header first, each with its number.

    Attributes:
        faults: what could not be read; complete once all rows were asked for.
    """

    def __init__(self, data: bytes) -> None:
        self.faults: list[RowFault] = []
        self._is_damaged = False
        text = self._text_of(data)
        self._lines = _Lines(list(io.StringIO(text, newline="")))
        self._header: list[str] = []
        self._broken = 0
        self._bad_bytes: list[RowFault] = []

    @property
    def share_read(self) -> float:
        """How much of the file was handed out, from 0 to 1."""
        return self._lines.at / max(1, len(self._lines.lines))

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        lines = self._lines
        reader = csv.reader(lines, strict=True)
        row = 0
        while True:
            row += 1
            start = lines.at
            try:
                cells = next(reader)
            except StopIteration:
                break
            except csv.Error as error:
                self._tell_broken(row, start, str(error))
                if self._broken >= _MOST_BROKEN_ROWS:
                    break
                lines.at = start + 1
                reader = csv.reader(lines, strict=True)
                continue
            if row == 1:
                self._header = cells
            if self._is_damaged:
                cells = self._mended(row, cells)
            yield row, cells
        self._tell_bad_bytes()

    def _text_of(self, data: bytes) -> str:
        whole = _fault_of_whole(data)
        if whole:
            self.faults.append(RowFault(1, "", whole))
            return ""
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            self._is_damaged = True
            return data.decode("utf-8-sig", errors="surrogateescape")

    def _column(self, at: int) -> str:
        return self._header[at].strip()[:40] if at < len(self._header) else ""

    def _tell_broken(self, row: int, start: int, error: str) -> None:
        self._broken += 1
        at = _cell_at_fault("".join(self._lines.lines[start : self._lines.at]))
        if "field limit" in error:
            sentence = (
                f"This cell holds more than {_LONGEST_CELL} characters; no daybook has such. "
                "The row was not read."
            )
        else:
            sentence = (
                'The quotation marks of this cell do not close; write “"” as “""” within a cell '
                "and one at either end of it. The row was not read."
            )
        self.faults.append(RowFault(row, self._column(at), sentence))
        if self._broken == _MOST_BROKEN_ROWS:
            self.faults.append(
                RowFault(
                    row + 1, "", "After so many broken rows the rest of the file was not read."
                )
            )

    def _mended(self, row: int, cells: list[str]) -> list[str]:
        for at, cell in enumerate(cells):
            found = _BAD_BYTE.search(cell)
            if found:
                byte = ord(found[0]) - 0xDC00
                sentence = f"The byte {byte:02X} (hexadecimal) here is no text in UTF-8."
                self._bad_bytes.append(RowFault(row, self._column(at), sentence))
                cells[at] = _BAD_BYTE.sub("\N{REPLACEMENT CHARACTER}", cell)
        return cells

    def _tell_bad_bytes(self) -> None:
        """Tell the first cell in a wrong encoding and how many more there are: one cause."""
        if not self._bad_bytes:
            return
        first, more = self._bad_bytes[0], len(self._bad_bytes) - 1
        also = f" So it is in {more} more cells." if more else ""
        self.faults.append(RowFault(first.row, first.column, f"{first.sentence}{also} {_SAVE_AS}"))


class _Lines:
    """Physical lines of a text that can be gone back in."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.at = 0

    def __iter__(self) -> _Lines:
        return self

    def __next__(self) -> str:
        at = self.at
        if at >= len(self.lines):
            raise StopIteration
        self.at = at + 1
        return self.lines[at]


def _fault_of_whole(data: bytes) -> str | None:
    if not data.strip():
        return "The file is empty; a daybook has a header row and rows below it."
    if data.startswith(_OLD_SPREADSHEET):
        return "This is an old spreadsheet file (.xls); save it as .xlsx or as CSV in UTF-8."
    if data.startswith(_UTF_16_MARKS) or _looks_like_utf_16(data[:4000]):
        return f"This file is in UTF-16 or UTF-32, not in UTF-8. {_SAVE_AS}"
    nul = data.find(b"\x00")
    if nul >= 0:
        row = data.count(b"\n", 0, nul) + 1
        return (
            f"This file is no text: about row {row} it has a byte of value zero. A daybook is a "
            "CSV or .xlsx file."
        )
    return None


def _looks_like_utf_16(start: bytes) -> bool:
    """Tell whether every other byte is nearly always zero, as Western text in UTF-16 has it."""
    half = len(start) // 2
    zeros = sorted((start[0::2].count(0), start[1::2].count(0)))
    return half >= 4 and zeros[0] < 0.3 * half and zeros[1] > 0.7 * half


def _cell_at_fault(text: str) -> int:
    """Give the place of the first cell that is too long or whose quotation marks do not close."""
    at = cell = 0
    while True:
        found = _CELL.match(text, at)
        end = found.end() if found else at
        if end - at > _LONGEST_CELL or not text.startswith(",", end):
            return cell
        at, cell = end + 1, cell + 1
