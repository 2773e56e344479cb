"""Recording through the desk: told at once, figures afterwards, refusals with all their faults."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from builders import thing
from screens.invented import InventedShop
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.acts import receive_lot
from vault.application.operations.recording import ActionStopped
from vault.core.daybook import Terms
from vault.core.errors import RuleBroken, VaultError
from vault.screens.announcer import Announcer
from vault.screens.background import Background, Progress, Run, Stopped
from vault.screens.desk import Desk
from vault.screens.recorder import Recorder


class Told:
    """Keeps what came of recording."""

    def __init__(self) -> None:
        self.done: list[object] = []
        self.failed: list[BaseException] = []


class Bench:
    """A desk over doors that note what is done, and can be held."""

    def __init__(self, background: Background) -> None:
        self.story: list[str] = []
        self.gate = threading.Event()
        self.gate.set()
        self.announcer = Announcer()
        self.announcer.changed.connect(lambda changes: self.story.append(f"told {changes}"))
        self.shop = InventedShop()
        doors = replace(
            self.shop.doors(),
            open_book=self.open_book,
            work_out=self.whole,
            take_in=self.taken_in,
            settle=self.settle,
            look_back=self.look_back,
        )
        self.desk = Desk(doors, background, self.announcer)
        self.months = 0

    def open_book(self, path: Path) -> object:
        return str(path)

    def whole(self, book: object, progress: Progress, stopped: Stopped) -> object:
        self.gate.wait(10)
        self.story.append("worked out")
        return "figures"

    def taken_in(self, book: object, progress: Progress, stopped: Stopped) -> object:
        self.gate.wait(10)
        self.story.append("taken in")
        return "figures"

    def settle(self, book: object, stopped: Stopped) -> object:
        self.story.append("settled")
        return "sums"

    def look_back(self, book: object, progress: Progress, stopped: Stopped) -> None:
        self.months += 1


@pytest.fixture
def bench(qtbot: QtBot, background: Background) -> Iterator[Bench]:
    made = Bench(background)
    made.desk.open(Path("our.shop"))
    qtbot.waitUntil(lambda: made.desk.book == "our.shop")
    qtbot.waitUntil(lambda: background.is_idle)
    made.story.clear()
    yield made
    made.gate.set()
    made.desk.clear()


def record(desk: Recorder, name: str, told: Told) -> None:
    desk.record(lambda book: f"{name} in {book}", told.done.append, told.failed.append, "Recording")


def test_what_is_recorded_is_told_at_once_and_its_figures_are_taken_in_after(
    qtbot: QtBot, bench: Bench
) -> None:
    told = Told()
    bench.gate.clear()
    record(bench.desk, "one", told)
    qtbot.waitUntil(lambda: told.done == ["one in our.shop"])
    assert bench.story == ["told one in our.shop"]
    assert bench.shop.signed == ["our.shop"]
    bench.gate.set()
    qtbot.waitUntil(lambda: not bench.desk.is_working_out)
    assert bench.story == ["told one in our.shop", "taken in", "told figures"]
    assert told.failed == []


def test_of_several_entries_in_quick_succession_the_figures_are_taken_in_once(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    told = Told()
    for number in range(20):
        record(bench.desk, str(number), told)
    qtbot.waitUntil(lambda: len(told.done) == 20 and background.is_idle)
    assert told.done == [f"{number} in our.shop" for number in range(20)]
    assert bench.story.count("taken in") == 1


def test_entries_that_come_while_figures_are_taken_in_are_taken_in_after(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    told = Told()
    bench.gate.clear()
    record(bench.desk, "one", told)
    qtbot.waitUntil(lambda: bench.desk.is_working_out)
    for name in ("two", "three"):
        record(bench.desk, name, told)
    qtbot.waitUntil(lambda: len(told.done) == 3)
    bench.gate.set()
    qtbot.waitUntil(lambda: background.is_idle)
    assert bench.story.count("taken in") == 2
    assert bench.story.index("told three in our.shop") < bench.story.index("taken in")


def test_recording_does_not_wait_for_a_long_working_out(qtbot: QtBot, bench: Bench) -> None:
    told = Told()
    bench.gate.clear()
    bench.desk.work_out()
    record(bench.desk, "one", told)
    qtbot.waitUntil(lambda: bool(told.done))
    assert bench.desk.is_working_out
    bench.gate.set()
    qtbot.waitUntil(lambda: bench.story.count("told figures") == 2)
    done = [one for one in bench.story if not one.startswith("told")]
    assert done[:2] == ["worked out", "taken in"]


def test_a_refused_entry_comes_back_with_all_its_faults_and_nobody_is_told(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    told = Told()

    def refuse(_book: object) -> Changes:
        raise RuleBroken([], place=1)

    with qtbot.assertNotEmitted(background.failed):
        bench.desk.record(refuse, told.done.append, told.failed.append)
        qtbot.waitUntil(lambda: bool(told.failed))
        qtbot.waitUntil(lambda: background.is_idle)
    assert isinstance(told.failed[0], RuleBroken)
    assert told.failed[0].place == 1
    assert told.done == []
    assert bench.story == []


def test_nothing_is_shown_to_begin_for_an_entry(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    told = Told()
    with qtbot.assertNotEmitted(background.started):
        record(bench.desk, "one", told)
        qtbot.waitUntil(lambda: bool(told.done) and background.is_idle)


def test_a_quiet_run_is_shown_once_it_tells_how_far_it_is(
    qtbot: QtBot, background: Background
) -> None:
    runs: list[Run] = []
    background.started.connect(runs.append)
    gate = threading.Event()

    def slow(progress: Progress, _stopped: Stopped) -> None:
        gate.wait(5)
        progress(1, 2)

    run = background.run(slow, lambda _: None, words="slowly", quietly=True)
    assert runs == []
    gate.set()
    with qtbot.waitSignal(run.progressed):
        pass
    assert runs == [run]
    qtbot.waitUntil(lambda: background.is_idle)


def test_without_a_book_nothing_is_recorded_and_that_is_said(background: Background) -> None:
    told = Told()
    record(Bench(background).desk, "one", told)
    assert [str(one) for one in told.failed] == [
        "No book is open; open one, then record this again."
    ]


def test_looking_back_gives_way_to_an_entry_and_goes_on_after_it(
    qtbot: QtBot, background: Background
) -> None:
    told = Told()

    class Slow(Bench):
        def look_back(self, book: object, progress: Progress, stopped: Stopped) -> None:
            super().look_back(book, progress, stopped)
            if self.months == 1:
                while not stopped():
                    pass
                raise ActionStopped("Stopped; the months told so far are kept.")

    bench = Slow(background)
    bench.desk.open(Path("our.shop"))
    qtbot.waitUntil(lambda: bench.desk.book is not None)
    with qtbot.assertNotEmitted(background.failed):
        bench.desk.work_out()
        qtbot.waitUntil(lambda: bench.months == 1)
        record(bench.desk, "one", told)
        qtbot.waitUntil(lambda: bench.months == 2)
        qtbot.waitUntil(lambda: background.is_idle)
    assert "taken in" in bench.story
    bench.desk.clear()


def test_sums_over_all_items_follow_once_nobody_records_any_more(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    told = Told()
    with qtbot.assertNotEmitted(background.started):
        for name in ("one", "two"):
            record(bench.desk, name, told)
            qtbot.waitUntil(lambda: bench.story.count("told figures") == len(told.done))
        assert "settled" not in bench.story
        qtbot.waitUntil(lambda: "told sums" in bench.story)
    assert bench.story.count("settled") == 1
    assert bench.story[-2:] == ["settled", "told sums"]


def test_sums_give_way_to_an_entry_and_nobody_is_told_that_they_were_stopped(
    qtbot: QtBot, background: Background
) -> None:
    told = Told()

    class Slow(Bench):
        def settle(self, book: object, stopped: Stopped) -> object:
            super().settle(book, stopped)
            while self.story.count("settled") == 1 and not stopped():
                pass
            if stopped():
                raise ActionStopped("Stopped; the figures stay as they were.")
            return "sums"

    bench = Slow(background)
    bench.desk.open(Path("our.shop"))
    qtbot.waitUntil(lambda: bench.desk.book is not None)
    with qtbot.assertNotEmitted(background.failed):
        record(bench.desk, "one", told)
        qtbot.waitUntil(lambda: "settled" in bench.story)
        record(bench.desk, "two", told)
        qtbot.waitUntil(lambda: "told sums" in bench.story)
    assert bench.story.count("settled") == 2
    assert bench.story.count("taken in") == 2
    bench.desk.clear()


def test_figures_stopped_for_another_book_are_told_to_nobody(
    qtbot: QtBot, bench: Bench, background: Background
) -> None:
    def stop(book: object, progress: Progress, stopped: Stopped) -> object:
        while not stopped():
            pass
        raise ActionStopped("Stopped; the figures stay as they were.")

    bench.desk._doors = replace(bench.desk._doors, work_out=stop)
    with qtbot.assertNotEmitted(background.failed):
        bench.desk.work_out()
        bench.desk.open(Path("other.shop"))
        qtbot.waitUntil(lambda: bench.desk.book == "other.shop")
        qtbot.waitUntil(lambda: background.is_idle)
    assert bench.shop.closed == ["our.shop"]


# With a real book ----------------------------------------------------------------------------


def receive(book: object) -> Changes:
    assert isinstance(book, Book)
    items = [thing("R-1", "filings", "100", "Ag 600 ± 60", place="bench")]
    return receive_lot(book, items, lot="L-1", party="Pennant", terms=Terms.TOLL, key="k")


@pytest.fixture
def real(qtbot: QtBot, background: Background, tmp_path: Path) -> Iterator[Bench]:
    path = tmp_path / "our.shop"
    Book.create(path, zone="Europe/Oslo").close()
    made = Bench(background)
    yield made
    made.desk.clear()


def open_real(bench: Bench, book: Book, qtbot: QtBot) -> None:
    bench.desk._doors = replace(bench.desk._doors, open_book=lambda _path: book)
    bench.desk.open(book.path)
    qtbot.waitUntil(lambda: bench.desk.book is book)


def test_an_entry_lands_in_the_book(qtbot: QtBot, real: Bench, tmp_path: Path) -> None:
    told = Told()
    with Book.open(tmp_path / "our.shop", operator="Imke") as book:
        open_real(real, book, qtbot)
        real.desk.record(receive, told.done.append, told.failed.append)
        qtbot.waitUntil(lambda: bool(told.done))
        assert told.done == [
            Changes((1,), frozenset({"R-1"}), frozenset({"L-1"}), frozenset({"bench"}))
        ]
        qtbot.waitUntil(lambda: not real.desk.is_working_out)


def test_a_book_open_for_reading_only_refuses_with_its_sentence(
    qtbot: QtBot, real: Bench, tmp_path: Path
) -> None:
    told = Told()
    with Book.open(tmp_path / "our.shop", writing=False, operator="Imke") as book:
        open_real(real, book, qtbot)
        real.desk.record(receive, told.done.append, told.failed.append)
        qtbot.waitUntil(lambda: bool(told.failed))
        assert isinstance(told.failed[0], VaultError)
        assert str(told.failed[0]) == "our.shop is open for reading only."
        qtbot.waitUntil(lambda: not real.desk.is_working_out)
