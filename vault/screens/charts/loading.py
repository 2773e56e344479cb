"""Charts are loaded in a reader's thread: they bring pyqtgraph with them, which takes a moment.

Loaded in the window's thread the first chart would hold the window; loaded before the first paint
it would hold the start.
"""

from __future__ import annotations

from importlib import import_module

from PySide6.QtCore import QObject, QTimer

from vault.screens.background import Background

STACKED_AREA = "vault.screens.charts.stacked_area"
BAND = "vault.screens.charts.band"
_AFTER_FIRST_PAINT_MS = 1500


class WarmUp(QObject):
    """Loads a chart some time after the window stands, while nobody waits for it."""

    def __init__(self, chart: str, background: Background, parent: QObject) -> None:
        super().__init__(parent)
        self._chart = chart
        self._asker = background.asker(self)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_AFTER_FIRST_PAINT_MS)
        self._pause.timeout.connect(self._on_pause_over)
        self._is_begun = False

    def begin(self) -> None:
        """Load it in a while; asked again it does nothing."""
        if not self._is_begun:
            self._is_begun = True
            self._pause.start()

    def _on_pause_over(self) -> None:
        self._asker.ask(lambda: import_module(self._chart), lambda _module: None)
