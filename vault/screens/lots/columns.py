"""The columns of the table of lots."""

from __future__ import annotations

from collections.abc import Sequence

from vault.application.queries.answers.lots import LotRow
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.screens.models.cells import Column, content_of, fine_column
from vault.screens.numbers import NOTHING, Numbers, day

NAME = "Lot"


def lot_columns(rows: Sequence[LotRow]) -> tuple[Column[LotRow], ...]:
    """Give the columns for these lots: one for each metal that any of them holds."""
    held = {metal for row in rows for metal in row.received}
    return (
        Column(NAME, _lot, "L-0118", lambda row: row.lot, is_bold=True, share=1),
        Column("Whose", _party, "Pennant Be", lambda row: row.party.casefold(), share=4),
        Column("Terms", _terms, "bought", lambda row: row.terms),
        Column("Received", _day, "28 Nov 2031", lambda row: row.received_on),
        Column("What", _words, "filings, ash", lambda row: row.words, share=3),
        Column("Weight", _weight, "not weighed", _weight_key, is_right=True),
        *(_metal_column(metal) for metal in ALL_SYMBOLS if metal in held),
        Column("Progress", _progress, "held until 28 Mar", lambda row: row.progress, share=1),
    )


def weight_words(row: LotRow, numbers: Numbers) -> str:
    """Say what a lot weighed, and how much of it was never on the scale."""
    if row.not_weighed == row.items:
        return "not weighed"
    weighed = numbers.total_weight(row.gross_ug)
    return f"{weighed}, {row.not_weighed} not weighed" if row.not_weighed else weighed


def _metal_column(metal: str) -> Column[LotRow]:
    def of(row: LotRow) -> Figure | None:
        return content_of(row.received, metal)

    return fine_column(metal, of)


def _lot(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return row.lot


def _party(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return row.party


def _terms(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return row.terms or NOTHING


def _day(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return day(row.received_on)


def _words(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return row.words


def _weight(row: LotRow, numbers: Numbers) -> str:
    return weight_words(row, numbers)


def _weight_key(row: LotRow) -> int | None:
    return None if row.not_weighed == row.items else row.gross_ug


def _progress(row: LotRow, numbers: Numbers) -> str:
    del numbers
    return row.progress
