"""Python's cycle collector, kept to the window's thread and to what the window itself made.

A cycle that holds a widget may only be freed there: freed in a worker it takes Qt down with it
(measured: three runs of three). So the automatic collector is off, and a timer does its work.

The records of a large book are millions, hold no cycles, and going through them once holds the
window for seconds. What long work leaves is therefore put aside (`gc.freeze`, a matter of
microseconds): it is freed as it is let go of, as before, but not searched. With it a cycle can be
put aside that stands just then and dies later, a dialog perhaps; those are found when nobody has
used the window for a quarter of an hour.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

from vault.screens.background import Background

_EVERY_MS = 250
_MIDDLE, _OLDEST = 1, 2
# Nobody waits for a window that has not asked anything of its book for so long.
_UNUSED_S = 900.0


class CycleCollector(QObject):
    """Collects in the thread in which it lives, youngest first, from start to `close`."""

    def __init__(self, background: Background) -> None:
        """Take over from the automatic collector.

        Args:
            background: whose long work leaves records that are not searched.
        """
        super().__init__()
        self._background = background
        self._has_put_aside = False
        self._was_on = gc.isenabled()
        gc.disable()
        background.work_done.connect(self._put_aside)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.collect_what_is_due)
        self._timer.start(_EVERY_MS)

    def collect_what_is_due(self) -> None:
        """Collect each generation that has filled up, by the collector's own thresholds."""
        if self._background.is_at_work:
            self._put_aside()
            return
        if self._has_put_aside and self._background.unused_s > _UNUSED_S:
            self.collect_everything()
            return
        counts, thresholds = gc.get_count(), gc.get_threshold()
        due = [count > threshold for count, threshold in zip(counts, thresholds, strict=True)]
        if due[_OLDEST]:
            gc.collect(_OLDEST)
        elif due[_MIDDLE]:
            gc.collect(_MIDDLE)
        elif due[0]:
            gc.collect(0)

    def collect_everything(self) -> None:
        """Go through all there is, also what was put aside, and put aside what is left."""
        gc.unfreeze()
        gc.collect()
        gc.freeze()
        self._has_put_aside = False

    def close(self) -> None:
        """Give the work back to the automatic collector."""
        self._timer.stop()
        self._background.work_done.disconnect(self._put_aside)
        if self._was_on:
            gc.enable()

    def _put_aside(self) -> None:
        gc.freeze()
        self._has_put_aside = True
