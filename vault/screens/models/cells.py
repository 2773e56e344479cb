"""Columns over rows of any kind, and the model that shows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
)
from typing_extensions import override

from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.screens.house_style import HouseStyle
from vault.screens.models.roles import CELL_ROLE, Cell
from vault.screens.numbers import NOTHING, Numbers

WAITING = "…"
_TEXT_ROLES = frozenset({Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole})
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter

R = TypeVar("R")
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Column(Generic[R]):
    """One column.

    Attributes:
        title: what stands above it.
        text: what it shows of a row.
        sample: a long but likely text, by which its least width is set.
        key: by what its rows sort, or None where they do not; rows without it come last.
        how: how the figure in it is known, or None where it holds none.
        after: words that follow those of the cell and are never struck.
        told: what it adds when pointed at, where that is more than its text.
        is_right: whether it is set flush right, as figures are.
        is_bold: whether it stands out.
        wants_attention: whether it is written in the colour of attention.
        share: how much of the width to spare it takes.
    """

    title: str
    text: Callable[[R, Numbers], str]
    sample: str
    key: Callable[[R], Any] | None = None
    how: Callable[[R], How | None] | None = None
    after: Callable[[R], str] | None = None
    told: Callable[[R, Numbers], str] | None = None
    is_right: bool = False
    is_bold: bool = False
    wants_attention: bool = False
    share: int = 0


def fine_column(metal: str, of: Callable[[R], Figure | None]) -> Column[R]:
    """Give the column of a metal; `of` gives its figure, None where the row holds none of it."""

    def text(row: R, numbers: Numbers) -> str:
        figure = of(row)
        return NOTHING if figure is None else numbers.figure(figure)

    def key(row: R) -> int | None:
        figure = of(row)
        return None if figure is None else figure.fine_ug

    def how(row: R) -> How | None:
        figure = of(row)
        return None if figure is None else figure.how

    return Column(fine_title(metal), text, "●●0.0000 ± 0.0028", key, how, is_right=True)


def fine_title(metal: str) -> str:
    """Give what stands above the column of a metal."""
    return f"{metal} fine"


def content_of(contents: Mapping[str, Figure], metal: str) -> Figure | None:
    """Give what a cell shows of a metal: nothing where other metals are known and this is not."""
    return contents.get(metal, None if contents else NOTHING_KNOWN)


class CellModel(QAbstractTableModel, Generic[R]):
    """Shows rows through columns; kinds of it say where the rows are."""

    def __init__(self, style: HouseStyle, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._columns: tuple[Column[R], ...] = ()

    @property
    def columns(self) -> tuple[Column[R], ...]:
        """The columns, from the left."""
        return self._columns

    def row_at(self, row: int) -> R | None:
        """Give what stands in a row; None where it is not here yet."""
        raise NotImplementedError

    def is_struck(self, row: R) -> bool:
        """Tell whether a line is drawn through a row."""
        del row
        return False

    def title_of(self, place: int) -> str:
        """Give what stands above a column."""
        return self._columns[place].title

    def _words(self, row: R | None, place: int) -> str:
        if row is None:
            return WAITING if place == 0 else ""
        return self._columns[place].text(row, self._style.numbers)

    def _cell(self, row: R | None, place: int) -> Cell:
        column = self._columns[place]
        return Cell(
            words=self._words(row, place),
            after=column.after(row) if row is not None and column.after else "",
            how=column.how(row) if row is not None and column.how else None,
            is_right=column.is_right,
            is_bold=column.is_bold,
            is_struck=row is not None and self.is_struck(row),
            wants_attention=column.wants_attention,
        )

    @override
    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._columns)

    @override
    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row, place = self.row_at(index.row()), index.column()
        if role == CELL_ROLE:
            return self._cell(row, place)
        if role in _TEXT_ROLES:
            return self._words(row, place)
        told = self._columns[place].told
        if role == Qt.ItemDataRole.ToolTipRole and row is not None and told is not None:
            return told(row, self._style.numbers)
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
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if self._columns[section].is_right else _LEFT
        return self.title_of(section) if role == Qt.ItemDataRole.DisplayRole else None
