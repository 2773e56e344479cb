"""The columns of the works done lately."""

from __future__ import annotations

from vault.application.queries.answers.bench import RecentWork
from vault.screens.models.cells import Column
from vault.screens.numbers import NOTHING, Numbers, day

_MOST_TAGS = 3


def work_columns() -> tuple[Column[RecentWork], ...]:
    """Give the columns of works."""
    return (
        Column("When", _when, "28 Nov 2031, 15:20", lambda row: row.number),
        Column("What", _process, "burn off", lambda row: row.process.value, is_bold=True),
        Column("Went in", _went_in, "K-0212, K-0213 and 2", share=3),
        Column("Came out", _came_out, "bead K-0214, spent", share=4),
        Column("In and added", _weight_in, "1 004.62 g", lambda row: row.in_ug, is_right=True),
        Column("Out", _weight_out, "1 004.62 g", lambda row: row.out_ug, is_right=True),
        Column("Left over", _lost, "Ag 0.35 ± 0.25 g", is_right=True, share=1),
    )


def _when(row: RecentWork, numbers: Numbers) -> str:
    del numbers
    return day(row.day) if row.at is None else f"{day(row.day)}, {row.at:%H:%M}"


def _process(row: RecentWork, numbers: Numbers) -> str:
    del numbers
    return row.process.value


def _went_in(row: RecentWork, numbers: Numbers) -> str:
    del numbers
    more = len(row.used) - _MOST_TAGS
    tags = ", ".join(row.used[:_MOST_TAGS]) + (f" and {more} more" if more > 0 else "")
    return f"{tags} with {', '.join(dict.fromkeys(row.added))}" if row.added else tags


def _came_out(row: RecentWork, numbers: Numbers) -> str:
    del numbers
    more = len(row.made) - _MOST_TAGS
    told = ", ".join(f"{form} {tag}" for tag, form in row.made[:_MOST_TAGS])
    return f"{told} and {more} more" if more > 0 else told


def _weight_in(row: RecentWork, numbers: Numbers) -> str:
    return numbers.total_weight(row.in_ug)


def _weight_out(row: RecentWork, numbers: Numbers) -> str:
    return numbers.total_weight(row.out_ug) if row.out_ug else NOTHING


def _lost(row: RecentWork, numbers: Numbers) -> str:
    told = next(iter(row.lost.items()), None)
    if told is None:
        return NOTHING
    metal, figure = told
    return f"{metal} {numbers.uncut_with_unit(figure)}"
