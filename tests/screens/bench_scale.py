"""A scale on whose wire the test sends, and a desk that listens to it."""

from __future__ import annotations

import queue
import time
from datetime import date

from pytestqt.qtbot import QtBot

from vault.bench.scale_port import PortSettings
from vault.bench.scale_watch import ScaleState
from vault.bench.scales import Scale
from vault.core.masses import Mass
from vault.screens.scale.desk import ScaleDesk
from vault.screens.scale.questions import ScaleQuestions

BENCH = Scale(name="bench", device="/dev/invented", step=Mass(10_000))


class Wire:
    """A serial line whose far end is the test."""

    def __init__(self) -> None:
        self._sent: queue.Queue[bytes] = queue.Queue()
        self.is_pulled = False

    @property
    def in_waiting(self) -> int:
        return 1

    def read(self, size: int = 1, /) -> bytes:
        if self.is_pulled:
            raise OSError("the plug is out")
        try:
            return self._sent.get(timeout=0.02)
        except queue.Empty:
            return b""

    def write(self, data: bytes, /) -> int | None:
        return len(data)

    def send(self, data: bytes) -> None:
        self._sent.put(data)

    def close(self) -> None:
        pass


class BenchScale:
    """The wire and the desk together; `shows` waits until the window knows of it."""

    def __init__(self, qtbot: QtBot, scale: Scale = BENCH) -> None:
        self._qtbot = qtbot
        self.wire = Wire()
        self.desk = ScaleDesk(open_wire=self._open)
        self.desk.listen(scale)
        # What comes before the first line end is thrown away.
        self.wire.send(b"\r\n")

    def _open(self, _settings: PortSettings) -> Wire:
        if self.wire.is_pulled:
            raise FileNotFoundError(2, "no such port")
        return self.wire

    def send(self, *lines: str) -> None:
        for line in lines:
            self.wire.send(f"{line}\r\n".encode())
            time.sleep(0.002)

    def shows(self, line: str, state: ScaleState, *, times: int = 3) -> None:
        """Send a line some times, and wait until the desk has the last of them."""
        self.send(*[line] * times)
        self._qtbot.waitUntil(lambda: self._has(line, state))

    def _has(self, line: str, state: ScaleState) -> bool:
        live = self.desk.live
        return live.line == " ".join(line.split()) and live.state is state

    def steady(self, weight: str) -> None:
        self.shows(f"ST,GS,+ {weight} g", ScaleState.STEADY)

    def empty(self) -> None:
        self.shows("ST,GS,+ 0.00 g", ScaleState.ZERO)


def no_scales() -> ScaleQuestions:
    """Give the questions of a shop that has no scale."""
    return ScaleQuestions(
        scales=lambda _book: (),
        scale_in_use=lambda _book: None,
        keep=lambda _book, _scale, _was: None,
        forget=lambda _book, _name: None,
        use=lambda _book, _name: None,
        last_checks=lambda _book: {},
        today=lambda _book: date(2031, 3, 14),
        check=lambda _book, _scale, _weight, _shown, _key: None,
        ports=lambda: (),
    )
