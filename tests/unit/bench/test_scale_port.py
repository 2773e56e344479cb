"""The port: partial lines, noise, silence, unplugging and coming back, on a pseudo-terminal."""

from __future__ import annotations

import errno
import itertools
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import mass
from vault.bench.scale_lines import Unreadable, read_line
from vault.bench.scale_port import (
    Event,
    Gone,
    Line,
    LineCutter,
    Noise,
    Opened,
    PortSettings,
    ScalePort,
    Silent,
    ports,
    why_not_open,
)
from vault.bench.scale_watch import Live, ScaleState, ScaleWatch
from vault.bench.simulated_scale import SHAPES, Shown, SimulatedPan, SimulatedScale
from vault.core.masses import Mass

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")


class Listening:
    """A port read in a thread of its own, with everything that it told."""

    def __init__(self, port: ScalePort) -> None:
        self.told: list[Event] = []
        self._port = port
        self._thread = threading.Thread(target=port.run, args=(self.told.append,))
        self._thread.start()

    def until(self, wanted: Callable[[Event], bool], *, patience_s: float = 10.0) -> Event:
        ends_s = time.monotonic() + patience_s
        at = 0
        while time.monotonic() < ends_s:
            while at < len(self.told):
                if wanted(self.told[at]):
                    return self.told[at]
                at += 1
            time.sleep(0.005)
        raise AssertionError(self.told[-5:])

    def lines(self) -> list[str]:
        return [one.text for one in self.told if isinstance(one, Line)]

    def close(self) -> None:
        self._port.close()
        self._thread.join()


class Terminal:
    """A pseudo-terminal on which the test is the scale."""

    def __init__(self) -> None:
        self.master, self.slave = os.openpty()
        self.device = os.ttyname(self.slave)

    def send(self, data: bytes) -> None:
        os.write(self.master, data)

    def pull(self) -> None:
        os.close(self.master)
        os.close(self.slave)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    made = Terminal()
    yield made
    made.pull()


@pytest.fixture
def listen() -> Iterator[Callable[[ScalePort], Listening]]:
    made: list[Listening] = []

    def begin(port: ScalePort) -> Listening:
        made.append(Listening(port))
        return made[-1]

    yield begin
    for one in made:
        one.close()


Listen = Callable[[ScalePort], Listening]


def is_line(text: str) -> Callable[[Event], bool]:
    return lambda event: isinstance(event, Line) and event.text == text


def test_lines_come_whole_in_whatever_pieces_they_are_sent(
    terminal: Terminal, listen: Listen
) -> None:
    heard = listen(ScalePort(PortSettings(terminal.device)))
    heard.until(lambda one: isinstance(one, Opened))
    terminal.send(b"9.99 g\r\nST,GS,+  1")
    time.sleep(0.15)
    terminal.send(b"23.45")
    time.sleep(0.15)
    terminal.send(b" g\r")
    terminal.send(b"\n   1.00 g\n")
    heard.until(is_line("   1.00 g"))
    assert heard.lines() == ["ST,GS,+  123.45 g", "   1.00 g"]


def test_the_rest_of_a_line_that_began_before_the_port_was_open_is_thrown_away() -> None:
    assert LineCutter().feed(b"3.45 g\r\n123.45 g\r\n1") == ["123.45 g"]


def test_a_line_that_begins_after_a_pause_is_whole(terminal: Terminal, listen: Listen) -> None:
    heard = listen(ScalePort(PortSettings(terminal.device)))
    heard.until(lambda one: isinstance(one, Opened))
    time.sleep(0.6)
    terminal.send(b"S S 1.00 g\r\n")
    heard.until(is_line("S S 1.00 g"))


def test_bytes_that_never_end_a_line_are_told_as_such(terminal: Terminal, listen: Listen) -> None:
    heard = listen(ScalePort(PortSettings(terminal.device)))
    heard.until(lambda one: isinstance(one, Opened))
    terminal.send(bytes(range(128, 256)) * 4)
    noise = heard.until(lambda one: isinstance(one, Noise))
    assert isinstance(noise, Noise)
    assert "Check the speed and the framing of the port" in noise.reason


def test_silence_is_told_by_the_second(terminal: Terminal, listen: Listen) -> None:
    heard = listen(ScalePort(PortSettings(terminal.device)))
    first = heard.until(lambda one: isinstance(one, Silent))
    assert isinstance(first, Silent)
    assert 2.0 <= first.seconds < 3.0


def test_a_scale_that_must_be_asked_is_asked(terminal: Terminal, listen: Listen) -> None:
    heard = listen(ScalePort(PortSettings(terminal.device, ask_with="SI")))
    heard.until(lambda one: isinstance(one, Opened))
    assert os.read(terminal.master, 64).startswith(b"SI\r\n")


