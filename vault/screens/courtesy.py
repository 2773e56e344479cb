"""Who goes first: the window before questions, questions before what is worked out beside them.

Python lets one thread run at a time. A worker that only hands the lock over when it is asked to
makes drawing a table take two and three times as long; one that pauses costs it nothing.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from PySide6.QtCore import QAbstractEventDispatcher, QObject

# Nobody waits longer than this for one who is busy, or is never done.
_MOST_S = 0.25
# Between two looks at a form that is filled in there is less than this.
_QUIET_S = 1.0
# A window that is found idle so many times, so far apart, is; between two parts of one event it
# may look so for a moment.
_LOOKS, _BETWEEN_LOOKS_S = 3, 0.001
# The window's thread is at work where it took more of a processor than this since the last look,
# and more than this part of the time; to tell a worker anything takes it less.
_AT_WORK_S, _AT_WORK = 0.0002, 0.05


class _Seen(threading.local):
    """When a worker looked last, and how long the window's thread had had a processor by then."""

    at_s = used_s = 0.0


class _Window:
    """Tells whether the thread of the window, in which it is made, is in the middle of an event."""

    def __init__(self) -> None:
        self._used_s = _processor_time_of(threading.get_ident())
        self._is_waiting = True
        self._seen = _Seen()
        # Somebody waited in vain; nobody does again before it was idle.
        self._is_stuck = False

    def awake(self) -> None:
        """Note that its loop goes on; called in its thread."""
        self._is_waiting = False

    def about_to_wait(self) -> None:
        """Note that its loop waits for events; called in its thread."""
        self._is_waiting = True

    def was_busy(self) -> bool | None:
        """Whether it was in the middle of an event since the thread that asks looked last.

        None where it did so only just now; it is looked at the whole time with a later look.
        """
        if self._used_s is None:
            return not self._is_waiting
        seen, now_s = self._seen, time.monotonic()
        since_s = now_s - seen.at_s
        if since_s < _BETWEEN_LOOKS_S:
            return None
        used_s = self._used_s()
        took_s = used_s - seen.used_s
        seen.at_s, seen.used_s = now_s, used_s
        return took_s > max(_AT_WORK_S, _AT_WORK * since_s)

    def let_go_first(self) -> None:
        """Wait, in another thread, while it is busy; not for long."""
        was_busy = self.was_busy()
        if was_busy is False:
            self._is_stuck = False
        elif was_busy and not self._is_stuck:
            self.wait()

    def wait(self) -> None:
        """Wait, in another thread, until it waits for events; not for long."""
        until_s = time.monotonic() + _MOST_S
        idle = 0
        while idle < _LOOKS:
            if time.monotonic() > until_s:
                self._is_stuck = True
                return
            time.sleep(_BETWEEN_LOOKS_S)
            idle = 0 if self.was_busy() else idle + 1
        self._is_stuck = False


class _Questions:
    """Counts the questions that are answered; others wait for them, but not for long."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._count, self._since_s = 0, 0.0
        self._is_none = threading.Event()
        self._is_none.set()

    def begin(self) -> None:
        with self._lock:
            if not self._count:
                self._since_s = time.monotonic()
            self._count += 1
            self._is_none.clear()

    def end(self) -> None:
        with self._lock:
            self._count -= 1
            if not self._count:
                self._is_none.set()

    def wait(self) -> None:
        if not self._is_none.is_set():
            left_s = self._since_s + _MOST_S - time.monotonic()
            if left_s > 0.0:
                self._is_none.wait(left_s)


class Courtesy(QObject):
    """Knows who is busy: the thread in which it was made, with an event, and questions."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = _Window()
        self._questions = _Questions()
        self._used_s = time.monotonic()
        dispatcher = QAbstractEventDispatcher.instance()
        if dispatcher is not None:
            dispatcher.awake.connect(self._window.awake)
            dispatcher.aboutToBlock.connect(self._window.about_to_wait)

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
        self._questions.begin()
        try:
            yield
        finally:
            self._questions.end()

    def let_window(self) -> None:
        """Pause, in any other thread, while the window is busy; not for long."""
        self._window.let_go_first()

    def give_way(self) -> None:
        """Pause, in any other thread, while the window or a question is busy; not for long."""
        self.let_window()
        self._questions.wait()


def _processor_time_of(thread: int) -> Callable[[], float] | None:
    """Give what tells how long a thread has had a processor; None where no thread can be asked.

    There the window's loop says itself when it waits. On Linux it does not: `aboutToBlock` is sent
    before the events that are there already are handled, and `awake` after them.
    """
    clock_of = getattr(time, "pthread_getcpuclockid", None)
    if clock_of is None:
        return None
    clock = clock_of(thread)
    return lambda: time.clock_gettime(clock)
