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
        # What is new is laid out only after the hand went there; when the range changes, what lies
        # within has not got its places yet, so it is looked at when all of it has.
        self.verticalScrollBar().rangeChanged.connect(
            self._on_range_changed, Qt.ConnectionType.QueuedConnection
        )
        application = QApplication.instance()
        if isinstance(application, QApplication):
            # Qt itself follows the Tab key alone.
            application.focusChanged.connect(self._on_focus_changed)

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        inside = self.widget()
        if now is not None and inside is not None and inside.isAncestorOf(now):
            self._bring_into_sight(now, now.mapTo(inside, now.rect().topLeft()).y())

    def _bring_into_sight(self, field: QWidget, top: int) -> None:
        """Scroll until the whole field is seen; Qt itself is content once its text cursor is."""
        seen_from = self.verticalScrollBar().value()
        if seen_from <= top and top + field.height() <= seen_from + self.viewport().height():
            return
        half = field.height() // 2
        self.ensureVisible(0, top + half, 0, half + self._room_around)

    def _on_range_changed(self) -> None:
        self._on_focus_changed(None, QApplication.focusWidget())
