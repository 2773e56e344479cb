"""A card with a table in it, its tools above, and words in its place where it is empty."""

from __future__ import annotations

from PySide6.QtWidgets import QStackedWidget, QWidget

from vault.screens.widgets.cards import Card
from vault.screens.widgets.empty import EmptyState
from vault.screens.widgets.table import Table

_TABLE, _WORDS = 0, 1


class TableCard(Card):
    """The table fills the card to its frame."""

    def __init__(
        self, table: Table, tools: QWidget | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.column.setContentsMargins(1, 1, 1, 1)
        if tools is not None:
            self.column.addWidget(tools)
        self.empty = EmptyState("", "")
        self._stack = QStackedWidget()
        self._stack.addWidget(table)
        self._stack.addWidget(self.empty)
        self.column.addWidget(self._stack, 1)

    def show_table(self) -> None:
        """Show the table."""
        self._stack.setCurrentIndex(_TABLE)

    def say(self, heading: str, words: str) -> None:
        """Say why the table is empty and what to do."""
        self.empty.say(heading, words)
        self._stack.setCurrentIndex(_WORDS)
