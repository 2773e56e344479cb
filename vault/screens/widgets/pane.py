"""The card beside a table: the chosen thing with its name, its body and its buttons."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from vault.screens.look import Size
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label

WIDTH = 372
_LEAST_WIDTH = 310
_NOTHING, _SOMETHING = 0, 1
# More buttons than stand in a row stand in pairs.
_IN_A_ROW, _ACROSS = 3, 2


class Pane(Card):
    """Shows one thing, or says that nothing is chosen."""

    def __init__(
        self,
        nothing_chosen: str,
        buttons: Sequence[QPushButton] = (),
        *,
        width: int = WIDTH,
        parent: QWidget | None = None,
    ) -> None:
        """Build the pane; `nothing_chosen` says what choosing would show."""
        super().__init__(parent)
        self.setMinimumWidth(_LEAST_WIDTH)
        self.setMaximumWidth(width)
        self.heading = ElidedLabel(size=Size.HEADING, bold=True)
        self.what = ElidedLabel(kind="soft")
        self.body = QScrollArea()
        self.body.setWidgetResizable(True)
        self.body.setFrameShape(QFrame.Shape.NoFrame)
        self.body.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._stack = QStackedWidget()
        self._stack.addWidget(_nothing(nothing_chosen))
        self._stack.addWidget(self._filled(buttons))
        self.column.addWidget(self._stack)

    def show_parts(self, heading: str, what: str, parts: Sequence[QWidget]) -> None:
        """Show a thing: its name, what it is, and the parts of its body from the top."""
        self.heading.setText(heading)
        self.what.setText(what)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 8, 8, 8)
        column.setSpacing(10)
        for part in parts:
            column.addWidget(part)
        column.addStretch(1)
        # The area frees what it showed before, and would paint its own ground below this.
        self.body.setWidget(inside)
        inside.setAutoFillBackground(False)
        self._stack.setCurrentIndex(_SOMETHING)

    def clear(self) -> None:
        """Say that nothing is chosen."""
        self._stack.setCurrentIndex(_NOTHING)

    def _filled(self, buttons: Sequence[QPushButton]) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.heading)
        column.addWidget(self.what)
        column.addWidget(self.body, 1)
        grid = QGridLayout()
        grid.setSpacing(8)
        across = _ACROSS if len(buttons) > _IN_A_ROW else max(1, len(buttons))
        for place, button in enumerate(buttons):
            grid.addWidget(button, *divmod(place, across))
        for place in range(across):
            grid.setColumnStretch(place, 1)
        column.addLayout(grid)
        return page


def _nothing(words: str) -> QWidget:
    page = QWidget()
    column = QVBoxLayout(page)
    column.addStretch(1)
    told = label(words, kind="soft", wrap=True)
    told.setAlignment(Qt.AlignmentFlag.AlignHCenter)
    column.addWidget(told)
    column.addStretch(2)
    return page
