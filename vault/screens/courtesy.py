"""Who goes first: the window before questions, questions before what is worked out beside them.

Python lets one thread run at a time. A worker that only hands the lock over when it is asked to
makes drawing a table take two and three times as long; one that pauses costs it nothing.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QAbstractEventDispatcher, QObject

# Nobody waits longer than this for one who is busy, or is never done.
_MOST_S = 0.25
# Between two looks at a form that is filled in there is less than this.
_QUIET_S = 1.0


class _Gate:
    """Is shut while somebody is busy; others wait before it, but not for long."""

    def __init__(self) -> None:
        self._is_open = threading.Event()
        self._is_open.set()
        self._shut_s = 0.0

    def shut(self) -> None:
        if self._is_open.is_set():
            self._shut_s = time.monotonic()
            self._is_open.clear()

    def open(self) -> None:
        self._is_open.set()

    def wait(self) -> None:
        if not self._is_open.is_set():
            left_s = self._shut_s + _MOST_S - time.monotonic()
            if left_s > 0.0:
                self._is_open.wait(left_s)


class Courtesy(QObject):
    """Knows who is busy: the thread in which it was made, with an event, and questions."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window, self._answers = _Gate(), _Gate()
        self._count = threading.Lock()
        self._questions = 0
        self._used_s = time.monotonic()
        dispatcher = QAbstractEventDispatcher.instance()
        if dispatcher is not None:
            dispatcher.awake.connect(self._window.shut)
            dispatcher.aboutToBlock.connect(self._window.open)

    @property
    def unused_s(self) -> float:
        """How long nobody has used the window, as far as it had to ask something for that."""
        return time.monotonic() - self._used_s

    @property
    def is_in_use(self) -> bool:
        """Whether somebody uses the window just now; safe in any thread."""
        return self.unused_s < _QUIET_S

    def note_use(self) -> None:
        """Note that somebody uses the window."""
        self._used_s = time.monotonic()

    @contextmanager
    def question(self) -> Iterator[None]:
        """Answer a question within this, in any other thread, once the window waits for events."""
        self._window.wait()
        with self._count:
            self._questions += 1
            self._answers.shut()
        try:
            yield
        finally:
            with self._count:
                self._questions -= 1
                if not self._questions:
                    self._answers.open()

    def give_way(self) -> None:
        """Pause, in any other thread, while the window or a question is busy; not for long."""
        self._window.wait()
        self._answers.wait()
