"""The item table's model: a packed array of ids, and pages of rows that come when they are seen.

A row of the table is the heading of a group or an item. Headings stand before their items, so

    table row = heading rows up to here + place in the ids

and both ways are a bisection in the list of heading rows. Nothing here grows with the number of
items but the ids (8 bytes each) and the headings; at a million items the first page is painted as
fast as at a thousand.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import accumulate
from operator import attrgetter

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from typing_extensions import override

from vault.application.queries.answers.items import (
    GroupBy,
    ItemGroup,
    ItemIndex,
    ItemQuery,
    ItemRow,
    SortBy,
)
from vault.screens.house_style import HouseStyle
from vault.screens.models.item_columns import Column, all_columns, columns_for, words_of
from vault.screens.models.pages import Pages
from vault.screens.models.roles import CELL_ROLE, Cell
from vault.screens.words import items as items_words

_WAITING = "…"
_NO_NAME = "no name noted"
_TEXT_ROLES = frozenset({Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole})
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter

Index = QModelIndex | QPersistentModelIndex


def packed(ids: memoryview) -> array[int]:
    """Give ids as an array of their own."""
    made: array[int] = array("q")
    made.frombytes(ids.cast("B"))
    return made


class ItemModel(QAbstractTableModel):
    """Shows an `ItemIndex`.

    Signals:
        rows_wanted: ids (an `array('q')`) of items that are seen and not loaded.
    """

    rows_wanted = Signal(object)

    def __init__(self, style: HouseStyle, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._today = date.min
        self._groups: tuple[ItemGroup, ...] = ()
        self._heading_rows: list[int] = []
        self._ids: array[int] = array("q")
        self._columns: tuple[Column, ...] = ()
        self._hidden: frozenset[str] = frozenset()
        self._index: ItemIndex | None = None
        self._pages: Pages[ItemRow] = Pages(attrgetter("id"), self)
        self._pages.wanted.connect(self._on_pages_wanted)

    # --- filling --------------------------------------------------------------------------------

    def show_index(self, index: ItemIndex, first_rows: Sequence[ItemRow], today: date) -> None:
        """Show another answer.

        Args:
            index: which items, in which groups and order.
            first_rows: the items of its first page.
            today: the day from which ages are counted.
        """
        self.beginResetModel()
        self._index = index
        self._today = today
        self._ids = packed(index.ids)
        # What is grouped by nothing is one run of items without a heading.
        headed = index.query.group_by is not GroupBy.NOTHING
        self._groups = index.groups if headed else ()
        sizes = [group.items + 1 for group in self._groups]
        self._heading_rows = [0, *accumulate(sizes)][: len(sizes)]
        self._columns = columns_for(index.metals, index.query, self._hidden)
        self._pages.begin(self._ids, first_rows)
        self.endResetModel()

    def hide_columns(self, titles: frozenset[str]) -> None:
        """Show all columns but those of these titles."""
        self.beginResetModel()
        self._hidden = titles
        if self._index is not None:
            self._columns = columns_for(self._index.metals, self._index.query, titles)
        self.endResetModel()

    def clear(self) -> None:
        """Show nothing."""
        self.beginResetModel()
        self._index = None
        self._groups, self._heading_rows, self._ids = (), [], array("q")
        self._pages.begin(self._ids)
        self.endResetModel()

    def take_rows(self, rows: Sequence[ItemRow]) -> None:
        """Take the rows that were wanted last."""
        filled = self._pages.take(rows)
        if filled is not None:
            top = self.index(self.row_of_place(filled[0]), 0)
            bottom = self.index(self.row_of_place(filled[1]), len(self._columns) - 1)
            self.dataChanged.emit(top, bottom)

    # --- asking ---------------------------------------------------------------------------------

    @property
    def offered(self) -> tuple[str, ...]:
        """The titles of all columns that can be shown."""
        if self._index is None:
            return ()
        every = all_columns(self._index.metals, self._index.query.group_by)
        return tuple(column.title for column in every)

    @property
    def columns(self) -> tuple[Column, ...]:
        """The columns, from the left."""
        return self._columns

    @property
    def item_count(self) -> int:
        """How many items there are."""
        return len(self._ids)

    @property
    def query(self) -> ItemQuery | None:
        """What the table answers, also where it shows no more than a first look; or None."""
        return None if self._index is None else replace(self._index.query, most=None)

    @property
    def is_whole(self) -> bool:
        """Whether all items are here, and not only those of a first look."""
        return self._index is None or self._index.is_whole

    def is_heading(self, row: int) -> bool:
        """Tell whether a row of the table is the heading of a group."""
        place = bisect_right(self._heading_rows, row) - 1
        return place >= 0 and self._heading_rows[place] == row

    def item_at(self, row: int) -> ItemRow | None:
        """Give the item in a row of the table; None for a heading or one not loaded yet."""
        if not 0 <= row < self.rowCount() or self.is_heading(row):
            return None
        return self._pages.at(self._place_of_row(row))

    def row_of_id(self, item_id: int) -> int | None:
        """Give the table row of an item, or None where it is not in the table."""
        try:
            return self.row_of_place(self._ids.index(item_id))
        except ValueError:
            return None

    def row_of_place(self, place: int) -> int:
        """Give the table row of the item at a place in the ids."""
        low, high = 0, len(self._heading_rows) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self._heading_rows[middle] - middle <= place:
                low = middle
            else:
                high = middle - 1
        return place + low + 1 if self._heading_rows else place

    def words_of_row(self, row: int) -> str:
        """Give an item as text for the clipboard; empty for a heading."""
        item = self.item_at(row)
        if item is None:
            return ""
        return words_of(item, self._columns, self._style.numbers, self._today)

    # --- private --------------------------------------------------------------------------------

    def _place_of_row(self, row: int) -> int:
        return row - bisect_right(self._heading_rows, row)

    def _on_pages_wanted(self, ids: list[int]) -> None:
        self.rows_wanted.emit(array("q", ids))

    def _cell_at(self, row: int, place: int) -> Cell:
        if self.is_heading(row):
            return Cell(heading=self._heading_words(row))
        column, item = self._columns[place], self._pages.at(self._place_of_row(row))
        return Cell(
            words=self._words_at(row, place),
            how=None if item is None else column.how(item),
            is_right=column.is_right,
            is_bold=column.is_bold,
        )

    def _words_at(self, row: int, column: int) -> str:
        if self.is_heading(row):
            return self._heading_words(row) if column == 0 else ""
        item = self._pages.at(self._place_of_row(row))
        if item is None:
            return _WAITING if column == 0 else ""
        return self._columns[column].text(item, self._style.numbers, self._today)

    def _heading_words(self, row: int) -> str:
        group = self._groups[bisect_right(self._heading_rows, row) - 1]
        numbers = self._style.numbers
        if not self.is_whole:
            return f"{group.name or _NO_NAME}  ·  {_WAITING}"
        parts = [
            group.name or _NO_NAME,
            items_words(group.items, numbers.count(group.items)),
        ]
        if group.gross_ug:
            parts.append(numbers.total_weight(group.gross_ug))
        parts += [
            f"{metal} {numbers.figure_with_unit(figure)}" for metal, figure in group.fine.items()
        ]
        if group.not_weighed:
            parts.append(f"{numbers.count(group.not_weighed)} not weighed")
        return "  ·  ".join(parts)

    # --- what Qt asks ---------------------------------------------------------------------------

    @override
    def rowCount(self, parent: Index | None = None) -> int:
        if parent is not None and parent.isValid():
            return 0
        return len(self._ids) + len(self._groups)

    @override
    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._columns)

    @override
    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == CELL_ROLE:
            return self._cell_at(index.row(), index.column())
        if role in _TEXT_ROLES:
            return self._words_at(index.row(), index.column())
        return None

    @override
    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal or section >= len(self._columns):
            return None
        column = self._columns[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if column.is_right else _LEFT
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{column.title}{self._arrow_of(column)}"
        if role == Qt.ItemDataRole.ToolTipRole and column.sort_by is not None:
            return "Click to sort within each group"
        return None

    @override
    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        if self.is_heading(index.row()):
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def _arrow_of(self, column: Column) -> str:
        if self._index is None:
            return ""
        query = self._index.query
        same_metal = column.sort_by is not SortBy.FINE or query.sort_metal == column.metal
        if query.sort_by is not column.sort_by or not same_metal:
            return ""
        return " ↓" if query.descending else " ↑"
