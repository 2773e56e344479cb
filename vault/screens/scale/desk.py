"""The scale in use: what it shows now, and which of its weights were taken already."""

from __future__ import annotations

import errno
import time
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from vault.bench.scale_port import PortSettings, Wire, open_serial
from vault.bench.scale_watch import Live, ScaleState
from vault.bench.scales import Scale
from vault.bench.simulated_scale import NoPseudoTerminal, SimulatedPan, SimulatedScale
from vault.core.masses import Mass
from vault.screens.scale.listening import Listening
from vault.screens.scale.words import TAKEN_BEFORE, why_not_taken

_SIMULATED_STEP = Mass(10_000)
_SIMULATED_MAXIMUM = Mass(3_200_000_000)
SIMULATED_LINES_PER_S = 10


class ScaleDesk(QObject):
    """Listens to the scale in use, and hands each load out once.

    One load is for one field: a weight that was taken is offered to no other field until another
    load has come to rest, however often a gloved hand presses Enter.

    Signals:
        live_changed: the newest `Live`; those between were of no interest any more.
        chosen: another `Scale` is in use, or None.
        take_wanted: the button or the key that takes a weight was pressed.
    """

    live_changed = Signal(object)
    chosen = Signal(object)
    take_wanted = Signal()

    def __init__(
        self,
        parent: QObject | None = None,
        *,
        open_wire: Callable[[PortSettings], Wire] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Make a desk without a scale."""
        super().__init__(parent)
        self._open_wire = open_wire
        self._clock = clock
        self._scale: Scale | None = None
        self._live = Live()
        self._listening: Listening | None = None
        self._simulated: SimulatedScale | None = None
        self._taken_load = 0
        self._taken_by: object = None

    @property
    def scale(self) -> Scale | None:
        """The scale in use, or None."""
        return self._scale

    @property
    def live(self) -> Live:
        """What it shows now."""
        return self._live

    @property
    def simulated(self) -> SimulatedScale | None:
        """The scale that is none, while it is in use."""
        return self._simulated

    def lines(self) -> list[str]:
        """Give the lines that came last, oldest first."""
        return [] if self._listening is None else self._listening.lines()

    def listen(self, scale: Scale | None) -> None:
        """Listen to this scale from now on, or to none."""
        if scale == self._scale:
            return
        self._scale = scale
        self._live = Live()
        self._taken_load, self._taken_by = 0, None
        if self._listening is None:
            self._begin()
        else:
            # The port must be free before it can be opened anew; the window does not wait for it.
            self._listening.end()
        self.chosen.emit(scale)
        self.live_changed.emit(self._live)

    def close(self) -> None:
        """Listen no more, and wait until the port is free."""
        self._scale = None
        if self._listening is not None:
            listening, self._listening = self._listening, None
            listening.heard.disconnect(self._on_heard)
            listening.finished.disconnect(self._on_finished)
            listening.end()
            listening.wait()
            listening.deleteLater()
        self._put_simulated_away()

    def wish_to_take(self) -> None:
        """Let the field that has the focus take the weight, as by the big button or a pedal."""
        self.take_wanted.emit()

    def why_not(self, by: object) -> str:
        """Say why the weight cannot be taken by a field now; empty where it can."""
        if self._scale is None:
            return "No scale is in use; type the weight."
        if self._live.mass_to_take(self._clock()) is None:
            return why_not_taken(self._live)
        return TAKEN_BEFORE if self._is_taken_for_another(by) else ""

    def take(self, by: object) -> Mass | None:
        """Hand the steady weight to a field, or None where `why_not` says why."""
        if self.why_not(by):
            return None
        self._taken_load, self._taken_by = self._live.load, by
        return self._live.mass_to_take(self._clock())

    def may_take_itself(self) -> bool:
        """Tell whether the weight is a new load that is taken without a key."""
        return (
            self._scale is not None
            and (self._scale.takes_itself or self._scale.sends_on_print)
            and self._live.may_take_itself
            and self._live.load > self._taken_load
        )

    def _is_taken_for_another(self, by: object) -> bool:
        return self._live.load == self._taken_load and self._taken_by is not by

    def plug_simulated(self, *, on: bool) -> None:
        """Put the plug of the simulated scale in, or pull it."""
        if not on:
            self._put_simulated_away()
        elif self._simulated is None and self._scale is not None and self._scale.is_simulated:
            step, most = self._scale.step, self._scale.maximum
            pan = SimulatedPan(
                step=_SIMULATED_STEP if step is None else step,
                maximum=_SIMULATED_MAXIMUM if most is None else most,
            )
            self._simulated = SimulatedScale(pan, lines_per_s=SIMULATED_LINES_PER_S)

    def _begin(self) -> None:
        scale = self._scale
        if scale is None:
            return
        try:
            self.plug_simulated(on=scale.is_simulated)
        except NoPseudoTerminal as error:
            self._live = Live(ScaleState.UNPLUGGED, reason=str(error))
            self.live_changed.emit(self._live)
            return
        open_wire = self._open_simulated if scale.is_simulated else self._open_wire
        self._listening = Listening(scale, open_wire=open_wire, clock=self._clock, parent=self)
        self._listening.heard.connect(self._on_heard)
        self._listening.finished.connect(self._on_finished)
        self._listening.start()

    def _open_simulated(self, settings: PortSettings) -> Wire:
        """Open the port of the simulated scale, which changes each time it is plugged in."""
        plugged = self._simulated
        if plugged is None:
            raise OSError(errno.ENOENT, "not plugged in")
        return open_serial(replace(settings, device=plugged.device))

    def _put_simulated_away(self) -> None:
        if self._simulated is not None:
            self._simulated.close()
            self._simulated = None

    def _on_heard(self) -> None:
        if self._listening is None:
            return
        live = self._listening.newest()
        if self._scale is not self._listening.scale:
            return  # the last words of the scale before
        self._live = live
        self.live_changed.emit(live)

    def _on_finished(self) -> None:
        if self._listening is not None:
            self._listening.deleteLater()
            self._listening = None
        self._put_simulated_away()
        self._begin()
