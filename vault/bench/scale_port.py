"""The port on which a scale sends: opened, read line by line, and opened again when it comes back.

Nothing here knows what a line means. `ScalePort.run` blocks and is meant for a thread of its own.
"""

from __future__ import annotations

import contextlib
import errno
import re
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from vault.bench.scale_lines import LONGEST_LINE

if sys.platform != "win32":
    import termios

BAUDS = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200)
FRAMINGS = ("8N1", "7E1", "7O1", "7N2", "8E1", "8O1", "8N2")

# pyserial falls over its own closed file (TypeError) when a port vanishes at the wrong moment.
_LOST: tuple[type[Exception], ...] = (OSError, TypeError)
if sys.platform != "win32":
    # Not an OSError, though it tells of the same.
    _LOST = (*_LOST, termios.error)
_NOT_OPENED: tuple[type[Exception], ...] = (ValueError, *_LOST)
_WAIT_S = 0.1
_SILENT_AFTER_S = 2.0
_AGAIN_AFTER_S = 1.0
_ASK_EVERY_S = 0.2
# So long without a byte, and what comes next is the beginning of a line.
_PAUSE_S = 0.3
_LINE_END = re.compile(rb"[\r\n\x03]+")
# So many bytes without a line end: no scale's line is that long.
_NO_LINE_END = 2 * LONGEST_LINE


@dataclass(frozen=True, slots=True)
class Opened:
    """The port stands open; nothing has come yet."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line that came, without its end, and when it was whole."""

    text: str
    at_s: float


@dataclass(frozen=True, slots=True)
class Noise:
    """What comes is no lines of text; the reason says what to look at."""

    reason: str


