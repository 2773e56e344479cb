"""The thread that listens to a scale, and the one place where its news wait for the window."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable

from PySide6.QtCore import QObject, QThread, Signal
from typing_extensions import override

from vault.bench.scale_port import Event, Line, PortSettings, ScalePort, Wire
from vault.bench.scale_watch import Live, ScaleWatch
from vault.bench.scales import Scale

_MOST_LINES = 40


class Listening(QThread):
    """Listens to one scale until it is told to end; only the newest state waits to be fetched.

    However fast the scale sends and however busy the window is, nothing piles up: `heard` is not
    sent again until what it told of was fetched.

    Signals:
        heard: there is news; fetch it with `newest`.
    """

    heard = Signal()

    def __init__(
        self,
        scale: Scale,
        *,
        open_wire: Callable[[PortSettings], Wire] | None,
        clock: Callable[[], float],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.scale = scale
        self._watch = ScaleWatch(scale.read, sends_on_print=scale.sends_on_print)
        self._port = ScalePort(scale.port, open_wire=open_wire, clock=clock)
        self._turn = threading.Lock()
        self._newest = Live()
        self._is_told = False
        self._lines: deque[str] = deque(maxlen=_MOST_LINES)

    def newest(self) -> Live:
        """Fetch what the scale shows now."""
        with self._turn:
            self._is_told = False
            return self._newest

    def lines(self) -> list[str]:
        """Give the lines that came last, oldest first, as they came."""
        with self._turn:
            return list(self._lines)

    def end(self) -> None:
        """Tell it to end; `finished` is sent once it has."""
        self._port.close()

    def _hear(self, event: Event) -> None:
        """Take in an event, in the thread of the port."""
        live = self._watch.hear(event)
        with self._turn:
            self._newest = live
            if isinstance(event, Line):
                self._lines.append(event.text)
            is_news, self._is_told = not self._is_told, True
        if is_news:
            self.heard.emit()

    @override
    def run(self) -> None:
        self._port.run(self._hear)
