"""Work off the window's thread: questions to several readers, operations to one writer.

Long reckoning has a thread of its own beside the writer, so that recording never waits for it.

Answers come back in the window's thread through a queued signal, one with each turn of its loop:
several that are there at a time do not hold the window together. Nothing of the window is ever
touched by a worker. What a worker raises goes to the asker's `on_failure`, or to `failed`.
"""

from __future__ import annotations

import itertools
import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from vault.core.turns import give_way_by
from vault.screens.courtesy import Courtesy

T = TypeVar("T")

# How much of an operation is done, and of how much.
Progress = Callable[[int, int], None]
# Whether the reader asked to stop; an operation looks at it between its steps, and pauses there
# while the window is busy: the more often, the less it is felt.
Stopped = Callable[[], bool]

_READERS = 2
_BETWEEN_REPORTS_S = 0.05
# How long a thread waits for Python's lock before the one that has it must hand it over. The
# window's thread gives the lock away at nearly every call of Qt; at Python's own 5 ms, drawing a
# table beside a reckoning took seconds. Two threads that both reckon lose some 10 % by it.
_TURN_S = 0.00005
# How long in all, and in what steps, something waits for whoever uses the window.
_PATIENCE_S, _STEP_S = 30.0, 0.05


@dataclass(frozen=True, slots=True)
class Report:
    """How far an operation is."""

    done: int
    of: int


@dataclass(frozen=True, slots=True)
class _Outcome:
    number: int
    answer: object = None
    error: BaseException | None = None
    report: Report | None = None


@dataclass(slots=True)
class _Awaited:
    """What happens in the window's thread once a worker is through; it stays in that thread."""

    then: Callable[[Any], None]
    on_failure: Callable[[BaseException], None] | None
    future: Future[None] | None = None
    run: Run | None = None
    is_quiet: bool = False


class Run(QObject):
    """An operation under way, in the window's thread.

    Signals:
        progressed: a `Report`.
        ended: it is through, failed or stopped; its answer was handed over before.
    """

    progressed = Signal(object)
    ended = Signal()

    def __init__(
        self, words: str, courtesy: Courtesy, parent: QObject, patience_s: float = 0.0
    ) -> None:
        super().__init__(parent)
        self.words = words
        self._courtesy = courtesy
        self._patience_s = patience_s
        self._stop = threading.Event()

    def stopped(self) -> bool:
        """Tell the operation, between its steps, whether to stop; it gives way to the window."""
        if not self._stop.is_set():
            self._courtesy.give_way()
        # What can wait lets somebody type to the end, within reason.
        while self._patience_s > 0.0 and self._courtesy.is_in_use and not self._stop.is_set():
            self._stop.wait(_STEP_S)
            self._patience_s -= _STEP_S
        return self._stop.is_set()

    def stop(self) -> None:
        """Ask the operation to stop at its next step."""
        self._stop.set()


