"""What the scale shows at this moment, from everything it sent: steady, settling, silent, gone.

A weight counts as steady only when

* the line says so, twice running with the same weight (one line may have lost a sign on the way);
* or, where lines say nothing of it, three equal weights stand over a second;
* or the scale sends only when its print key is pressed, and does not say otherwise.

`Live.load` counts what was put on: it rises when another weight has come to rest, so that one
weight is not taken for two things.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

from vault.bench.scale_lines import Kind, Reading, Unreadable
from vault.bench.scale_port import Event, Gone, Line, Noise, Opened, Silent
from vault.core.masses import Mass
from vault.core.numerals import shortened

LineReader = Callable[[str], Reading | Unreadable]

EQUALS_WITH_FLAG = 2
EQUALS_WITHOUT_FLAG = 3
# A hair less than a second, since moments are floats.
STILL_FOR_S = 0.999
# A weight older than this is not taken; a scale that sends seldom is given longer.
FRESH_S = 1.0
FRESH_AT_MOST_S = 3.0
_GAPS_TO_STAY_FRESH = 2.5
# One bad line among good ones is noise on the wire; so many are a wrong setting.
_BAD_LINES_TO_TELL = 3
# Differences below this many display steps are the drift of one load, and no other load.
DRIFT_STEPS = 5
# The print key pressed again so soon is one press.
PRESSED_TWICE_S = 2.0
# Below this many display steps nothing is taken for a load by itself (a draught, a crumb).
LEAST_STEPS = 20


class ScaleState(Enum):
    """What a scale is doing."""

    WAITING = "waiting"
    STEADY = "steady"
    SETTLING = "settling"
    ZERO = "zero"
    OVERLOAD = "overload"
    BELOW_ZERO = "below zero"
    SILENT = "silent"
    UNPLUGGED = "unplugged"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class Live:
    """What a scale shows at one moment.

    Attributes:
        state: what it is doing.
        reading: the newest weight it sent; None before the first, and where it shows none.
        at_s: when that weight came, by the clock of the port.
        load: counts the loads that have come to rest so far.
        fresh_s: how long this weight may be taken.
        reason: what is wrong, in a sentence, where something is.
        silent_s: for how long nothing has come.
        line: the newest line as it came, for teaching.
        tare: the newest tare that the scale told of, None before the first.
        tares: counts the tares told of so far.
        may_take_itself: whether the load is new and heavy enough to be taken without a hand.
    """

    state: ScaleState = ScaleState.WAITING
    reading: Reading | None = None
    at_s: float = 0.0
    load: int = 0
    fresh_s: float = FRESH_S
    reason: str = ""
    silent_s: float = 0.0
    line: str = ""
    tare: Mass | None = None
    tares: int = 0
    may_take_itself: bool = False

    def mass_to_take(self, now_s: float) -> Mass | None:
        """Give the weight if it may be taken now: steady, above zero and fresh."""
        if self.state is not ScaleState.STEADY or self.reading is None:
            return None
        if now_s - self.at_s > self.fresh_s:
            return None
        mass = self.reading.mass
        return mass if mass is not None and mass.micrograms > 0 else None


class ScaleWatch:
    """Follows one scale; tell it every event of the port, and it gives what the scale shows."""

    def __init__(self, read: LineReader, *, sends_on_print: bool = False) -> None:
        """Follow a scale whose lines `read` understands."""
        self._read = read
        self._on_print = sends_on_print
        self._live = Live()
        self._bad = 0
        self._equals = 0
        self._since_s = 0.0
        self._last: Reading | None = None
        self._names_unit = False
        # The weight of the load that came to rest last; None when the pan was empty since.
        self._rested: Mass | None = None
        self._rested_s = -math.inf

    @property
    def live(self) -> Live:
        """What the scale shows now."""
        return self._live

    def hear(self, event: Event) -> Live:
        """Take in what the port tells, and give what the scale shows now."""
        match event:
            case Line(text, at_s):
                self._hear_line(text, at_s)
            case Opened():
                self._forget()
                self._live = replace(self._live, state=ScaleState.WAITING, reason="", silent_s=0)
            case Silent(seconds):
                self._forget()
                state = ScaleState.WAITING if self._on_print else ScaleState.SILENT
                self._show(state, silent_s=seconds)
            case Gone(reason):
                self._forget()
                self._show(ScaleState.UNPLUGGED, reason=reason)
            case Noise(reason):
                self._forget()
                self._show(ScaleState.UNREADABLE, reason=reason)
        return self._live

    def _hear_line(self, text: str, at_s: float) -> None:
        found = self._read(text)
        self._live = replace(self._live, line=shortened(text, longest=80))
        if isinstance(found, Unreadable):
            self._forget()
            self._bad += 1
            bad = self._bad >= _BAD_LINES_TO_TELL or self._live.reading is None or self._on_print
            state = ScaleState.UNREADABLE if bad else ScaleState.SETTLING
            self._show(state, reason=found.reason if bad else "")
            return
        self._bad = 0
        match found.kind:
            case Kind.TARE:
                self._live = replace(self._live, tare=found.mass, tares=self._live.tares + 1)
            case Kind.OVERLOAD | Kind.UNDERLOAD:
                self._forget()
                over = found.kind is Kind.OVERLOAD
                self._show(ScaleState.OVERLOAD if over else ScaleState.BELOW_ZERO)
            case Kind.WEIGHT:
                self._hear_weight(found, at_s)

    def _hear_weight(self, reading: Reading, at_s: float) -> None:
        assert reading.mass is not None  # noqa: S101  a weight line carries one, by its reader
        self._names_unit = self._names_unit or reading.names_unit
        steady = self._is_steady(reading, at_s)
        size = reading.mass.micrograms
        fresh_s = self._fresh_s(at_s)
        if size < 0:
            state = ScaleState.BELOW_ZERO
        elif size == 0:
            state = ScaleState.ZERO
        else:
            state = ScaleState.STEADY if steady else ScaleState.SETTLING
        least = LEAST_STEPS * _ug(reading.step)
        if size <= 0 or (size < least and self._rested is not None and _ug(self._rested) >= least):
            self._rested = None
        if state is ScaleState.STEADY:
            self._rest(reading, at_s)
        self._live = replace(
            self._live,
            state=state,
            reading=reading,
            at_s=at_s,
            fresh_s=fresh_s,
            reason="",
            silent_s=0.0,
        )

    def _rest(self, reading: Reading, at_s: float) -> None:
        """Note a weight that has come to rest; it is a new load unless it is the old one."""
        assert reading.mass is not None  # noqa: S101  as above
        drift = DRIFT_STEPS * _ug(reading.step)
        old = self._rested
        # To press the print key is to say that here is something to be weighed; a glove that
        # presses it twice says nothing new.
        pressed = self._on_print and at_s - self._rested_s >= PRESSED_TWICE_S
        if pressed or old is None or abs(_ug(reading.mass) - _ug(old)) > drift:
            self._rested_s = at_s
            heavy = self._on_print or _ug(reading.mass) >= LEAST_STEPS * _ug(reading.step)
            self._live = replace(self._live, load=self._live.load + 1, may_take_itself=heavy)
            self._rested = reading.mass

    def _is_steady(self, reading: Reading, at_s: float) -> bool:
        same = (
            self._last is not None
            and self._last.mass == reading.mass
            and self._last.is_net == reading.is_net
            and self._last.steady == reading.steady
        )
        self._equals = self._equals + 1 if same else 1
        self._since_s = self._since_s if same else at_s
        self._last = reading
        if reading.steady is False:
            return False
        # Many scales leave the unit out for as long as the weight moves.
        if self._names_unit and not reading.names_unit:
            return False
        if self._on_print:
            return True
        if reading.steady:
            return self._equals >= EQUALS_WITH_FLAG
        return self._equals >= EQUALS_WITHOUT_FLAG and at_s - self._since_s >= STILL_FOR_S

    def _fresh_s(self, at_s: float) -> float:
        if self._live.reading is None:
            return FRESH_S
        gap_s = at_s - self._live.at_s
        return min(FRESH_AT_MOST_S, max(FRESH_S, _GAPS_TO_STAY_FRESH * gap_s))

    def _forget(self) -> None:
        """Let nothing that came before count for the weight standing still."""
        self._equals = 0
        self._last = None

    def _show(self, state: ScaleState, *, reason: str = "", silent_s: float = 0.0) -> None:
        self._live = replace(self._live, state=state, reason=reason, silent_s=silent_s)


def _ug(mass: Mass) -> int:
    return mass.micrograms
