"""Big invented books as files: facts through the store in pieces, figures from a plain generator.

A book of a million items is laid out lot by lot, so that no shop of a million items is ever held
in memory. Its figures are made up by a rule of thumb, and their totals are added up here in plain
Python, apart from every SQL that is measured later.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from performance.big_books import FIRST_DAY, entries_of_a_book
from vault.core.daybook import Act, Entry
from vault.core.knowledge import Figure, How
from vault.core.shop import Shop
from vault.store.book_file import BookFile
from vault.store.entries import append, head_and_seal, last_number
from vault.store.figures import (
    ALL_FORMS,
    ALL_RESIDUES,
    Figures,
    FiguresState,
    ItemOrigin,
    SeriesPoint,
    StockTotal,
    keep_figures,
)

MOMENT = datetime(2031, 3, 1, 8, 0, tzinfo=UTC)
ENTRIES_AT_ONCE = 20_000
DAYS_OF_THE_SERIES = 100
# Parts of the gross weight that are taken for silver and gold, in ‰ by form.
SILVER = {"filings": 650, "button": 850, "bead": 993, "bar": 993, "sample": 993}
SILVER_OF_A_RESIDUE, GOLD = 15, 4

Row = tuple[int, str, str, str, int | None, str, str, str, int]


def write_book(path: Path, entries: Iterable[Entry], *, with_figures: bool = True) -> None:
    """Make a book file from entries of lots that never met; each piece begins with a receipt."""
    file = BookFile.create(path, zone="UTC", shop_name="A large invented shop")
    try:
        for piece in _pieces(entries):
            shop = Shop()
            for entry in piece:
                shop.take(entry)
            with file.writing() as connection:
                append(connection, shop, [(one, f"key {one.number}") for one in piece], MOMENT)
        if with_figures:
            _work_out_by_rule_of_thumb(file)
    finally:
        file.close()


def book_of_families(path: Path, items: int, *, with_figures: bool = True) -> Path:
    """Make a book of about so many items, once; give its file."""
    if not path.exists():
        write_book(path, entries_of_a_book(items, tied=False), with_figures=with_figures)
    return path


def _pieces(entries: Iterable[Entry]) -> Iterator[list[Entry]]:
    piece: list[Entry] = []
    for entry in entries:
        if entry.act is Act.RECEIVE and len(piece) >= ENTRIES_AT_ONCE:
            yield piece
            piece = []
        piece.append(entry)
    yield piece


@dataclass(slots=True)
class _Total:
    items: int = 0
    not_known: int = 0
    fine_ug: int = 0

    def take(self, figure: Figure) -> None:
        self.items += 1
        if figure.fine_ug is None:
            self.not_known += 1
        else:
            self.fine_ug += figure.fine_ug

    def figure(self) -> Figure:
        return Figure(self.fine_ug, self.fine_ug // 100, How.WORKED_OUT)


@dataclass(slots=True)
class _Totals:
    """What is on hand together, by metal and form and by metal and owner."""

    by_form: dict[tuple[str, str], _Total] = field(default_factory=lambda: defaultdict(_Total))
    by_owner: dict[tuple[str, str], int] = field(default_factory=lambda: defaultdict(int))

    def take(self, row: Row, metal: str, figure: Figure) -> None:
        _, _, form, _, _, party, terms, state, residue = row
        if state != "on hand":
            return
        for name in (form, ALL_FORMS, *((ALL_RESIDUES,) if residue else ())):
            self.by_form[metal, name].take(figure)
        owner = "*owed" if terms == "toll" and party else "*ours"
        self.by_owner[metal, owner] += figure.fine_ug or 0


def _work_out_by_rule_of_thumb(file: BookFile) -> None:
    with file.writing() as connection:
        rows: list[Row] = [
            tuple(row)
            for row in connection.exec_driver_sql(
                "SELECT id, tag, form, lot, gross_ug, party, terms, state, is_residue FROM item"
            )
        ]
        totals = _totals(rows)
        head, _ = head_and_seal(connection)
        keep_figures(
            connection,
            Figures(
                state=FiguresState(last_number(connection), head, MOMENT),
                contents=((row[1], metal, figure) for row, metal, figure in _contents(rows)),
                origins=_origins(rows),
                totals=_stock_totals(totals),
                owners=_owners(totals),
                series=_series(),
            ),
        )


def _contents(rows: list[Row]) -> Iterator[tuple[Row, str, Figure]]:
    for number, row in enumerate(rows):
        _, _, form, _, gross_ug, *_ = row
        parts = {"Ag": SILVER.get(form, SILVER_OF_A_RESIDUE)}
        if number % 2:
            parts["Au"] = GOLD
        for metal, permille in parts.items():
            yield row, metal, _figure(gross_ug, permille, form)


def _figure(gross_ug: int | None, permille: int, form: str) -> Figure:
    if gross_ug is None:
        return Figure(None, None, How.NOT_KNOWN)
    fine_ug = gross_ug * permille // 1000
    return Figure(fine_ug, fine_ug // 50, How.ASSAYED if form == "bar" else How.WORKED_OUT)


def _origins(rows: list[Row]) -> Iterator[ItemOrigin]:
    lot = owner = ""
    for _, tag, _, own_lot, _, party, terms, state, _ in rows:
        # Ids rise in the order of making, so what follows a receipt came from it.
        if own_lot:
            lot, owner = own_lot, party if terms == "toll" else ""
        if state != "used":
            yield ItemOrigin(tag, owner, 980_000, (lot,), 0)


def _totals(rows: list[Row]) -> _Totals:
    totals = _Totals()
    for row, metal, figure in _contents(rows):
        totals.take(row, metal, figure)
    return totals


def _owners(totals: _Totals) -> dict[tuple[str, str], Figure]:
    return {
        whose: Figure(fine_ug, fine_ug // 100, How.WORKED_OUT)
        for whose, fine_ug in totals.by_owner.items()
    }


def _stock_totals(totals: _Totals) -> Iterator[StockTotal]:
    for (metal, form), one in totals.by_form.items():
        yield StockTotal(metal, form, one.items, one.not_known, one.figure())


def _series() -> Iterator[SeriesPoint]:
    for at in range(DAYS_OF_THE_SERIES):
        day: date = FIRST_DAY + timedelta(days=30 * at)
        for form in (ALL_FORMS, ALL_RESIDUES, "bar"):
            yield SeriesPoint("Ag", day, form, 1_000_000_000 * (at + 1), 1_000_000)
