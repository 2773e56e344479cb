"""Reckoning aids: what the old tables say of a work, each with the source of its values."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from vault.application.queries.answers.work import Aid
from vault.screens.look import Size
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import empty


class AidList(QWidget):
    """Notes one below the other; hidden while there are none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[Aid, ...] = ()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 4, 0, 4)
        self._column.setSpacing(6)
        self.hide()

    def show_aids(self, aids: Sequence[Aid]) -> None:
        """Show these aids; the same ones again are left as they stand."""
        if tuple(aids) == self._shown:
            return
        self._shown = tuple(aids)
        empty(self._column)
        for aid in aids:
            note = AidNote(aid)
            self._column.addWidget(note)
            # A layout shows what it is given only later.
            note.setVisible(True)
        self.setVisible(bool(aids))


class AidNote(QFrame):
    """One reckoning aid, with the source of its values."""

    def __init__(self, aid: Aid) -> None:
        super().__init__()
        self.setProperty("kind", "note")
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(2)
        column.addWidget(label(aid.title, size=Size.SECOND, bold=True, wrap=True))
        column.addWidget(label(aid.text, size=Size.SECOND, wrap=True))
        if aid.source:
            column.addWidget(label(aid.source, size=Size.SMALL, kind="soft", wrap=True))