@dataclass(frozen=True, slots=True)
class Silent:
    """Nothing has come for so many seconds."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Gone:
    """The port is not there, or was pulled out; the reason says so in a sentence."""

    reason: str


Event = Opened | Line | Noise | Silent | Gone


@dataclass(frozen=True, slots=True)
class PortSettings:
    """How a scale is reached.

    Attributes:
        device: the port's name on this computer (`/dev/ttyUSB0`, `COM3`).
        baud: its speed.
        framing: data bits, parity and stop bits (`8N1`).
        ask_with: what a scale wants to hear before it sends, without its line end; mostly empty.
    """

    device: str
    baud: int = 9600
    framing: str = "8N1"
    ask_with: str = ""


@dataclass(frozen=True, slots=True)
class PortOffered:
    """A port that this computer has."""

    device: str
    words: str


class Wire(Protocol):
    """An open serial port, as far as it is needed here."""

    @property
    def in_waiting(self) -> int:
        """How many bytes lie ready."""

    def read(self, size: int = 1, /) -> bytes:
        """Give what has come, or nothing once the patience is over."""

    def write(self, data: bytes, /) -> int | None:
        """Send."""

    def close(self) -> None:
        """Let go of the port."""


class LineCutter:
    """Cuts a stream of bytes into lines, whatever pieces it comes in.

    What stands before the first line end is thrown away unless the stream paused before it: the
    port may have been opened in the middle of a line, and half a weight is a wrong weight.
    """

    def __init__(self) -> None:
        self._rest = b""
        self._is_in_step = False

    def begin(self) -> None:
        """Take what comes next for the beginning of a line."""
        self._is_in_step = True

    def feed(self, data: bytes) -> list[str]:
        """Give the lines that are whole now."""
        *whole, self._rest = _LINE_END.split(self._rest + data)
        if whole and not self._is_in_step:
            self._is_in_step = True
            whole = whole[1:]
        return [one.decode("utf-8", errors="replace") for one in whole if one.strip()]

    @property
    def holds_a_part(self) -> bool:
        """Whether a line has begun and not ended."""
        return bool(self._rest)

    @property
    def has_lost_its_lines(self) -> bool:
        """Whether more has come than any line is long; what came is thrown away then."""
        if len(self._rest) <= _NO_LINE_END:
            return False
        self._rest = b""
        self._is_in_step = False
        return True


class ScalePort:
    """Reads one port until it is closed, through silence and unplugging."""

    def __init__(
        self,
        settings: PortSettings,
        *,
        open_wire: Callable[[PortSettings], Wire] | None = None,
        clock: Callable[[], float] = time.monotonic,
        again_after_s: float = _AGAIN_AFTER_S,
    ) -> None:
        self._settings = settings
        self._open_wire = open_wire or open_serial
        self._clock = clock
        self._again_after_s = again_after_s
        self._closed = threading.Event()

    def close(self) -> None:
        """End `run`, from any thread; it ends within a tenth of a second or so."""
        self._closed.set()

    def run(self, tell: Callable[[Event], object]) -> None:
        """Open the port and tell everything that happens on it, until it is closed."""
        while not self._closed.is_set():
            try:
                wire = self._open_wire(self._settings)
            except _NOT_OPENED as error:
                tell(Gone(why_not_open(self._settings.device, error)))
            else:
                try:
                    tell(Opened())
                    self._listen(wire, tell)
                except _LOST:
                    tell(Gone(f"{self._settings.device} was unplugged, or the scale went off."))
                finally:
                    _close(wire)
            self._closed.wait(self._again_after_s)

    def _listen(self, wire: Wire, tell: Callable[[Event], object]) -> None:
        cutter = LineCutter()
        heard_s = told_s = asked_s = self._clock()
        while not self._closed.is_set():
            if self._settings.ask_with and self._clock() - asked_s >= _ASK_EVERY_S:
                asked_s = self._clock()
                wire.write(self._settings.ask_with.encode() + b"\r\n")
            data = wire.read(max(1, wire.in_waiting))
            now_s = self._clock()
            if not data:
                if now_s - heard_s > _PAUSE_S and not cutter.holds_a_part:
                    cutter.begin()
                if now_s - heard_s >= _SILENT_AFTER_S and now_s - told_s >= 1:
                    told_s = now_s
                    tell(Silent(now_s - heard_s))
                continue
            heard_s = now_s
            for text in cutter.feed(data):
                tell(Line(text, now_s))
            if cutter.has_lost_its_lines:
                tell(Noise(_NO_LINES))


_NO_LINES = (
    "The scale sends without ever ending a line. Check the speed and the framing of the port, and "
    "that the scale is set to send text."
)


def open_serial(settings: PortSettings) -> Wire:
    """Open a serial port, for this program alone.

    Raises:
        OSError: when it cannot be opened.
        ValueError: when the settings make no sense.
    """
    # Loaded when a scale is first listened to; the start of the program does not wait for it.
    import serial  # noqa: PLC0415 - see the line above

    bits, parity, stop = tuple(settings.framing)
    return serial.serial_for_url(
        settings.device,
        baudrate=settings.baud,
        bytesize=int(bits),
        parity=parity,
        stopbits=int(stop),
        timeout=_WAIT_S,
        write_timeout=_WAIT_S,
        exclusive=True,
    )


def ports() -> list[PortOffered]:
    """List the serial ports of this computer."""
    from serial.tools.list_ports import comports  # noqa: PLC0415 - loaded when first wanted

    return [
        PortOffered(
            one.device,
            one.device
            if one.description in {"", "n/a", one.device}
            else f"{one.device}, {one.description}",
        )
        for one in sorted(comports())
    ]


def why_not_open(device: str, error: Exception) -> str:
    """Say why a port cannot be opened, and what to do."""
    number = getattr(error, "errno", None)
    told = str(error)
    if isinstance(error, ValueError):
        return f"{device} cannot be set that way; check its speed and framing."
    if number in {errno.ENOENT, errno.ENODEV, errno.ENXIO} or "FileNotFound" in told:
        return f"There is no port {device}; plug the scale in, or choose another port."
    if number in {errno.EACCES, errno.EPERM} or "Permission" in told:
        return (
            f"This computer does not let you open {device}: another program may hold it, or your "
            "account may not use serial ports (on Linux it must be in the group dialout)."
        )
    if number in {errno.EBUSY, errno.EAGAIN} or "lock" in told:
        return f"Another program is using {device}; close it first."
    return f"{device} cannot be opened; check the cable and the port."


def _close(wire: Wire) -> None:
    # A port that was pulled out may refuse even this; there is nothing left to save then.
    with contextlib.suppress(*_LOST):
        wire.close()
