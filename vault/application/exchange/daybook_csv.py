"""The daybook as a file: read in whole or not at all, written out so that it reads back the same.

Reading goes through four hands: rows (`csv_rows`, `xlsx_rows`) give cells, `columns` says which
cell is what, `drafts` gathers rows into entries, `judging` holds them against the rules of the
book. Each tells every fault that it finds, with its row and column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import tzinfo
from decimal import Decimal
from operator import attrgetter
from pathlib import Path
from typing import TextIO

from vault.application.exchange.columns import header_for, layout_of, metals_to_write, place_of
from vault.application.exchange.csv_rows import CsvRows
from vault.application.exchange.drafts import DraftReader
from vault.application.exchange.faults import FileNotReadable, ReadingStopped, RowFault
from vault.application.exchange.judging import Judge
from vault.application.exchange.moments import Moments
from vault.application.exchange.tables_out import Row, write_csv
from vault.application.exchange.xlsx_rows import ZIP_MARK, XlsxRows
from vault.core.daybook import WORDS, Entry, Line
from vault.core.shop import Shop

_MOST_BYTES = 1_000_000_000
_ROWS_BETWEEN_LOOKS = 500

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of reading a daybook file; either all of it or nothing but faults.

    Attributes:
        entries: the entries that are new to the book, in order; none where there are faults.
        faults: everything that is wrong, by row and column.
        shop: the shop after these entries; None where there are faults.
        already: how many entries of the file the book holds already, word for word.
        rows: how many rows the file has, the header not counted.
    """

    entries: tuple[Entry, ...]
    faults: tuple[RowFault, ...]
    shop: Shop | None
    already: int
    rows: int


def read_daybook(
    path_or_bytes: Path | str | bytes,
    *,
    zone: tzinfo,
    shop: Shop | None = None,
    progress: Progress | None = None,
    stopped: Callable[[], bool] | None = None,
) -> Reading:
    """Read a daybook from a CSV or .xlsx file against the book as it stands.

    Args:
        path_or_bytes: the file, or its content.
        zone: the shop's time zone, by which times without an offset are meant.
        shop: the shop as the book leaves it; it is not changed. None for a new book.
        progress: is told now and then how much was read, from 0 to 1.
        stopped: is asked now and then whether to stop.

    Raises:
        FileNotReadable: when the file cannot be opened.
        ReadingStopped: when `stopped` said so.
    """
    data = path_or_bytes if isinstance(path_or_bytes, bytes) else _bytes_of(Path(path_or_bytes))
    source = XlsxRows(data) if data.startswith(ZIP_MARK) else CsvRows(data)
    numbered = iter(source)
    _, header = next(numbered, (1, []))
    if source.faults:
        return _refused(source.faults, rows=0)
    layout, faults = layout_of(header)
    if layout is None:
        for _ in numbered:  # the faults of the rows themselves are found as they are read
            continue
        return _refused([*faults, *source.faults], rows=0)
    moments = Moments(zone)
    judge = Judge(shop, moments)
    watched = _Watched(numbered, source, progress, stopped)
    for draft in DraftReader(layout, moments).drafts_of(watched):
        if faults:
            # Under a wrong header cells are missing that the rules would ask for.
            judge.faults += draft.faults
        else:
            judge.judge(draft)
    faults += source.faults + judge.faults
    if faults:
        return _refused(faults, rows=watched.rows)
    return Reading(tuple(judge.entries), (), judge.shop, judge.already, watched.rows)


def write_daybook(entries: Iterable[Entry], stream: TextIO, *, zone: tzinfo) -> None:
    """Write entries as CSV, such that reading gives equal entries and the same chain.

    Args:
        entries: the entries in order.
        stream: where to; opened as UTF-8 text with `newline=""`.
        zone: the shop's time zone, in which times are shown.
    """
    columns, rows = daybook_table(list(entries), zone=zone)
    write_csv(columns, rows, stream)


def daybook_table(entries: list[Entry], *, zone: tzinfo) -> tuple[list[str], Iterator[Row]]:
    """Give the daybook as a table of its columns and one row per line."""
    used = {said.metal for entry in entries for line in entry.lines for said in line.contents}
    later = {column for column, of in _WHEN_USED.items() if any(map(of, _lines_of(entries)))}
    return header_for(metals_to_write(used), later), _rows_of(entries, Moments(zone))


def _lines_of(entries: list[Entry]) -> Iterator[Line]:
    return (line for entry in entries for line in entry.lines)


# What a line says in each of the columns that are written only where one does.
_WHEN_USED: dict[str, Callable[[Line], object]] = {
    "tare_g": lambda line: None if line.tare is None else Decimal(line.tare.to_text()),
    "nominal_g": lambda line: None if line.nominal is None else Decimal(line.nominal.to_text()),
    "hold_until": attrgetter("hold_until"),
    "scale": attrgetter("scale"),
    "witness": attrgetter("witness"),
    "furnace": attrgetter("furnace"),
}


def _rows_of(entries: list[Entry], moments: Moments) -> Iterator[Row]:
    for entry in entries:
        whole: dict[str, object] = {
            "entry": entry.number,
            "when": moments.to_text(entry.when),
            "by": entry.by,
            "act": entry.act.value,
            "process": entry.process.value if entry.process else None,
        }
        for line in entry.lines:
            yield whole | _cells_of(line)


def _cells_of(line: Line) -> dict[str, object]:
    cells: dict[str, object] = {name: getattr(line, name) for name in WORDS}
    cells["role"] = line.role.value
    if line.gross is not None:
        cells["gross_g"] = Decimal(line.gross.to_text())
    if line.gross_u is not None:
        cells["gross_u_g"] = Decimal(line.gross_u.to_text())
    for said in line.contents:
        cells[said.metal] = Decimal(said.fineness.to_text())
        if said.u is not None:
            cells[f"{said.metal}_u"] = Decimal(said.u.to_text())
    if line.money is not None:
        cells["amount"] = Decimal(line.money.to_text())
        cells["currency"] = line.money.currency
    return cells | {column: of(line) for column, of in _WHEN_USED.items()}


class _Watched:
    """Rows on their way, with a look now and then at the clock on the wall and the door."""

    def __init__(
        self,
        rows: Iterator[tuple[int, list[str]]],
        source: CsvRows | XlsxRows,
        progress: Progress | None,
        stopped: Callable[[], bool] | None,
    ) -> None:
        self.rows = 0
        self._numbered = rows
        self._source = source
        self._progress = progress
        self._stopped = stopped

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        for row in self._numbered:
            self.rows += 1
            if self.rows % _ROWS_BETWEEN_LOOKS == 0:
                self._look()
            yield row
        self._look()

    def _look(self) -> None:
        if self._stopped is not None and self._stopped():
            raise ReadingStopped("Reading was stopped; nothing was taken from the file.")
        if self._progress is not None:
            self._progress(self._source.share_read)


def _refused(faults: list[RowFault], *, rows: int) -> Reading:
    return Reading((), tuple(sorted(faults, key=place_of)), None, 0, rows)


def _bytes_of(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            raise FileNotReadable(
                f"“{path.name}” has {size // 1_000_000} MB, more than a daybook can have; check "
                "that it is the right file."
            )
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise FileNotReadable(f"“{path}” cannot be read: {reason}.") from error
