"""Lines of the form one below the other; Enter in the weight of one leads to the next."""

from __future__ import annotations

from functools import partial
from typing import Generic, TypeVar

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from vault.application.queries.answers.work import WorkFinding
from vault.screens.work.rows import Row

R = TypeVar("R", bound=Row)


class RowList(QWidget, Generic[R]):
    """Holds lines of one kind.

    Signals:
        changed: a line was changed, added or taken out by the reader.
        ended: Enter in the weight of the last line.
        put_in: a line was put in, by the reader or by the program.
    """

    changed = Signal()
    put_in = Signal()
    ended = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: list[R] = []
        # To take a line apart takes the window a moment; of several one goes with each turn.
        self._leaving: list[R] = []
        self._next_leaves = QTimer(self, singleShot=True, interval=0)
        self._next_leaves.timeout.connect(self._on_next_leaves)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self.hide()

    @property
    def rows(self) -> tuple[R, ...]:
        """The lines from the top."""
        return tuple(self._rows)

    def add(self, row: R) -> R:
        """Put a line below the others."""
        self._rows.append(row)
        self._column.addWidget(row)
        row.changed.connect(self.changed)
        row.taken.connect(partial(self._on_row_taken, row))
        row.removed.connect(partial(self._on_row_removed, row))
        # A layout shows what it is given only later, and the hand goes there at once.
        row.setVisible(True)
        self.setVisible(True)
        self.put_in.emit()
        return row

    def stops(self) -> list[QWidget]:
        """Give what Tab comes to in all lines, in order."""
        return [stop for row in self._rows for stop in row.stops()]

    def remove(self, row: R) -> None:
        """Take a line out without telling anybody."""
        self._rows.remove(row)
        self._drop(row)
        self.setVisible(bool(self._rows))

    def clear(self) -> None:
        """Take all lines out."""
        for row in self._rows:
            self._drop(row)
        self._rows.clear()
        self.hide()

    def say(self, findings: dict[int, list[WorkFinding]], places: dict[int, int]) -> None:
        """Say under each line what was found about it.

        Args:
            findings: by the place of their line in the draft.
            places: of each line that is in the draft its place there, by its place here.
        """
        for at, row in enumerate(self._rows):
            row.say(findings.get(places.get(at, -1), []))

    def go_in(self) -> bool:
        """Put the hand into the first line; tells whether there is one."""
        if self._rows:
            self._rows[0].go_in()
        return bool(self._rows)

    def _drop(self, row: R) -> None:
        self._column.removeWidget(row)
        row.hide()
        self._leaving.append(row)
        self._next_leaves.start()

    def _on_next_leaves(self) -> None:
        self._leaving.pop(0).deleteLater()
        if self._leaving:
            self._next_leaves.start()

    def _on_row_taken(self, row: R) -> None:
        place = self._rows.index(row) + 1
        if place < len(self._rows):
            self._rows[place].go_in()
        else:
            self.ended.emit()

    def _on_row_removed(self, row: R) -> None:
        if row not in self._rows:
            return
        place = self._rows.index(row)
        self.remove(row)
        if self._rows:
            self._rows[min(place, len(self._rows) - 1)].go_in()
        self.changed.emit()
