"""The columns of the item table: what each shows of an item, and by what it sorts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from vault.application.queries.answers.items import (
    GroupBy,
    ItemQuery,
    ItemRow,
    SortBy,
)
from vault.core.items import State
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.screens.models.cells import fine_title
from vault.screens.numbers import NOTHING, Numbers, age, day
from vault.screens.words import NO_PLACE

STATES = {
    State.ON_HAND: "on hand",
    State.USED: "used up in work",
    State.SENT: "sent out",
    State.RETURNED: "returned",
    State.SOLD: "sold",
    State.MISSING: "missing",
}

# Rounding leaves a sole owner a hair below all of it.
NEARLY_ALL = 0.995

TextOf = Callable[[ItemRow, Numbers, date], str]


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes:
        title: what stands above it.
        text: what it shows of an item.
        sample: a long but likely text, by which its least width is set.
        sort_by: by what a click on the title sorts, or None.
        metal: of which metal it is, or empty.
        is_right: whether it is set flush right, as figures are.
        share: how much of the width to spare it takes.
        is_bold: whether it stands out.
    """

    title: str
    text: TextOf
    sample: str
    sort_by: SortBy | None = None
    metal: str = ""
    is_right: bool = False
    share: int = 0
    is_bold: bool = False

    def how(self, row: ItemRow) -> How | None:
        """Give how the figure in this column is known; None where it holds no such figure."""
        figure = _content(row, self.metal) if self.metal else None
        return None if figure is None else figure.how


def columns_for(
    metals: tuple[str, ...], query: ItemQuery, hidden: frozenset[str] = frozenset()
) -> tuple[Column, ...]:
    """Give the columns for a table of items that hold these metals.

    Args:
        metals: the metals that any item holds.
        query: what was asked; by what it groups needs no column, the metal it asks for has one.
        hidden: titles of columns that the reader does not want to see.
    """
    asked_for = fine_title(query.metal) if query.metal else ""
    return tuple(
        column
        for column in all_columns(metals, query.group_by)
        if column.title not in hidden or column.title == asked_for
    )


def all_columns(metals: tuple[str, ...], group_by: GroupBy) -> tuple[Column, ...]:
    """Give every column that there is for a table of items grouped by something."""
    columns = [
        Column("Tag", _tag, "B-000312", SortBy.TAG, is_bold=True),
        Column("What it is", _form, "spent cupel", SortBy.FORM, share=2),
        Column("Weight", _gross, "not weighed", SortBy.GROSS, is_right=True),
        *(_fine_column(metal) for metal in metals),
        Column("Fineness", _fineness, "1 000.0 ‰", is_right=True),
        Column("Lots", _lots, "L-118, L-121 +1", share=3),
    ]
    if group_by is not GroupBy.OWNER:
        columns.append(Column("Whose", _owner, "Pennant B", SortBy.OWNER, share=4))
    if group_by is not GroupBy.PLACE:
        columns.append(Column("Place", _place, "safe, top shelf", SortBy.PLACE, share=3))
    columns.append(Column("Since", _since, "100 mo", SortBy.SINCE, is_right=True))
    return tuple(columns)


def words_of(row: ItemRow, columns: tuple[Column, ...], numbers: Numbers, today: date) -> str:
    """Give a row as text for the clipboard, its cells parted by tabs."""
    return "\t".join(column.text(row, numbers, today) for column in columns)


def since_words(row: ItemRow) -> str:
    """Say since when an item is what it is, and whether it is still here."""
    state = "" if row.state is State.ON_HAND else f", {STATES[row.state]}"
    return f"since {day(row.since)}{state}"


def _fine_column(metal: str) -> Column:
    def text(row: ItemRow, numbers: Numbers, today: date) -> str:
        del today
        figure = _content(row, metal)
        return NOTHING if figure is None else numbers.figure(figure)

    return Column(
        fine_title(metal), text, "0.0000 ± 0.0028+●", SortBy.FINE, metal=metal, is_right=True
    )


def _content(row: ItemRow, metal: str) -> Figure | None:
    """Give what a cell shows of a metal: nothing where other metals are known and this is not."""
    figure = row.contents.get(metal)
    if figure is None and not row.contents:
        return NOTHING_KNOWN
    return figure


def _tag(row: ItemRow, numbers: Numbers, today: date) -> str:
    del numbers, today
    return row.tag


def _form(row: ItemRow, numbers: Numbers, today: date) -> str:
    del numbers, today
    return row.form if row.state is State.ON_HAND else f"{row.form}, {STATES[row.state]}"


def _gross(row: ItemRow, numbers: Numbers, today: date) -> str:
    del today
    return "not weighed" if row.gross_ug is None else numbers.weight(row.gross_ug)


def _fineness(row: ItemRow, numbers: Numbers, today: date) -> str:
    del today
    return numbers.permille(row.fineness_ppb)


def _lots(row: ItemRow, numbers: Numbers, today: date) -> str:
    del numbers, today
    more = f" +{row.more_lots}" if row.more_lots else ""
    return f"{', '.join(row.lots)}{more}" or NOTHING


def _owner(row: ItemRow, numbers: Numbers, today: date) -> str:
    del today
    if row.owner_share is None or row.owner_share > NEARLY_ALL:
        return row.owner or NOTHING
    return f"{row.owner} {numbers.rough_share(row.owner_share)}"


def _place(row: ItemRow, numbers: Numbers, today: date) -> str:
    del numbers, today
    return row.place or NO_PLACE


def _since(row: ItemRow, numbers: Numbers, today: date) -> str:
    del numbers
    return age(row.since, today)
