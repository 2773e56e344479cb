"""Rows that are all here, sorted by the column of choice."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence

from PySide6.QtCore import QObject, Qt
from typing_extensions import override

from vault.screens.house_style import HouseStyle
from vault.screens.models.cells import CellModel, Column, Index, R


class SortedRows(CellModel[R]):
    """Keeps a tuple of rows and the order in which they are shown."""

    def __init__(
        self,
        style: HouseStyle,
        name_of: Callable[[R], Hashable],
        parent: QObject | None = None,
    ) -> None:
        """Take how a row is named; two rows never have one name."""
        super().__init__(style, parent)
        self._name_of = name_of
        self._rows: tuple[R, ...] = ()
        self._shown: tuple[R, ...] = ()
        self._place_of: dict[Hashable, int] = {}
        self._sorted_by = ""
        self._is_descending = False

    @property
    def sorted_by(self) -> str:
        """The title of the column by which rows are sorted; empty for their own order."""
        return self._sorted_by

    def show_rows(self, rows: Sequence[R], columns: tuple[Column[R], ...]) -> None:
        """Show other rows; they stay sorted as they were, if that column is still there."""
        self.beginResetModel()
        self._rows, self._columns = tuple(rows), columns
        self._sort()
        self.endResetModel()

    def sort_by(self, title: str) -> None:
        """Sort by a column, the other way round where that is so already."""
        self._is_descending = not self._is_descending if title == self._sorted_by else False
        self._sorted_by = title
        self.beginResetModel()
        self._sort()
        self.endResetModel()

    def row_of(self, name: Hashable) -> int | None:
        """Give where the row of a name stands; None where it is not here."""
        return self._place_of.get(name)

    def _sort(self) -> None:
        key = next((one.key for one in self._columns if one.title == self._sorted_by), None)
        self._shown = self._rows if key is None else self._in_order(key)
        self._place_of = {self._name_of(row): at for at, row in enumerate(self._shown)}

    def _in_order(self, key: Callable[[R], object]) -> tuple[R, ...]:
        keyed = [(key(row), row) for row in self._rows]
        with_key = [one for one in keyed if one[0] is not None]
        # Sorting keeps the rows' own order among equals, either way round.
        with_key.sort(key=lambda one: one[0], reverse=self._is_descending)  # type: ignore[arg-type,return-value]  # keys of one column compare
        without = [row for told, row in keyed if told is None]
        return (*(row for _, row in with_key), *without)

    @override
    def row_at(self, row: int) -> R | None:
        return self._shown[row] if 0 <= row < len(self._shown) else None

    @override
    def title_of(self, place: int) -> str:
        title = super().title_of(place)
        if title != self._sorted_by:
            return title
        return f"{title} {'↓' if self._is_descending else '↑'}"

    @override
    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._shown)

    @override
    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        is_title = orientation is Qt.Orientation.Horizontal and section < len(self._columns)
        if role == Qt.ItemDataRole.ToolTipRole and is_title and self._columns[section].key:
            return "Click to sort"
        return super().headerData(section, orientation, role)
