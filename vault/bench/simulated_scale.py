"""A scale that is none: it sends lines on a pseudo-terminal as a bench scale does on its port.

What is put on swings in and comes to rest; while it swings the lines say so, each shape in its
own way. It serves the tests and the demonstration, and knows nothing of who listens.
"""

from __future__ import annotations

import contextlib
import math
import os
import random
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from vault.core.errors import VaultError
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass

if sys.platform != "win32":
    import tty

# How a weight swings in: about this long, this often, and by this share of the change.
_SETTLES_IN_S = 0.15
_SWINGS_PER_S = 3.0
_SHARE = 0.3
# The scale calls a weight steady that has kept within half a step for so long.
_STEADY_AFTER_S = 0.4


class NoPseudoTerminal(VaultError):
    """This system has no pseudo-terminals."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the scale shows at one moment.

    Attributes:
        steps: the weight in whole display steps.
        decimals, unit: how it is written.
        steady: whether it stands still.
        beyond: `over`, `under` or empty.
        is_net: whether a tare was taken off.
    """

    steps: int
    decimals: int
    unit: str
    steady: bool
    beyond: str = ""
    is_net: bool = False

    def number(self, *, width: int = 0, zeros: bool = False, comma: bool = False) -> str:
        """Write the number without its sign, filled up on the left."""
        text = f"{Decimal(abs(self.steps)).scaleb(-self.decimals):.{self.decimals}f}"
        text = text.replace(".", ",") if comma else text
        return text.rjust(width, "0" if zeros else " ")

    @property
    def sign(self) -> str:
        """Plus or minus."""
        return "-" if self.steps < 0 else "+"


Shape = Callable[[Shown], str]


def _command_answer(one: Shown) -> str:
    if one.beyond:
        return "S +" if one.beyond == "over" else "S -"
    minus = "-" if one.steps < 0 else ""
    return f"S {'S' if one.steady else 'D'} {(minus + one.number()).rjust(10)} {one.unit}"


def _comma_fields(one: Shown) -> str:
    if one.beyond:
        return f"OL,GS,{'+' if one.beyond == 'over' else '-'}9999999 {one.unit:>2}"
    flag = "ST" if one.steady else "US"
    content = "NT" if one.is_net else "GS"
    return f"{flag},{content},{one.sign}{one.number(width=8)} {one.unit:>2}"


def _sign_first(one: Shown) -> str:
    if one.beyond:
        return "   HHHHHHHH   " if one.beyond == "over" else "   LLLLLLLL   "
    # The unit is left out for as long as the weight moves.
    return f"{one.sign}{one.number(width=10)} {one.unit if one.steady else '':<3}"


def _letter_first(one: Shown) -> str:
    if one.beyond:
        return "-------" if one.beyond == "over" else "_______"
    content = "N" if one.is_net else "G"
    minus = "-" if one.steps < 0 else " "
    return f"{content} {minus}{one.number(width=9)} {one.unit}{'' if one.steady else ' ?'}"


def _plain(one: Shown) -> str:
    if one.beyond:
        return "OL" if one.beyond == "over" else "UL"
    minus = "-" if one.steps < 0 else " "
    return f"{minus}{one.number(width=8)} {one.unit}"


def _zeros(one: Shown) -> str:
    if one.beyond:
        return "OL" if one.beyond == "over" else "UL"
    return f"{one.sign}{one.number(width=8, zeros=True)} {one.unit}  "


def _comma(one: Shown) -> str:
    if one.beyond:
        return "OL" if one.beyond == "over" else "UL"
    minus = "-" if one.steps < 0 else " "
    return f"{minus}{one.number(width=8, comma=True)} {one.unit}"


def _number_only(one: Shown) -> str:
    if one.beyond:
        return "-----"
    minus = "-" if one.steps < 0 else ""
    return f"{minus}{one.number()}"


SHAPES: dict[str, Shape] = {
    "command answer": _command_answer,
    "fields with commas": _comma_fields,
    "sign first": _sign_first,
    "letter first": _letter_first,
    "plain": _plain,
    "filled with zeros": _zeros,
    "decimal comma": _comma,
    "number only": _number_only,
}


