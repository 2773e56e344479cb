"""An empty state: says why there is nothing here and what to do first."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.screens.look import Size
from vault.screens.widgets.labels import label

_WIDTH = 460


class EmptyState(QWidget):
    """A heading, a sentence or two, and the buttons of what to do first."""

    def __init__(
        self,
        heading: str,
        words: str,
        actions: Sequence[QAction] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.heading = label(heading, size=Size.HEADING, bold=True, wrap=True)
        self.words = label(words, kind="soft", wrap=True)
        for one in (self.heading, self.words):
            one.setFixedWidth(_WIDTH)
        row = QHBoxLayout()
        row.setSpacing(10)
        for place, action in enumerate(actions):
            row.addWidget(button_of(action, first=place == 0))
        row.addStretch(1)
        column = QVBoxLayout()
        column.setSpacing(10)
        column.addStretch(1)
        column.addWidget(self.heading)
        column.addWidget(self.words)
        column.addLayout(row)
        column.addStretch(2)
        outer = QHBoxLayout(self)
        outer.addStretch(1)
        outer.addLayout(column)
        outer.addStretch(1)

    def say(self, heading: str, words: str) -> None:
        """Say something else."""
        self.heading.setText(heading)
        self.words.setText(words)


def button_of(action: QAction, *, first: bool = False, words: str = "") -> QPushButton:
    """Give a push button that does what an action does, and is greyed with it.

    Its `words` may be shorter than those of the menu.
    """
    made = QPushButton(words or action.text())
    if first:
        made.setProperty("kind", "first")
    made.setToolTip(action.toolTip())
    made.setEnabled(action.isEnabled())
    made.clicked.connect(action.trigger)
    action.enabledChanged.connect(made.setEnabled)
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    return made
