"""A part of the window that scrolls to the field in which the hand is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFrame, QScrollArea, QWidget


class HandArea(QScrollArea):
    """Scrolls up and down; what Enter leads to comes into sight, also a line that is new."""

    def __init__(self, room_around: int, parent: QWidget | None = None) -> None:
        """Build it; so much is shown above and below the field that has the hand."""
        super().__init__(parent)
        self._room_around = room_around
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # What is new is laid out only after the hand went there.
        self.verticalScrollBar().rangeChanged.connect(self._on_range_changed)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            # Qt itself follows the Tab key alone.
            application.focusChanged.connect(self._on_focus_changed)

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        inside = self.widget()
        if now is not None and inside is not None and inside.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, self._room_around)

    def _on_range_changed(self) -> None:
        self._on_focus_changed(None, QApplication.focusWidget())
