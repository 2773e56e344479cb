"""Where a scan goes: to the screen that is shown if it has a use for it, else to the search."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication

from vault.core.tags import Scan, tag_of_scan
from vault.screens.background import Background
from vault.screens.screen import Screen

MISREAD = "That tag was misread; scan it again."


class Scans(QObject):
    """Reads scans one after the other, by the tags of the open book.

    Signals:
        told: a sentence for the reader.
        sought: a tag or a text that the screen has no use for, to be looked for.
    """

    told = Signal(str)
    sought = Signal(str)

    def __init__(
        self,
        read: Callable[[object, str], Scan],
        background: Background,
        place: Callable[[], tuple[object | None, Screen | None]],
        parent: QObject,
    ) -> None:
        """Read scans by `read`; `place` gives the open book and the screen that is shown."""
        super().__init__(parent)
        self._read = read
        self._background = background
        self._place = place
        self._waiting: deque[str] = deque()
        self._is_asking = False

    def take(self, text: str) -> None:
        """Take a scan; a window that lies over this one keeps it out."""
        over = QApplication.activeModalWidget()
        # A form that lists items has a use for it (`forms/form.py: Form.take_scan`).
        take = getattr(over, "take_scan", None)
        if callable(take) and take(text):
            return
        if over is not None:
            QApplication.beep()
            self.told.emit(f"“{text}” was scanned while another window was open; scan it again.")
            return
        self._waiting.append(text)
        self._go_on()

    def take_broken_off(self, text: str) -> None:
        """Say that a scan never came to its end."""
        QApplication.beep()
        self.told.emit(f"The scan broke off after “{text}”; scan it again.")

    def _go_on(self) -> None:
        book, _ = self._place()
        if self._is_asking or not self._waiting:
            return
        if book is None:
            self._waiting.clear()
            self.told.emit("Open a book first; then scan the tag again.")
            return
        self._is_asking = True
        text = self._waiting.popleft()
        # Not an asker: each of several quick scans wants its answer, in order.
        self._background.ask(
            partial(self._read, book, text), self._on_read_answered, self._on_read_failed
        )

    def _on_read_answered(self, scan: Scan) -> None:
        self._is_asking = False
        _, screen = self._place()
        said = scan.tag or scan.text
        if scan.is_misread:
            # Something else may be called so; who looks for it says what it is if nothing is.
            self.sought.emit(scan.text)
        elif screen is None or not screen.scanned(said):
            self.sought.emit(said)
        self._go_on()

    def _on_read_failed(self, error: BaseException) -> None:
        self._is_asking = False
        self._background.failed.emit(error)
        self._go_on()


def nothing_called(text: str) -> str:
    """Say that a text names nothing: a tag with something wrong in it, or nothing of this book."""
    if tag_of_scan(text, lambda _tag: False).is_misread:
        return MISREAD
    return f"Nothing in this book is called “{text}”."
