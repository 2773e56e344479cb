"""The start page: open, new, demonstration, and the books opened last."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from vault.screens.commands import Commands
from vault.screens.look import Size
from vault.screens.widgets.cards import Card
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import label
from vault.screens.words import PROGRAM

_WIDTH = 640
_WAYS = (
    (
        "demonstration",
        "Look around first",
        (
            "An invented shop with two years of work: lots, bars, slag and cupels. Nothing in it "
            "can be broken; each time it is made afresh."
        ),
    ),
    (
        "new",
        "Begin a book for your shop",
        "A new, empty book. Receive your first lot, or read an old notebook or spreadsheet in.",
    ),
    ("open", "Open a book", "Go on with a book that is there."),
)


class StartPage(QWidget):
    """What to do while no book lies open.

    Signals:
        recent_chosen: the path of a book opened before.
    """

    recent_chosen = Signal(object)

    def __init__(self, commands: Commands, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout()
        column.setSpacing(12)
        column.addStretch(1)
        column.addWidget(label(PROGRAM, size=Size.LARGE, bold=True))
        column.addWidget(
            label(
                "What metal is in the safe, whose it is, where it came from, and what is still "
                "locked up in slag and cupels.",
                kind="soft",
                wrap=True,
            )
        )
        buttons = [button_of(commands[name], first=not at) for at, (name, _, _) in enumerate(_WAYS)]
        for button, (_, heading, words) in zip(buttons, _WAYS, strict=True):
            column.addWidget(_way(heading, words, button))
        self.setFocusProxy(buttons[0])
        self._recent_heading = label("Opened last", bold=True)
        self._recent = QListWidget()
        self._recent.setAccessibleName("Books opened last")
        self._recent.itemActivated.connect(self._on_recent_activated)
        self._recent.itemClicked.connect(self._on_recent_activated)
        column.addWidget(self._recent_heading)
        column.addWidget(self._recent)
        column.addStretch(2)
        middle = QWidget()
        middle.setFixedWidth(_WIDTH)
        middle.setLayout(column)
        outer = QHBoxLayout(self)
        outer.addWidget(middle, 0, Qt.AlignmentFlag.AlignHCenter)

    def show_recent(self, paths: Sequence[Path]) -> None:
        """List the books opened last, latest first."""
        self._recent.clear()
        for path in paths:
            item = QListWidgetItem(f"{path.stem}   {path.parent}")
            item.setData(Qt.ItemDataRole.UserRole, str(path))
            item.setToolTip(str(path))
            self._recent.addItem(item)
        for part in (self._recent, self._recent_heading):
            part.setVisible(bool(paths))
        height = self._recent.sizeHintForRow(0) if paths else 0
        self._recent.setFixedHeight(min(len(paths), 5) * height + 4)

    def _on_recent_activated(self, item: QListWidgetItem) -> None:
        self.recent_chosen.emit(Path(str(item.data(Qt.ItemDataRole.UserRole))))


def _way(heading: str, words: str, button: QPushButton) -> Card:
    card = Card()
    told = QVBoxLayout()
    told.addWidget(label(heading, size=Size.TITLE, bold=True))
    told.addWidget(label(words, kind="soft", wrap=True))
    row = QHBoxLayout()
    row.setSpacing(16)
    row.addLayout(told, 1)
    button.setMinimumWidth(190)
    row.addWidget(button)
    card.column.addLayout(row)
    return card
