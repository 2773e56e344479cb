"""The columns of the daybook."""

from __future__ import annotations

from datetime import date, datetime

from vault.application.queries.answers.daybook import DaybookRow
from vault.screens.models.cells import Column
from vault.screens.numbers import Numbers, day


def moment_words(on: date, at: datetime | None) -> str:
    """Write when something happened, with its time where that was noted."""
    return day(on) if at is None else f"{day(on)}, {at:%H:%M}"


def _number(row: DaybookRow, numbers: Numbers) -> str:
    return numbers.count(row.number)


def _when(row: DaybookRow, numbers: Numbers) -> str:
    del numbers
    return moment_words(row.day, row.at)


def _who(row: DaybookRow, numbers: Numbers) -> str:
    del numbers
    return row.by


def _act(row: DaybookRow, numbers: Numbers) -> str:
    del numbers
    return row.act.value


def _words(row: DaybookRow, numbers: Numbers) -> str:
    del numbers
    return row.words


def _struck(row: DaybookRow) -> str:
    return "" if row.struck_by is None else f"struck by entry {row.struck_by}: {row.reason}"


COLUMNS: tuple[Column[DaybookRow], ...] = (
    Column("Entry", _number, "100 000", is_right=True, is_bold=True),
    Column("When", _when, "28 Nov 2031, 08:05"),
    Column("Who", _who, "Imke B.", share=1),
    Column("Act", _act, "receive"),
    Column("What", _words, "remelt K-0003", after=_struck, share=8),
)
