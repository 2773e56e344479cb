"""A part that folds away under its heading."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QVBoxLayout, QWidget


class Fold(QWidget):
    """A heading that opens and closes what lies below it; closed at first.

    Signals:
        opened: it was opened or closed; carries which.
    """

    opened = Signal(bool)

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._content: QWidget | None = None
        self.button = QToolButton()
        self.button.setProperty("kind", "fold")
        self.button.setText(title)
        self.button.setCheckable(True)
        self.button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.button.setArrowType(Qt.ArrowType.RightArrow)
        self.button.toggled.connect(self._on_button_toggled)
        self.head = QHBoxLayout()
        self.head.addWidget(self.button)
        self.head.addStretch(1)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._column.addLayout(self.head)

    @property
    def is_open(self) -> bool:
        """Whether its content is shown."""
        return self.button.isChecked()

    @property
    def has_content(self) -> bool:
        """Whether anything was put in it yet."""
        return self._content is not None

    def put(self, content: QWidget) -> None:
        """Put its content in."""
        self._content = content
        content.setVisible(self.is_open)
        self._column.addWidget(content, 1)

    def open(self, *, wide: bool) -> None:
        """Open or close it."""
        self.button.setChecked(wide)

    def _on_button_toggled(self, wide: bool) -> None:  # noqa: FBT001  Qt's own signature
        arrow = Qt.ArrowType.DownArrow if wide else Qt.ArrowType.RightArrow
        self.button.setArrowType(arrow)
        self.opened.emit(wide)
        if self._content is not None:
            self._content.setVisible(wide)
