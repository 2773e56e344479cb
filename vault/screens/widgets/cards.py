"""Cards: framed ground on which a thing is shown, and the notes that lie on them."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from vault.screens.look import CARD_PADDING
from vault.screens.widgets.labels import label


class Card(QFrame):
    """A card with its parts one below the other; add them to `column`."""

    def __init__(self, parent: QWidget | None = None, *, padding: int = CARD_PADDING) -> None:
        super().__init__(parent)
        self.setProperty("kind", "card")
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(padding, padding - 4, padding, padding - 4)
        self.column.setSpacing(4)


class Caution(QFrame):
    """A short caution with a red edge, where the danger is and nowhere else."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "caution")
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        self.words = label(text, wrap=True)
        column.addWidget(self.words)


class Note(QFrame):
    """A quiet note on a darker ground."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "note")
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        self.words = label(text, wrap=True)
        column.addWidget(self.words)
