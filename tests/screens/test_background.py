"""Work off the window's thread."""

from __future__ import annotations

import gc
import sys
import threading
import time
import weakref
from collections.abc import Iterator
from functools import partial

import pytest
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from vault.screens.background import (
    Background,
    Progress,
    Report,
    Stopped,
    _Awaited,
    _Outcome,
)
from vault.screens.garbage import CycleCollector


def test_an_answer_comes_in_the_windows_thread(qtbot: QtBot, background: Background) -> None:
    threads: list[threading.Thread] = []
    answers: list[threading.Thread] = []

    def then(thread: threading.Thread) -> None:
        threads.append(threading.current_thread())
        answers.append(thread)

    background.ask(threading.current_thread, then)
    qtbot.waitUntil(lambda: bool(answers))
    assert threads == [threading.main_thread()]
    assert answers[0] is not threading.main_thread()


def test_between_two_answers_that_are_there_at_a_time_the_window_has_its_turn(
    qtbot: QtBot, background: Background
) -> None:
    turns: list[str] = []

    def then(answer: str) -> None:
        turns.append(answer)
        QTimer.singleShot(0, lambda: turns.append("window"))

    for number, answer in ((-1, "first"), (-2, "second")):
        background._awaited[number] = _Awaited(then, None)
        background._reported.emit(_Outcome(number, answer=answer))
    qtbot.waitUntil(lambda: len(turns) == 4)
    assert turns == ["first", "window", "second", "window"]


def test_what_comes_due_during_an_answer_goes_before_the_next_one(
    qtbot: QtBot, background: Background
) -> None:
    turns: list[str] = []

    def then(answer: str) -> None:
        turns.append(answer)
        held_until_s = time.monotonic() + 0.01
        while time.monotonic() < held_until_s:
            pass

    ticks = QTimer(interval=2)
    ticks.timeout.connect(lambda: turns.append("tick"))
    ticks.start()
    for number, answer in ((-1, "first"), (-2, "second"), (-3, "third")):
        background._awaited[number] = _Awaited(then, None)
        background._reported.emit(_Outcome(number, answer=answer))
    qtbot.waitUntil(lambda: "third" in turns)
    ticks.stop()
    told = turns[turns.index("first") : turns.index("third") + 1]
    assert told == ["first", "tick", "second", "tick", "third"]


def test_a_number_beyond_32_bits_arrives_whole(qtbot: QtBot, background: Background) -> None:
    answers: list[int] = []
    background.ask(lambda: 5_000_000_000, answers.append)
    qtbot.waitUntil(lambda: answers == [5_000_000_000])


def test_only_the_last_question_of_an_asker_is_answered(
    qtbot: QtBot, background: Background
) -> None:
    parent = QObject()
    asker = background.asker(parent)
    gate = threading.Event()
    answers: list[str] = []

    def slow() -> str:
        gate.wait(5)
        return "first"

    asker.ask(slow, answers.append)
    asker.ask(lambda: "second", answers.append)
    gate.set()
    qtbot.waitUntil(lambda: background.is_idle and not asker.is_waiting)
    qtbot.wait(50)
    assert answers == ["second"]


def test_an_asker_that_is_gone_gets_no_answer(
    qtbot: QtBot, qapp: QApplication, background: Background
) -> None:
    parent = QObject()
    gate = threading.Event()
    answers: list[bool] = []
    background.asker(parent).ask(lambda: gate.wait(5), answers.append)
    parent.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gate.set()
    qtbot.wait(60)
    assert answers == []
    assert background.is_idle


def test_a_question_is_told_once_nobody_wants_its_answer(
    qtbot: QtBot, background: Background
) -> None:
    asker = background.asker(QObject(background))
    ended: list[int] = []
    answers: list[int] = []

    def question(number: int, stopped: Stopped) -> int:
        while not stopped():
            time.sleep(0.001)
        ended.append(number)
        return number

    asker.ask_while_wanted(partial(question, 1), answers.append)
    asker.ask_while_wanted(partial(question, 2), answers.append)
    qtbot.waitUntil(lambda: ended == [1])
    assert asker.is_waiting
    asker.forget()
    qtbot.waitUntil(lambda: ended == [1, 2])
    assert answers == []


def test_what_is_reckoned_waits_while_the_window_or_a_question_is_busy(
    qtbot: QtBot, background: Background
) -> None:
    gate = threading.Event()
    looks: list[float] = []

    def reckon(_progress: Progress, stopped: Stopped) -> None:
        while not gate.is_set() and not stopped():
            looks.append(time.monotonic())

    background.run(reckon, lambda _: None, words="Reckoning", beside=True)
    qtbot.waitUntil(lambda: len(looks) > 1_000)
    began = time.monotonic()
    while time.monotonic() < began + 0.15:
        pass  # an event that takes its time
    after = [one for one in looks if began + 0.02 < one < began + 0.14]
    assert after == []
    background.ask(lambda: time.sleep(0.15), print)
    qtbot.wait(30)
    count = len(looks)
    qtbot.wait(60)
    assert len(looks) - count < 10
    gate.set()
    qtbot.waitUntil(lambda: background.is_idle)


def test_what_can_wait_does_so_while_somebody_uses_the_window(
    qtbot: QtBot, background: Background
) -> None:
    done: list[str] = []

    def settle(_progress: Progress, stopped: Stopped) -> str:
        stopped()
        return "settled"

    background.ask(lambda: 1, print)
    background.run(settle, done.append, words="Settling", beside=True, patiently=True)
    qtbot.wait(300)
    assert done == []
    qtbot.waitUntil(lambda: done == ["settled"], timeout=5_000)


