"""A hand scanner: it types like a keyboard, far faster than anybody, and ends with Enter.

Every key passes through here before any window has it. A run of characters less than 50 ms apart
that Enter ends as fast is a scan: its text is taken out of the field that had it, and its Enter
goes nowhere, so that no default button fires. Two ways, by what has the focus:

- In a field for text the keys go on their way at once, so that nobody's typing is held up; what
  stood in the field is remembered and put back if the run turns out to be a scan.
- Anywhere else (buttons, tables, an open menu, a date) a letter could set something off. There the
  keys wait until the run has ended, and go on their way only if it was none.

Keys are told apart by the time at which the system saw them, so a window that was busy for a
moment does not take slow typing for a scan.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QWindow
from PySide6.QtWidgets import QApplication, QFileDialog
from shiboken6 import isValid
from typing_extensions import override

from vault.screens.field_memory import FieldMemory, takes_text

GAP_MS = 50
# A scanner that announces itself may falter now and then, as radio ones do; nobody types so.
FALTER_MS = 250
MOST_FALTERS = 3
LEAST_CHARACTERS = 4
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
_LINE_ENDS = ("\r", "\n")
# Keys that a scanner presses besides, to reach its characters.
_MODIFIERS = frozenset(
    {
        Qt.Key.Key_Shift,
        Qt.Key.Key_CapsLock,
        Qt.Key.Key_NumLock,
        Qt.Key.Key_AltGr,
        Qt.Key.Key_Mode_switch,
    }
)
_COMMANDING = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)


@dataclass(slots=True)
class _Run:
    """Characters that came one fast after the other.

    Attributes:
        text: the characters.
        last_ms: when the last of them came.
        falters: how often more than 50 ms went by between two.
        memory: the field that has them and what stood in it before; None where they wait.
        waiting: keys that were not passed on yet, with the window they were meant for.
    """

    text: str = ""
    last_ms: float = 0
    falters: int = 0
    memory: FieldMemory | None = None
    waiting: list[tuple[QWindow, QKeyEvent]] = field(default_factory=list)


class Scanner(QObject):
    """Tells scans from typing, for the whole program; install it on the application.

    Signals:
        scanned: the text of a scan, without what announces it.
        broke_off: the text of a scan that announced itself and never came to its end.
    """

    scanned = Signal(str)
    broke_off = Signal(str)
    _ended = Signal(str)

    def __init__(self, application: QApplication, prefix: Callable[[], str] = str) -> None:
        """Watch all keys; `prefix` gives what the scanner sends before each tag, if anything."""
        super().__init__(application)
        self._prefix = prefix
        self._run = _Run()
        self._is_passing_on = False
        # When a scan ended: a second Enter right behind it (CR and LF) is its own as well.
        self._ended_ms = float("-inf")
        self._releases_to_swallow: set[int] = set()
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.timeout.connect(self._on_patience_over)
        # Not from within the filter: what a scan sets off may open windows.
        self._ended.connect(self.scanned, Qt.ConnectionType.QueuedConnection)
        application.installEventFilter(self)

    def close(self) -> None:
        """Watch no more."""
        self._patience.stop()
        application = QCoreApplication.instance()
        if application is not None:
            application.removeEventFilter(self)

    def _take_press(self, window: QWindow, event: QKeyEvent) -> bool:
        """Look at a key that was pressed; tell whether it goes no further."""
        if event.key() in _MODIFIERS:
            return False
        if _is_enter(event):
            return self._take_enter(event, _moment_ms(event))
        text = event.text()
        belongs = len(text) == 1 and text.isprintable() and not event.modifiers() & _COMMANDING
        if not belongs or event.isAutoRepeat():
            self._end_run()
            return False
        self._add(text, _moment_ms(event))
        run = self._run
        is_held = run.memory is None and (bool(run.waiting) or not text.isspace())
        if is_held:
            run.waiting.append((window, event.clone()))
        if is_held or self._is_announced:
            self._patience.start(self._gap_ms)
        return is_held

    def _add(self, text: str, at_ms: float) -> None:
        """Add a character to the run, or begin another with it."""
        gap_ms = at_ms - self._run.last_ms
        if not self._run.text or gap_ms > self._gap_ms:
            self._end_run()
            self._begin_run()
        elif gap_ms > GAP_MS:
            self._run.falters += 1
        self._run.text += text
        self._run.last_ms = at_ms

    def _take_enter(self, event: QKeyEvent, at_ms: float) -> bool:
        run = self._run
        is_second = at_ms - self._ended_ms <= GAP_MS and not run.text
        is_scan = self._is_whole and not event.isAutoRepeat()
        if not is_second and not (is_scan and at_ms - run.last_ms <= self._gap_ms):
            self._end_run()
            return False
        self._releases_to_swallow.add(event.key())
        if not is_second:
            self._run = _Run()
            self._patience.stop()
            self._ended_ms = at_ms
            if run.memory is not None:
                run.memory.put_back()
            self._ended.emit(self._bare(run.text))
        return True

    def _take_release(self, window: QWindow, event: QKeyEvent) -> bool:
        key = event.key()
        if key in self._releases_to_swallow:
            if not event.isAutoRepeat():
                self._releases_to_swallow.discard(key)
            return True
        if any(one.key() == key for _, one in self._run.waiting):
            self._run.waiting.append((window, event.clone()))
            return True
        return False

    @property
    def _is_announced(self) -> bool:
        prefix = self._prefix()
        return bool(prefix) and self._run.text.startswith(prefix)

    @property
    def _is_whole(self) -> bool:
        """Whether the run is long enough for a tag."""
        return len(self._bare(self._run.text)) >= LEAST_CHARACTERS

    @property
    def _gap_ms(self) -> int:
        may_falter = self._is_announced and self._run.falters < MOST_FALTERS
        return FALTER_MS if may_falter else GAP_MS

    def _bare(self, text: str) -> str:
        return text.removeprefix(self._prefix())

    def _begin_run(self) -> None:
        focused = QApplication.focusWidget()
        popup = QApplication.activePopupWidget()
        # The list below a field that offers words passes the keys on to the field.
        is_over_something_else = popup is not None and popup.focusProxy() is not focused
        if focused is not None and takes_text(focused) and not is_over_something_else:
            self._run = _Run(memory=FieldMemory(focused))
        else:
            self._run = _Run()

    def _end_run(self) -> None:
        """Let go of what came so far: it was typing."""
        run, self._run = self._run, _Run()
        self._patience.stop()
        self._pass_on(run)

    def _pass_on(self, run: _Run) -> None:
        """Send the keys that waited where they were meant to go."""
        waiting, run.waiting = run.waiting, []
        self._is_passing_on = True
        try:
            for window, event in waiting:
                if isValid(window):
                    QCoreApplication.sendEvent(window, event)
        finally:
            self._is_passing_on = False

    def _on_patience_over(self) -> None:
        run = self._run
        if not (self._is_announced and self._is_whole):
            # The run is not over for this: if the window was busy, more of it stands in the queue.
            self._pass_on(run)
            return
        self._run = _Run()
        if run.memory is not None:
            run.memory.put_back()
        self.broke_off.emit(self._bare(run.text))

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # A key comes by once for its window, then for widget after widget; the first is enough.
        if not isinstance(event, QKeyEvent) or self._is_passing_on:
            return False
        if not isinstance(watched, QWindow):
            return False
        # Nobody scans into a chooser of files, and a path put there by a tool is no tag.
        if isinstance(QApplication.activeModalWidget(), QFileDialog):
            return False
        if event.type() is QEvent.Type.KeyPress:
            return self._take_press(watched, event)
        if event.type() is QEvent.Type.KeyRelease:
            return self._take_release(watched, event)
        return False


def _is_enter(event: QKeyEvent) -> bool:
    """Tell whether a key ends a scan: Enter, or the line feed that some send in its place."""
    ends = event.key() in _ENTER or event.text() in _LINE_ENDS
    return ends and not event.modifiers() & _COMMANDING


def _moment_ms(event: QKeyEvent) -> float:
    """Give when the system saw a key; now, where it does not say."""
    return float(event.timestamp()) or time.monotonic() * 1000
