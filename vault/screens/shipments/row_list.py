"""Rows of a form one below the other: added, taken out again, and walked through with Enter."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import Any, Generic, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLayout,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from vault.screens.look import FIELD_HEIGHT, Size, face
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.labels import label

_REMOVE_KEY = "Ctrl+Delete"


class Row(QWidget):
    """One row; kinds of it say what stands in it.

    Signals:
        edited: something was typed.
        taken: Enter ended its last field.
        removed: the reader takes it out.
    """

    edited = Signal()
    taken = Signal()
    removed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._first: QWidget = self
        self.remove_button = QToolButton()
        self.remove_button.setText("×")
        self.remove_button.setProperty("kind", "plain")
        self.remove_button.setFont(face(Size.HEADING))
        self.remove_button.setAccessibleName("take the line out")
        self.remove_button.setToolTip("Take this line out (Ctrl+Delete)")
        # Tab goes from field to field; this has a key of its own.
        self.remove_button.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.remove_button.setFixedSize(FIELD_HEIGHT - 6, FIELD_HEIGHT)
        self.remove_button.clicked.connect(self.removed)
        shortcut = QShortcut(QKeySequence(_REMOVE_KEY), self)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(self.remove_button.click)

    def put_beside_cross(self, fields: QLayout, *, below_a_caption: bool = False) -> None:
        """Lay its fields out, with the cross that takes it out level with the first line."""
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addLayout(fields, 1)
        cross = Captioned(" ", self.remove_button) if below_a_caption else self.remove_button
        row.addWidget(cross, 0, Qt.AlignmentFlag.AlignTop)

    def follow(self, *fields: Field | ContentsField) -> None:
        """Let Enter lead through its fields, and tell when one is edited."""
        self._first = fields[0]
        for one in fields:
            one.edited.connect(self.edited)
        for one, following in pairwise(fields):
            one.taken.connect(following.setFocus)
        fields[-1].taken.connect(self.taken)

    def go_in(self) -> None:
        """Put the hand into its first field."""
        self._first.setFocus()

    def trouble(self) -> tuple[str, QWidget] | None:
        """Say what cannot be read or lacks and where, or None."""
        return None

    def texts(self) -> dict[str, Any]:
        """Give what was typed, as a draft keeps it."""
        raise NotImplementedError

    def write_texts(self, texts: Mapping[str, Any]) -> None:
        """Write what a draft kept."""
        raise NotImplementedError


R = TypeVar("R", bound=Row)


class Rows(QWidget, Generic[R]):
    """Rows of one kind, and the way to one more.

    Signals:
        edited: something was typed, or a row added or taken out.
        added: a row, just made.
        ended: Enter in the last row.
    """

    edited = Signal()
    added = Signal(object)
    ended = Signal()

    def __init__(
        self,
        caption: str,
        more: str,
        make: Callable[[], R],
        *,
        least: int = 0,
        parent: QWidget | None = None,
    ) -> None:
        """Build it; `more` stands on the button, and so many rows as `least` are always there."""
        super().__init__(parent)
        self._make = make
        self._least = least
        self.rows: list[R] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        self.more = QPushButton(more)
        self.more.setProperty("kind", "link")
        self.more.setAutoDefault(False)
        self.more.clicked.connect(self._on_more_clicked)
        self.tools = QHBoxLayout()
        self.tools.setSpacing(16)
        self.tools.addWidget(self.more)
        self.tools.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(4)
        if caption:
            outer.addWidget(label(caption, size=Size.SECOND, kind="soft"))
        outer.addLayout(self._column)
        outer.addLayout(self.tools)
        self._fill_up()

    def add(self) -> R:
        """Add a row."""
        row = self._make()
        self.rows.append(row)
        self._column.addWidget(row)
        # A layout shows what it is given only later, and the hand goes there at once.
        row.show()
        row.edited.connect(self.edited)
        row.taken.connect(partial(self._on_row_taken, row))
        row.removed.connect(partial(self._on_row_removed, row))
        self.added.emit(row)
        return row

    def go_in(self) -> bool:
        """Put the hand into the first row; tells whether there is one."""
        if self.rows:
            self.rows[0].go_in()
        return bool(self.rows)

    def trouble(self) -> tuple[str, QWidget] | None:
        """Say what cannot be read first and where, or None."""
        return next((told for row in self.rows if (told := row.trouble()) is not None), None)

    def texts(self) -> list[dict[str, Any]]:
        """Give what was typed, row by row."""
        return [row.texts() for row in self.rows]

    def write_texts(self, texts: Sequence[Mapping[str, Any]]) -> None:
        """Write what a draft kept."""
        for at, one in enumerate(texts):
            row = self.rows[at] if at < len(self.rows) else self.add()
            row.write_texts(one)

    def _fill_up(self) -> None:
        while len(self.rows) < self._least:
            self.add()

    def _on_more_clicked(self) -> None:
        self.add().go_in()
        self.edited.emit()

    def _on_row_taken(self, row: R) -> None:
        place = self.rows.index(row) + 1
        if place < len(self.rows):
            self.rows[place].go_in()
        else:
            self.ended.emit()

    def _on_row_removed(self, row: R) -> None:
        place = self.rows.index(row)
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self._fill_up()
        if self.rows:
            self.rows[min(place, len(self.rows) - 1)].go_in()
        else:
            self.more.setFocus()
        self.edited.emit()
