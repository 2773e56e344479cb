"""Who goes first: workers pause while the window's thread is in the middle of an event."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from vault.core.turns import give_way
from vault.screens import courtesy as ways
from vault.screens.background import Background
from vault.screens.courtesy import Courtesy

BUSY_S = 0.2


class Worker:
    """Gives way again and again in a thread of its own, and keeps when it went on."""

    def __init__(self, courtesy: Courtesy) -> None:
        self._courtesy = courtesy
        self._is_to_end = False
        self.went_on_s: list[float] = []
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self) -> None:
        while not self._is_to_end:
            self._courtesy.let_window()
            self.went_on_s.append(time.monotonic())
            time.sleep(0.0005)

    def end(self) -> None:
        self._is_to_end = True
        self._thread.join()

    def turns_in(self, since_s: float, until_s: float) -> int:
        return sum(since_s < one < until_s for one in self.went_on_s)


@pytest.fixture
def courtesy(qtbot: QtBot) -> Courtesy:
    del qtbot  # it has the window's thread ready
    return Courtesy()


@pytest.fixture
def worker(courtesy: Courtesy) -> Iterator[Worker]:
    made = Worker(courtesy)
    yield made
    made.end()


def be_busy(seconds: float) -> tuple[float, float]:
    """Be in the middle of an event; give from when to when."""
    begun_s = time.monotonic()
    while time.monotonic() < begun_s + seconds:
        sum(range(200))
    return begun_s, time.monotonic()


def test_a_worker_pauses_while_the_window_is_busy_and_goes_on_after(
    qtbot: QtBot, worker: Worker
) -> None:
    qtbot.wait(100)
    before = len(worker.went_on_s)
    assert before > 10, "beside an idle window it goes on"
    begun_s, ended_s = be_busy(BUSY_S)
    qtbot.wait(100)
    in_the_middle = worker.turns_in(begun_s + 0.2 * BUSY_S, ended_s)
    assert in_the_middle <= 2
    assert worker.turns_in(ended_s + 0.02, ended_s + 0.1) > 5


def test_nobody_waits_longer_than_a_moment_for_a_window_that_is_never_done(
    worker: Worker, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ways, "_MOST_S", 0.05)
    begun_s, ended_s = be_busy(0.6)
    # Having waited once in vain, it does not wait again at each of its steps.
    assert worker.turns_in(begun_s + 0.2, ended_s) > 20


def test_where_no_thread_can_be_asked_for_its_processor_time_the_loop_tells(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(time, "pthread_getcpuclockid")
    window = Courtesy()._window
    assert not window.was_busy()
    window.awake()
    assert window.was_busy()
    window.about_to_wait()
    assert not window.was_busy()
    qtbot.wait(1)


def test_what_is_reckoned_waits_while_a_question_is_answered(courtesy: Courtesy) -> None:
    went_on: list[str] = []

    def reckon() -> None:
        courtesy.give_way()
        went_on.append("reckoned")

    with courtesy.question():
        reckoner = threading.Thread(target=reckon)
        reckoner.start()
        time.sleep(0.05)
        went_on.append("answered")
    reckoner.join()
    assert went_on == ["answered", "reckoned"]


def test_every_thread_of_the_background_gives_way_in_the_middle_of_its_work(
    qtbot: QtBot, background: Background, monkeypatch: pytest.MonkeyPatch
) -> None:
    ways_given: list[str] = []
    monkeypatch.setattr(
        Courtesy, "let_window", lambda _self: ways_given.append(threading.current_thread().name)
    )
    fresh = Background()
    done: list[object] = []
    fresh.ask(give_way, done.append)
    fresh.run(lambda _progress, _stopped: give_way(), done.append, words="written")
    fresh.run(lambda _progress, _stopped: give_way(), done.append, words="reckoned", beside=True)
    qtbot.waitUntil(lambda: len(done) == 3)
    fresh.close()
    assert {one.split("_")[0] for one in ways_given} == {"reader", "writer", "reckoner"}
    assert background.is_idle