class SimulatedPan:
    """What lies on the scale, and how the weight swings in; free of time and port of its own."""

    def __init__(self, *, step: Mass, maximum: Mass, unit: str = "g", seed: int = 1) -> None:
        """Make an empty pan whose display moves by `step`, in a unit."""
        self.step = step
        self.maximum = maximum
        self.unit = unit
        size = Decimal(step.micrograms) / MICROGRAMS_PER_UNIT[unit]
        self._decimals = max(0, -int(size.normalize().as_tuple().exponent))
        self._random = random.Random(seed)  # noqa: S311  noise, no secret
        self._load = Mass(0)
        self._tare = Mass(0)
        self._before = Mass(0)
        self._since_s = -math.inf
        self._still_since_s = -math.inf
        self.is_restless = False

    @property
    def load(self) -> Mass:
        """What lies on it."""
        return self._load

    @property
    def is_tared(self) -> bool:
        """Whether the scale takes a tare off what it shows."""
        return self._tare.micrograms != 0

    def put(self, mass: Mass, now_s: float) -> None:
        """Let so much lie on it from now on."""
        self._before, self._load = self._load, mass
        self._since_s = now_s

    def tare(self) -> None:
        """Take what lies on it now off everything that is shown."""
        self._tare = self._load

    def show(self, now_s: float) -> Shown:
        """Give what the display shows at a moment; moments must not go back."""
        deviation = self._deviation(now_s)
        if abs(deviation) * 2 > self.step.micrograms:
            self._still_since_s = now_s
        weight = self._load.micrograms + deviation - self._tare.micrograms
        beyond = ""
        if self._load.micrograms > self.maximum.micrograms:
            beyond = "over"
        elif self._load.micrograms < 0:
            beyond = "under"
        return Shown(
            steps=round(weight / self.step.micrograms),
            decimals=self._decimals,
            unit=self.unit,
            steady=now_s - self._still_since_s >= _STEADY_AFTER_S,
            beyond=beyond,
            is_net=self.is_tared,
        )

    def _deviation(self, now_s: float) -> float:
        """How far the display is from the truth, in micrograms."""
        if self.is_restless:
            return self._random.uniform(3, 40) * self.step.micrograms
        since_s = now_s - self._since_s
        if since_s > 20 * _SETTLES_IN_S:
            return 0.0
        change = self._load.micrograms - self._before.micrograms
        size = math.exp(-since_s / _SETTLES_IN_S) * _SHARE * change
        noise = self._random.gauss(0, 0.2) if abs(size) > self.step.micrograms else 0.0
        return size * (math.cos(2 * math.pi * _SWINGS_PER_S * since_s) + noise)


class SimulatedScale:
    """A pan that sends what it shows on a pseudo-terminal, so many lines a second.

    Attributes:
        device: the port on which a program can listen.
    """

    def __init__(
        self,
        pan: SimulatedPan,
        *,
        shape: str = "fields with commas",
        lines_per_s: float = 10,
        line_end: bytes = b"\r\n",
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Begin to send at once.

        Raises:
            NoPseudoTerminal: where the system has none.
        """
        if sys.platform == "win32":
            raise NoPseudoTerminal(
                "The simulated scale needs a pseudo-terminal, which this system has not."
            )
        self.pan = pan
        self._shape = SHAPES[shape]
        self._line_end = line_end
        self._every_s = 1 / lines_per_s
        self._clock = clock
        self._turn = threading.Lock()
        self._ended = threading.Event()
        self._master, slave = os.openpty()
        # Else the terminal would send back what it gets, and change line ends.
        tty.setraw(slave)
        os.set_blocking(self._master, False)
        self._slave = slave
        self.device = os.ttyname(slave)
        self._thread = threading.Thread(target=self._send, name="simulated scale", daemon=True)
        self._thread.start()

    def put(self, mass: Mass) -> None:
        """Put so much on in all; nothing at all empties it."""
        with self._turn:
            self.pan.put(mass, self._clock())

    def tare(self) -> None:
        """Press the tare key."""
        with self._turn:
            self.pan.tare()

    def shake(self, *, on: bool) -> None:
        """Lean on the bench, or let it be."""
        with self._turn:
            self.pan.is_restless = on

    def close(self) -> None:
        """Pull the plug: who listens finds the port gone."""
        if self._ended.is_set():
            return
        self._ended.set()
        self._thread.join()
        os.close(self._master)
        os.close(self._slave)

    def _send(self) -> None:
        following_s = time.monotonic()
        while not self._ended.is_set():
            with self._turn:
                line = self._shape(self.pan.show(self._clock()))
            # Nobody listens, or not fast enough: a real scale does not wait either.
            with contextlib.suppress(BlockingIOError):
                os.write(self._master, line.encode() + self._line_end)
            following_s += self._every_s
            self._ended.wait(max(0.0, following_s - time.monotonic()))
