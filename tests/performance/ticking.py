"""A clock in the window's thread that tells how long the window was held at most."""

from __future__ import annotations

import time
from types import TracebackType
from typing import Self

from PySide6.QtCore import QObject, Qt, QTimer

_EVERY_MS = 10


class Ticking(QObject):
    """Ticks every 10 ms while its block lasts.

    Attributes:
        longest_gap_s: the longest time between two ticks.
        ticks: how many there were.
    """

    def __init__(self) -> None:
        super().__init__()
        self.longest_gap_s = 0.0
        self.ticks = 0
        self._last_s = 0.0
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self._tick)

    def __enter__(self) -> Self:
        self._last_s = time.perf_counter()
        self._timer.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._timer.stop()
        # What held the window to the very end counts as well.
        self._tick()

    def _tick(self) -> None:
        now_s = time.perf_counter()
        self.longest_gap_s = max(self.longest_gap_s, now_s - self._last_s)
        self._last_s = now_s
        self.ticks += 1
