"""Rows that come by page when they are seen, in an order that is told by their numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from PySide6.QtCore import QObject, Signal
from typing_extensions import override

from vault.screens.house_style import HouseStyle
from vault.screens.models.cells import CellModel, Column, Index, R
from vault.screens.models.pages import Pages


class PagedRows(CellModel[R]):
    """Shows as many rows as there are numbers.

    Signals:
        rows_wanted: numbers (a list) of rows that are seen and not here.
    """

    rows_wanted = Signal(object)

    def __init__(
        self,
        style: HouseStyle,
        columns: tuple[Column[R], ...],
        number_of: Callable[[R], int],
        parent: QObject | None = None,
    ) -> None:
        """Take the columns, and how the number of a row is read off it."""
        super().__init__(style, parent)
        self._columns = columns
        self._pages: Pages[R] = Pages(number_of, self)
        self._pages.wanted.connect(self.rows_wanted)
        self._place_of: dict[int, int] = {}

    def show_numbers(self, numbers: Sequence[int], first_rows: Iterable[R] = ()) -> None:
        """Show other rows, of which the first page is here already."""
        self.beginResetModel()
        self._pages.begin(numbers, first_rows)
        self._place_of = {number: place for place, number in enumerate(numbers)}
        self.endResetModel()

    def take_rows(self, rows: Iterable[R]) -> None:
        """Take the rows that were wanted last."""
        filled = self._pages.take(rows)
        if filled is not None:
            top, bottom = filled
            self.dataChanged.emit(self.index(top, 0), self.index(bottom, len(self._columns) - 1))

    def number_at(self, row: int) -> int:
        """Give the number of the row that stands in a place, whether it is here or not."""
        return self._pages.keys[row]

    def place_of(self, number: int) -> int | None:
        """Give where the row of a number stands; None where it is not in the table."""
        return self._place_of.get(number)

    @override
    def row_at(self, row: int) -> R | None:
        return self._pages.at(row)

    @override
    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._pages.keys)
