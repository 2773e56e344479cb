"""Python's cycle collector, kept to the window's thread.

A cycle that holds a widget may only be freed there: freed in a worker it takes Qt down with it
(measured: three runs of three). So the automatic collector is off, and a timer does its work.
"""

from __future__ import annotations

import gc
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 250
_MIDDLE, _OLDEST = 1, 2


class CycleCollector(QObject):
    """Collects in the thread in which it lives, youngest first, from start to `close`."""

    def __init__(self, is_idle: Callable[[], bool]) -> None:
        """Take over from the automatic collector.

        Args:
            is_idle: whether no long work is going on; only then the whole heap is gone through.
        """
        super().__init__()
        self._is_idle = is_idle
        self._was_on = gc.isenabled()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.collect_what_is_due)
        self._timer.start(_EVERY_MS)

    def collect_what_is_due(self) -> None:
        """Collect each generation that has filled up, by the collector's own thresholds."""
        counts, thresholds = gc.get_count(), gc.get_threshold()
        due = [count > threshold for count, threshold in zip(counts, thresholds, strict=True)]
        if due[_OLDEST] and self._is_idle():
            gc.collect(_OLDEST)
        elif due[_MIDDLE]:
            gc.collect(_MIDDLE)
        elif due[0]:
            gc.collect(0)

    def close(self) -> None:
        """Give the work back to the automatic collector."""
        self._timer.stop()
        if self._was_on:
            gc.enable()
