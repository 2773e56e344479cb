"""What was done to a thing, oldest first, each line a way to its entry."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.items import HistoryLine
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.widgets.labels import label


class HistoryPart(QWidget):
    """What was done, oldest first.

    Signals:
        entry_wanted: the number of an entry to be shown in the daybook.
    """

    entry_wanted = Signal(int)

    def __init__(self, history: Sequence[HistoryLine]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(label("What was done", size=Size.SMALL, kind="soft"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for row, one in enumerate(history):
            button = QPushButton(day(one.day))
            button.setProperty("kind", "link")
            button.setToolTip(f"Entry {one.entry} of the daybook")
            button.clicked.connect(lambda _=False, entry=one.entry: self.entry_wanted.emit(entry))
            grid.addWidget(button, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(label(one.words, size=Size.SECOND, wrap=True), row, 1)
        column.addLayout(grid)