def test_a_failed_question_reaches_whoever_asked(qtbot: QtBot, background: Background) -> None:
    errors: list[BaseException] = []
    background.ask(lambda: 1 // 0, print, errors.append)
    qtbot.waitUntil(lambda: bool(errors))
    assert isinstance(errors[0], ZeroDivisionError)


def test_a_failure_that_nobody_takes_is_told(qtbot: QtBot, background: Background) -> None:
    with qtbot.waitSignal(background.failed) as told:
        background.ask(lambda: 1 // 0, print)
    assert isinstance(told.args[0], ZeroDivisionError)


def test_operations_follow_one_another_and_report(qtbot: QtBot, background: Background) -> None:
    order: list[str] = []
    reports: list[Report] = []

    def operation(name: str) -> object:
        def work(progress: Progress, stopped: Stopped) -> str:
            order.append(f"{name} begins")
            progress(1, 4)
            order.append(f"{name} ends")
            return name

        return work

    answers: list[str] = []
    first = background.run(operation("a"), answers.append, words="a")  # type: ignore[arg-type]  # made above
    background.run(operation("b"), answers.append, words="b")  # type: ignore[arg-type]  # made above
    first.progressed.connect(reports.append)
    qtbot.waitUntil(lambda: answers == ["a", "b"])
    assert order == ["a begins", "a ends", "b begins", "b ends"]
    assert reports == [Report(1, 4)]


def test_an_operation_can_be_stopped(qtbot: QtBot, background: Background) -> None:
    begun = threading.Event()

    def work(progress: Progress, stopped: Stopped) -> str:
        begun.set()
        while not stopped():
            pass
        return "stopped"

    answers: list[str] = []
    run = background.run(work, answers.append, words="endless")
    qtbot.waitUntil(begun.is_set)
    with qtbot.waitSignal(run.ended):
        run.stop()
    assert answers == ["stopped"]


def test_closing_stops_what_is_under_way(qapp: QApplication) -> None:
    background = Background()
    begun = threading.Event()

    def work(progress: Progress, stopped: Stopped) -> None:
        begun.set()
        while not stopped():
            pass

    background.run(work, print, words="endless")
    begun.wait(5)
    background.close()
    assert background.is_idle
    assert not [one for one in threading.enumerate() if one.name.startswith(("reader", "writer"))]


@pytest.fixture
def collector(background: Background) -> Iterator[CycleCollector]:
    made = CycleCollector(background)
    yield made
    made.close()
    gc.unfreeze()
    assert gc.isenabled()


class Knot:
    def __init__(self) -> None:
        self.itself = self
        self.freed_in: list[threading.Thread] = []

    def __del__(self) -> None:
        FREED_IN.append(threading.current_thread())


FREED_IN: list[threading.Thread] = []


def test_cycles_are_freed_in_the_windows_thread_only(
    qtbot: QtBot, background: Background, collector: CycleCollector
) -> None:
    FREED_IN.clear()
    assert not gc.isenabled()
    answers: list[int] = []

    def knots() -> int:
        for _ in range(3 * gc.get_threshold()[0]):
            Knot()
        return 1

    background.ask(knots, answers.append)
    qtbot.waitUntil(lambda: bool(answers))
    assert FREED_IN == []
    collector.collect_what_is_due()
    assert FREED_IN
    assert set(FREED_IN) == {threading.main_thread()}


def test_what_long_work_leaves_is_not_searched_and_is_freed_as_it_is_let_go_of(
    qtbot: QtBot, background: Background, collector: CycleCollector
) -> None:
    class Record:
        pass

    kept: list[list[Record]] = []
    searched: list[int] = []

    def then(records: list[Record]) -> None:
        kept.append(records)
        searched.append(len(gc.get_objects()))

    background.run(
        lambda _progress, _stopped: [Record() for _ in range(5_000)], then, words="records"
    )
    qtbot.waitUntil(lambda: bool(kept))
    assert searched[0] < 2_000
    gone = weakref.ref(kept[0][0])
    kept.clear()
    assert gone() is None


def test_while_long_work_goes_on_nothing_is_searched(
    qtbot: QtBot, background: Background, collector: CycleCollector
) -> None:
    gate = threading.Event()
    background.run(lambda _progress, _stopped: gate.wait(5), print, words="long")
    assert background.is_at_work
    for _ in range(3 * gc.get_threshold()[0]):
        Knot()
    FREED_IN.clear()
    collector.collect_what_is_due()
    assert FREED_IN == []
    assert gc.get_count()[0] < gc.get_threshold()[0]
    gate.set()
    qtbot.waitUntil(lambda: background.is_idle)


def test_a_cycle_put_aside_is_found_once_nobody_has_used_the_window_for_a_while(
    qtbot: QtBot, background: Background, collector: CycleCollector
) -> None:
    gone = weakref.ref(Knot())
    done: list[object] = []
    background.run(lambda _progress, _stopped: None, done.append, words="work")
    qtbot.waitUntil(lambda: bool(done))
    gc.collect()
    assert gone() is not None
    collector.collect_what_is_due()
    assert gone() is not None, "somebody has asked something just now"
    background._courtesy._used_s -= 1_000
    collector.collect_what_is_due()
    assert gone() is None
    assert gc.get_freeze_count() > 0


def test_threads_take_turns_so_often_that_the_window_never_waits_long(
    background: Background,
) -> None:
    assert sys.getswitchinterval() < 0.001


def test_what_is_asked_after_the_end_is_neither_asked_nor_answered(qtbot: QtBot) -> None:
    background = Background()
    background.close()
    asked: list[str] = []
    background.ask(lambda: asked.append("asked"), lambda _: asked.append("answered"))
    qtbot.wait(20)
    assert asked == []
    assert background.is_idle