class Background(QObject):
    """One writer thread, one reckoner beside it, and a few readers.

    Signals:
        started: a `Run` began; a quiet one that begins to tell how far it is.
        work_done: an operation is through; its answer is handed over next.
        failed: an error that nobody else took.
    """

    started = Signal(object)
    work_done = Signal()
    failed = Signal(object)
    _reported = Signal(object)

    def __init__(self, readers: int = _READERS) -> None:
        super().__init__()
        self._courtesy = courtesy = Courtesy(self)
        self._readers = _threads("reader", readers, courtesy.let_window)
        self._writer = _threads("writer", 1, courtesy.let_window)
        self._reckoner = _threads("reckoner", 1, courtesy.give_way)
        self._awaited: dict[int, _Awaited] = {}
        self._numbers = itertools.count(1)
        self._is_closed = False
        self._outcomes: deque[_Outcome] = deque()
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._on_turn)
        sys.setswitchinterval(_TURN_S)
        self._reported.connect(self._on_reported, Qt.ConnectionType.QueuedConnection)

    @property
    def is_idle(self) -> bool:
        """Whether nothing is awaited."""
        return not self._awaited

    @property
    def unused_s(self) -> float:
        """How long nobody has asked or recorded anything."""
        return self._courtesy.unused_s

    @property
    def is_at_work(self) -> bool:
        """Whether an operation is under way or waits for its turn."""
        return any(awaited.run is not None for awaited in self._awaited.values())

    def ask(
        self,
        question: Callable[[], T],
        then: Callable[[T], None],
        on_failure: Callable[[BaseException], None] | None = None,
    ) -> int:
        """Ask a reader; `then` gets the answer in the window's thread. Gives a number to forget."""
        self._courtesy.note_use()
        number = next(self._numbers)
        if self._is_closed:
            # A window on its way out may still ask; nobody is left to be answered.
            return number
        self._awaited[number] = _Awaited(then, on_failure)
        self._awaited[number].future = self._readers.submit(self._ask, number, question)
        return number

    def run(
        self,
        operation: Callable[[Progress, Stopped], T],
        then: Callable[[T], None],
        *,
        words: str,
        on_failure: Callable[[BaseException], None] | None = None,
        quietly: bool = False,
        beside: bool = False,
        patiently: bool = False,
    ) -> Run:
        """Have the writer do an operation, one after the other.

        Args:
            operation: what is done.
            then: gets its answer in the window's thread.
            words: what is being done.
            on_failure: gets what it raised, in the window's thread.
            quietly: nobody is shown that it began, until it tells how far it is.
            beside: the reckoner does it, and the writer stays free.
            patiently: between its steps it waits while somebody uses the window.
        """
        number = next(self._numbers)
        if not beside:
            self._courtesy.note_use()
        run = Run(words, self._courtesy, self, _PATIENCE_S if patiently else 0.0)
        self._awaited[number] = _Awaited(then, on_failure, run=run, is_quiet=quietly)
        job = _Job(operation, run.stopped, _Throttled(self._reported.emit, number))
        thread = self._reckoner if beside else self._writer
        self._awaited[number].future = thread.submit(self._answer, number, job)
        if not quietly:
            self.started.emit(run)
        return run

    def expect(self) -> int:
        """Count as busy with something in the window's thread; gives a number to forget."""
        number = next(self._numbers)
        if not self._is_closed:
            self._awaited[number] = _Awaited(lambda _answer: None, None)
        return number

    def forget(self, number: int) -> None:
        """Drop what was asked: not begun if it has not, its answer thrown away if it has."""
        awaited = self._awaited.pop(number, None)
        if awaited is not None and awaited.future is not None:
            awaited.future.cancel()

    def asker(self, parent: QObject) -> Asker:
        """Give a screen its own voice; it goes with its parent."""
        return Asker(self, parent)

    def close(self) -> None:
        """Stop what can be stopped and wait for the threads; no answer comes after this."""
        self._is_closed = True
        for awaited in self._awaited.values():
            if awaited.run is not None:
                awaited.run.stop()
        self._awaited.clear()
        self._turn.stop()
        self._outcomes.clear()
        self._readers.shutdown(wait=True, cancel_futures=True)
        self._writer.shutdown(wait=True, cancel_futures=True)
        self._reckoner.shutdown(wait=True, cancel_futures=True)

    def _ask(self, number: int, question: Callable[[], object]) -> None:
        with self._courtesy.question():
            self._answer(number, question)

    def _answer(self, number: int, question: Callable[[], object]) -> None:
        """Run in a worker: hand over whatever comes of it, bugs too, so that none is lost."""
        try:
            outcome = _Outcome(number, answer=question())
        except Exception as error:  # noqa: BLE001  a worker's bug must reach the window
            outcome = _Outcome(number, error=error)
        self._reported.emit(outcome)

    def _on_reported(self, outcome: _Outcome) -> None:
        if not self._is_closed:
            self._outcomes.append(outcome)
            if not self._turn.isActive():
                self._turn.start()

    def _on_turn(self) -> None:
        outcome = self._outcomes.popleft()
        self._go_on()  # also within a dialog that this one opens
        try:
            self._take(outcome)
        finally:
            # Due only now: what waits since before would have to wait for the next one too.
            self._go_on()

    def _go_on(self) -> None:
        if self._outcomes:
            self._turn.start()

    def _take(self, outcome: _Outcome) -> None:
        if outcome.report is not None:
            awaited = self._awaited.get(outcome.number)
            if awaited is not None and awaited.run is not None:
                if awaited.is_quiet:
                    awaited.is_quiet = False
                    self.started.emit(awaited.run)
                awaited.run.progressed.emit(outcome.report)
            return
        awaited = self._awaited.pop(outcome.number, None)
        if awaited is None:
            return
        if awaited.run is not None:
            self.work_done.emit()
        try:
            self._hand_over(awaited, outcome)
        finally:
            if awaited.run is not None:
                awaited.run.ended.emit()
                awaited.run.deleteLater()

    def _hand_over(self, awaited: _Awaited, outcome: _Outcome) -> None:
        if outcome.error is None:
            awaited.then(outcome.answer)
        elif awaited.on_failure is not None:
            awaited.on_failure(outcome.error)
        else:
            self.failed.emit(outcome.error)