def test_a_pulled_plug_is_told_and_the_scale_is_heard_again_when_it_is_back(
    listen: Listen,
) -> None:
    first = Terminal()
    devices = [first.device]
    port = ScalePort(
        PortSettings("bench"), open_wire=lambda _: open_wire(devices[0]), again_after_s=0.05
    )
    heard = listen(port)
    heard.until(lambda one: isinstance(one, Opened))
    first.pull()
    gone = heard.until(lambda one: isinstance(one, Gone))
    assert gone == Gone("bench was unplugged, or the scale went off.")
    back = Terminal()
    devices[0] = back.device
    heard.until(lambda _: heard.told.count(Opened()) >= 2)
    back.send(b"x\r\n2.00 g\r\n")
    heard.until(is_line("2.00 g"))
    heard.close()
    back.pull()


def open_wire(device: str):  # type: ignore[no-untyped-def]  # noqa: ANN201  what pyserial gives
    from vault.bench.scale_port import open_serial  # noqa: PLC0415 - loads pyserial

    return open_serial(PortSettings(device))


def test_a_port_that_is_not_there_is_told_with_what_to_do(listen: Listen) -> None:
    heard = listen(ScalePort(PortSettings("/dev/no-such-port")))
    gone = heard.until(lambda one: isinstance(one, Gone))
    assert gone == Gone(
        "There is no port /dev/no-such-port; plug the scale in, or choose another port."
    )


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (OSError(errno.EACCES, "no"), "does not let you open"),
        (OSError(errno.EBUSY, "busy"), "Another program is using"),
        (OSError(errno.EAGAIN, "Could not exclusively lock port"), "Another program is using"),
        (ValueError("baud"), "cannot be set that way"),
        (OSError(errno.EIO, "?"), "cannot be opened; check the cable"),
    ],
)
def test_each_trouble_of_opening_has_its_sentence(error: Exception, words: str) -> None:
    assert words in why_not_open("COM3", error)


def test_two_programs_do_not_read_one_scale(terminal: Terminal, listen: Listen) -> None:
    first = listen(ScalePort(PortSettings(terminal.device)))
    first.until(lambda one: isinstance(one, Opened))
    second = listen(ScalePort(PortSettings(terminal.device)))
    gone = second.until(lambda one: isinstance(one, Gone))
    assert isinstance(gone, Gone)
    assert "Another program is using" in gone.reason


def test_the_ports_of_this_computer_are_listed() -> None:
    assert all(one.device and one.words.startswith(one.device) for one in ports())


@given(st.binary(max_size=200), st.lists(st.integers(0, 200), max_size=6))
def test_cutting_does_not_depend_on_the_pieces_and_never_fails(data: bytes, at: list[int]) -> None:
    whole, pieces = LineCutter(), LineCutter()
    expected = whole.feed(data)
    cuts = [0, *sorted(place for place in at if place <= len(data)), len(data)]
    found = [
        line for start, end in itertools.pairwise(cuts) for line in pieces.feed(data[start:end])
    ]
    assert found == expected


# --- the simulated scale: what is put on, what is shown, and never a wrong weight ----------------


def shown_as(pan: SimulatedPan, shape: str, at_s: float) -> str:
    return SHAPES[shape](pan.show(at_s))


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_of_the_simulated_scale_is_read_without_asking(shape: str) -> None:
    pan = SimulatedPan(step=mass("0.01 g"), maximum=mass("2000 g"))
    pan.put(mass("150.85 g"), 0.0)
    told = read_line(shown_as(pan, shape, 100.0))
    assert not isinstance(told, Unreadable), told
    assert told.mass == mass("150.85 g")
    pan.put(mass("2500 g"), 200.0)
    told = read_line(shown_as(pan, shape, 300.0))
    assert not isinstance(told, Unreadable), told
    assert told.mass is None


@pytest.mark.parametrize("shape", SHAPES)
def test_ten_minutes_of_twenty_lines_a_second_never_take_a_wrong_weight(shape: str) -> None:
    """12 000 lines: loads come and go, the bench shakes, bytes are lost and spoilt."""
    pan = SimulatedPan(step=mass("0.01 g"), maximum=mass("2000 g"))
    watch = ScaleWatch(read_line)
    cutter = LineCutter()
    scene = Scene(pan)
    taken = 0
    for number in range(12_000):
        now_s = number / 20
        truth = scene.go_on(number, now_s)
        data = scene.spoil(f"{shown_as(pan, shape, now_s)}\r\n".encode())
        for text in cutter.feed(data):
            watch.hear(Line(text, now_s))
        weight = watch.live.mass_to_take(now_s)
        if weight is not None:
            taken += 1
            assert weight == truth, f"line {number}: took {weight}, there is {truth}"
    assert taken > 1_000
    # Every load that lay still long enough was counted, and none twice.
    assert scene.loads / 2 <= watch.live.load <= scene.loads


