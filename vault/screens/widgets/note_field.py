"""A field for a note of several lines, with a sentence below it where something is wrong."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPlainTextEdit, QVBoxLayout, QWidget

from vault.core.words import tidied, trouble_with
from vault.screens.look import Size, face
from vault.screens.widgets.fields import HINT, TROUBLE, Saying

_LINES = 3
_ROOM = 20


class NoteField(QWidget):
    """Takes some lines; Tab leads on.

    Signals:
        edited: the reader typed.
    """

    edited = Signal()

    def __init__(self, name: str, hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.area = QPlainTextEdit()
        self.area.setProperty("kind", "field")
        self.area.setAccessibleName(name)
        self.area.setPlaceholderText(hint)
        self.area.setTabChangesFocus(True)
        self.area.setFont(face(Size.BODY))
        self.area.setFixedHeight(_LINES * self.area.fontMetrics().lineSpacing() + _ROOM)
        self.said_of_it = Saying()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.area)
        column.addWidget(self.said_of_it)
        self.setFocusProxy(self.area)
        self.area.textChanged.connect(self._on_text_changed)

    @property
    def text(self) -> str:
        """What stands in it, as the book keeps it."""
        return tidied(self.area.toPlainText(), is_note=True)

    def write(self, text: str) -> None:
        """Put a text into it without telling anybody."""
        self.area.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
        self.area.setPlainText(text)
        self.area.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here
        self.look()

    def trouble(self) -> str:
        """Say in a sentence what is wrong with it; empty where nothing is."""
        return trouble_with(self.text, is_note=True) or ""

    def look(self) -> None:
        """Tell under the field what is wrong with it."""
        told = self.trouble()
        self.said_of_it.say(told, TROUBLE if told else HINT)

    def _on_text_changed(self) -> None:
        self.said_of_it.say("")
        self.edited.emit()