def _threads(name: str, how_many: int, way: Callable[[], None]) -> ThreadPoolExecutor:
    """Make threads that give way in the middle of what they do."""
    return ThreadPoolExecutor(
        how_many, thread_name_prefix=name, initializer=give_way_by, initargs=(way,)
    )


class Asker(QObject):
    """One voice of a screen: of what it asks only the last question is answered."""

    def __init__(self, background: Background, parent: QObject) -> None:
        super().__init__(parent)
        self._background = background
        self._number: int | None = None
        self._unwanted = threading.Event()
        self.destroyed.connect(_Forgetting(self._forget_number))

    @property
    def is_waiting(self) -> bool:
        """Whether an answer is still to come."""
        return self._number is not None

    def ask(
        self,
        question: Callable[[], T],
        then: Callable[[T], None],
        on_failure: Callable[[BaseException], None] | None = None,
    ) -> None:
        """Ask; an earlier question that is still open is dropped."""
        self.forget()

        def answered(answer: T) -> None:
            self._number = None
            then(answer)

        def failed(error: BaseException) -> None:
            self._number = None
            if on_failure is not None:
                on_failure(error)
            else:
                self._background.failed.emit(error)

        self._number = self._background.ask(question, answered, failed)

    def ask_while_wanted(
        self,
        question: Callable[[Stopped], T],
        then: Callable[[T], None],
        on_failure: Callable[[BaseException], None] | None = None,
    ) -> None:
        """Ask what may take long; it is told to stop once nobody wants its answer any more."""
        unwanted = threading.Event()
        self.ask(partial(question, unwanted.is_set), then, on_failure)
        self._unwanted = unwanted

    def expect(self) -> None:
        """Count as waiting until something is asked, or all is forgotten."""
        self.forget()
        self._number = self._background.expect()

    def forget(self) -> None:
        """Want no answer any more."""
        self._forget_number()

    def _forget_number(self) -> None:
        self._unwanted.set()
        if self._number is not None:
            self._background.forget(self._number)
            self._number = None


class _Forgetting:
    """Calls back once; a plain bound method of the dying object would not be called any more."""

    def __init__(self, forget: Callable[[], None]) -> None:
        self._forget = forget

    def __call__(self, _gone: object = None) -> None:
        self._forget()


class _Job:
    """An operation with its ears and mouth, for the worker."""

    def __init__(
        self, operation: Callable[[Progress, Stopped], object], stopped: Stopped, report: _Throttled
    ) -> None:
        self._operation = operation
        self._stopped = stopped
        self._report = report

    def __call__(self) -> object:
        return self._operation(self._report, self._stopped)


class _Throttled:
    """Reports at most some twenty times a second, so that the window is not flooded."""

    def __init__(self, emit: Callable[[object], None], number: int) -> None:
        self._emit = emit
        self._number = number
        self._last_s = 0.0

    def __call__(self, done: int, of: int) -> None:
        now_s = time.monotonic()
        if now_s - self._last_s >= _BETWEEN_REPORTS_S:
            self._last_s = now_s
            self._emit(_Outcome(self._number, report=Report(done, of)))
