"""The table beside the picture: which lots, or where to, in grams and percent."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor
from typing_extensions import override

from vault.application.queries.answers.trace import Trace, TraceRow
from vault.screens.hues import LotHues
from vault.screens.look import Look, Size, face
from vault.screens.numbers import NOTHING, Numbers

_Index = QModelIndex | QPersistentModelIndex
_LEAST_SHARE = 0.0005
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class RowsModel(QAbstractTableModel):
    """One line per lot or place, and the sum of all at the end."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lines: list[tuple[str, str, str]] = []
        self._rows: tuple[TraceRow, ...] = ()
        self._colours: list[QColor | None] = []
        self._headings = ("", "", "")

    def show_trace(self, trace: Trace, numbers: Numbers, look: Look) -> None:
        """Show the table of another trace."""
        hues = LotHues(trace.lots, look)
        self.beginResetModel()
        self._rows = trace.rows
        self._lines = [line_of(row, numbers) for row in trace.rows]
        self._colours = [hues.of(row.lot or row.name) for row in trace.rows]
        if not _is_backward(trace):
            self._colours = [None for _ in trace.rows]
        if trace.rows:
            total = numbers.uncut(trace.total_ug, trace.total_u_ug)
            self._lines.append(("all", total, "" if trace.total_ug is None else "100 %"))
            self._colours.append(None)
        named = "lot" if _is_backward(trace) else "where"
        self._headings = (named, f"{trace.question.metal or 'weight'}, {numbers.unit}", "share")
        self.endResetModel()

    def row_at(self, index: _Index) -> TraceRow | None:
        """Give what a line is about; the sum is about nothing."""
        return self._rows[index.row()] if 0 <= index.row() < len(self._rows) else None

    @override
    def rowCount(self, parent: _Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._lines)

    @override
    def columnCount(self, parent: _Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._headings)

    @override
    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row, column = index.row(), index.column()
        if not 0 <= row < len(self._lines):
            return None
        is_sum = row >= len(self._rows)
        match role:
            case Qt.ItemDataRole.DisplayRole:
                found: object = self._lines[row][column]
                if column == 0 and not is_sum and self._rows[row].words:
                    found = f"{found} · {self._rows[row].words}"
            case Qt.ItemDataRole.ToolTipRole:
                found = "" if is_sum else f"{self._rows[row].name} · {self._rows[row].words}"
            case Qt.ItemDataRole.TextAlignmentRole:
                found = _RIGHT if column else None
            case Qt.ItemDataRole.DecorationRole:
                found = None if column else self._colours[row]
            case Qt.ItemDataRole.FontRole:
                found = face(Size.SECOND, bold=is_sum)
            case _:
                found = None
        return found

    @override
    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._headings[section]
        if role == Qt.ItemDataRole.TextAlignmentRole and section:
            return _RIGHT
        return None


def line_of(row: TraceRow, numbers: Numbers) -> tuple[str, str, str]:
    """Give a line of the table: name, grams with ±, percent."""
    return row.name, numbers.fine(row.fine_ug, row.u_ug), _share_in_words(row.share, numbers)


def _share_in_words(share: float | None, numbers: Numbers) -> str:
    if share is None:
        return NOTHING
    # What is there is never told as nothing.
    return f"< {numbers.share(0.001)}" if 0 < share < _LEAST_SHARE else numbers.share(share)


def _is_backward(trace: Trace) -> bool:
    return trace.question.backward and not trace.question.lot