class Scene:
    """Puts weights on and off, shakes the bench, and spoils some lines on the way."""

    def __init__(self, pan: SimulatedPan) -> None:
        import random  # noqa: PLC0415 - this scene alone

        self._random = random.Random(20)
        self._pan = pan
        self._next = 0
        self.loads = 0
        self._truth: Mass | None = None

    def go_on(self, number: int, now_s: float) -> Mass | None:
        """Give what may rightly be taken now; None while nothing lies there."""
        if number >= self._next:
            self._next = number + self._random.randint(40, 140)
            self._pan.is_restless = self._random.random() < 0.1
            empty = self._random.random() < 0.4
            steps = 0 if empty else self._random.randint(500, 150_000)
            self.loads += not empty
            load = Mass(steps * self._pan.step.micrograms)
            self._pan.put(load, now_s)
            self._truth = None if empty else load
        return self._truth

    def spoil(self, data: bytes) -> bytes:
        chance = self._random.random()
        at = self._random.randrange(len(data))
        if chance < 0.01:
            return data[:at] + data[at + 1 :]
        if chance < 0.02:
            return data[:at] + bytes([self._random.randrange(256)]) + data[at + 1 :]
        return data


FASTER = 40


def fast_clock() -> float:
    return time.monotonic() * FASTER


class Sent:
    """Notes of every line that a scale sends which of the loads lay there: lines may come late."""

    def __init__(self, scale: SimulatedScale, laid: list[Mass | None]) -> None:
        self._laid = laid
        self._loads: dict[str, int] = {}
        self._shape = scale._shape
        with scale._turn:
            scale._shape = self._note

    def _note(self, shown: Shown) -> str:
        text = self._shape(shown)
        self._loads[text] = len(self._laid)
        return text

    def around(self, text: str) -> list[Mass | None]:
        """Give the load that lay there when a line was sent, and the one before it."""
        now = self._loads.get(text, 2)
        return self._laid[now - 2 : now]


def test_ten_minutes_of_twenty_lines_a_second_through_a_port_in_fifteen_seconds(
    listen: Listen,
) -> None:
    """12 000 lines on a pseudo-terminal; what is taken is a load that lay there, never another."""
    pan = SimulatedPan(step=mass("0.01 g"), maximum=mass("2000 g"))
    scale = SimulatedScale(pan, lines_per_s=20 * FASTER, clock=fast_clock)
    scene = Scene(pan)
    watch = ScaleWatch(read_line)
    laid: list[Mass | None] = [None, None]
    sent = Sent(scale, laid)
    wrong: list[Mass] = []
    text = ""
    lines = taken = 0

    def hear(event: Event) -> None:
        nonlocal lines, taken, text
        if isinstance(event, Line):
            lines, text = lines + 1, event.text
        weight = watch.hear(event).mass_to_take(fast_clock())
        if weight is not None:
            taken += 1
            wrong.extend([weight] if weight not in sent.around(text) else [])

    port = ScalePort(PortSettings(scale.device), clock=fast_clock)
    thread = threading.Thread(target=port.run, args=(hear,))
    thread.start()
    for number in range(0, 12_000, 20):
        with scale._turn:
            truth = scene.go_on(number, fast_clock())
            if truth != laid[-1]:
                laid.append(truth)
        time.sleep(1 / FASTER)
    port.close()
    thread.join()
    scale.close()
    assert wrong == []
    assert lines > 6_000
    assert taken > 300


@given(st.lists(st.binary(max_size=40), max_size=12))
def test_any_bytes_on_the_wire_give_no_error_and_no_weight_that_was_not_sent(
    pieces: list[bytes],
) -> None:
    cutter, watch = LineCutter(), ScaleWatch(read_line)
    cutter.begin()
    for at, data in enumerate(pieces):
        for text in cutter.feed(data + b"\r"):
            live = watch.hear(Line(text, at / 10))
            if live.mass_to_take(at / 10) is not None:
                told = read_line(text)
                assert not isinstance(told, Unreadable)
                assert live.mass_to_take(at / 10) == told.mass


def test_the_simulated_scale_is_heard_through_its_port(listen: Listen) -> None:
    scale = SimulatedScale(
        SimulatedPan(step=mass("0.01 g"), maximum=mass("2000 g")), lines_per_s=20
    )
    watch = ScaleWatch(read_line)
    seen: list[Live] = []
    port = ScalePort(PortSettings(scale.device))
    heard = listen(port)
    scale.put(mass("150.85 g"))

    def steady(event: Event) -> bool:
        seen.append(watch.hear(event))
        return seen[-1].state is ScaleState.STEADY

    heard.until(steady)
    assert seen[-1].reading is not None
    assert seen[-1].reading.mass == mass("150.85 g")
    scale.close()
    heard.until(lambda one: isinstance(one, Gone))
    scale.close()


def test_the_simulated_scale_tares_and_goes_below_zero() -> None:
    pan = SimulatedPan(step=mass("0.01 g"), maximum=mass("2000 g"))
    pan.put(mass("50 g"), 0.0)
    pan.tare()
    pan.put(mass("0 g"), 50.0)
    told = read_line(shown_as(pan, "fields with commas", 100.0))
    assert not isinstance(told, Unreadable)
    assert (told.mass, told.is_net) == (mass("-50 g"), True)
