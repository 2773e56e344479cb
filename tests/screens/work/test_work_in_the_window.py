"""Works recorded in the whole window over a real book, by keys and scanner alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from builders import mass, received, said, thing
from screens.holding import texts
from screens.work.at_the_bench import ALT, CTRL, ENTER, Hand, why
from vault import start
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.core.daybook import Act, Entry, Process, Role
from vault.screens.main_window import MainWindow
from vault.screens.work.screen import WorkScreen
from vault.store.entries import load_entries

SHIFT_CTRL = CTRL | Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A button of known silver, and a bag of sweeps, received long ago."""
    path = tmp_path / "bench.shop"
    with Book.create(path, zone="UTC", shop_name="Tidewater", operator="Imke") as book:
        import_entries(
            book,
            [
                received(
                    1,
                    thing("K-0212", "button", "236.40", "Ag 640 ± 12", place="tray"),
                    thing("R-0101", "sweeps", "412.30", "Ag 200 ± 40", place="bench"),
                    on="2024-03-01",
                )
            ],
        )
    return path


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, path: Path) -> Iterator[MainWindow]:
    parts = start.make_parts()
    made = start.make_window(parts)
    made.resize(1440, 900)
    made.show()
    made.desk.open(path)
    qtbot.waitUntil(lambda: made.shown == "safe" and parts.background.is_idle, timeout=20_000)
    yield made
    made.close()
    made.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def work(qtbot: QtBot, window: MainWindow) -> WorkScreen:
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_W, SHIFT_CTRL)
    qtbot.waitUntil(lambda: window.shown == "work")
    screen = window.screen_named("work")
    assert isinstance(screen, WorkScreen)
    return screen


@pytest.fixture
def hand(qtbot: QtBot, window: MainWindow, work: WorkScreen) -> Hand:
    made = Hand(qtbot, work, window._parts.background)
    made.wait()
    return made


def entries(window: MainWindow) -> list[Entry]:
    book = window.desk.book
    assert isinstance(book, Book)
    with book.file.reading() as connection:
        return [one.entry for one in load_entries(connection)]


def record(qtbot: QtBot, hand: Hand, work: WorkScreen) -> None:
    hand.press(ENTER, CTRL)
    qtbot.waitUntil(lambda: not work.is_filling_in, timeout=20_000)
    hand.wait()


def test_a_cupelling_is_recorded_by_keys_alone(
    qtbot: QtBot, window: MainWindow, work: WorkScreen, hand: Hand
) -> None:
    assert work.is_filling_in
    assert not window.top_bar.isVisible()
    hand.press(Qt.Key.Key_C, ALT)
    window.scans.take("K-0212")
    qtbot.waitUntil(lambda: work.form.tags_in == ("K-0212",))
    hand.wait()
    hand.enter()
    for weight in ("386.2", "120", "150.85", "602.4"):
        hand.enter(weight)
    told = texts(work.form.verdict)
    assert "went in" in told
    assert "All of the weight" in told
    assert work.form.verdict.record_button.isEnabled()
    hand.press(ENTER)
    qtbot.waitUntil(lambda: len(entries(window)) == 2, timeout=20_000)
    entry = entries(window)[1]
    assert (entry.act, entry.process) == (Act.WORK, Process.CUPEL)
    assert [(line.role, line.tag, line.form) for line in entry.lines] == [
        (Role.USED, "K-0212", ""),
        (Role.ADDED, "", "new cupel, magnesia"),
        (Role.ADDED, "", "lead"),
        (Role.MADE, "K-0213", "bead"),
        (Role.MADE, "C-0001", "spent cupel"),
    ]
    assert [line.gross for line in entry.lines[1:]] == [
        mass("386.2"),
        mass("120"),
        mass("150.85"),
        mass("602.4"),
    ]
    qtbot.waitUntil(work.page.recorded.isVisible)
    assert work.page.recorded.words.text() == (
        "Recorded: cupel of K-0212 gave bead K-0213 and spent cupel C-0001."
    )
    # Four weighings: well under twelve keys for each, the process and the record with them.
    assert hand.keys / 4 < 12
    qtbot.waitUntil(lambda: window._parts.background.is_idle, timeout=20_000)
    qtbot.waitUntil(lambda: work.page.model.rowCount() == 1)


def test_of_a_part_the_divide_is_recorded_first(
    qtbot: QtBot, window: MainWindow, work: WorkScreen, hand: Hand
) -> None:
    hand.press(Qt.Key.Key_M, ALT)
    hand.enter("R-0101")
    qtbot.waitUntil(lambda: work.form.tags_in == ("R-0101",))
    hand.wait()
    work.form.went_in.used.rows[0].unfold(on=True)
    hand.enter("100")
    hand.enter("312.3")
    hand.enter()
    work.form.came_out.go_in()
    hand.enter("60")
    hand.enter("45")
    record(qtbot, hand, work)
    divide, smelt = entries(window)[1:]
    assert (divide.process, smelt.process) == (Process.DIVIDE, Process.SMELT)
    part, rest = divide.lines[1].tag, divide.lines[2].tag
    assert [line.gross for line in divide.lines[1:]] == [mass("100"), mass("312.3")]
    assert divide.lines[2].place == "bench"
    assert smelt.lines[0].tag == part
    assert len({part, rest, *(line.tag for line in smelt.lines[1:])}) == 4
    qtbot.waitUntil(lambda: window._parts.background.is_idle, timeout=20_000)


def test_the_impossible_is_refused_in_words_before_it_is_recorded(
    qtbot: QtBot, window: MainWindow, work: WorkScreen, hand: Hand
) -> None:
    hand.press(Qt.Key.Key_P, ALT)
    hand.enter("K-0212")
    qtbot.waitUntil(lambda: work.form.tags_in == ("K-0212",))
    hand.wait()
    work.form.came_out.go_in()
    hand.enter("5 kg")
    assert not work.form.verdict.record_button.isEnabled()
    assert "more" in why(work)
    hand.press(ENTER, CTRL)
    hand.wait()
    assert len(entries(window)) == 1


def test_what_is_declared_of_an_added_thing_goes_into_the_book(
    qtbot: QtBot, window: MainWindow, work: WorkScreen, hand: Hand
) -> None:
    hand.press(Qt.Key.Key_R, ALT)
    hand.enter("K-0212")
    qtbot.waitUntil(lambda: work.form.tags_in == ("K-0212",))
    hand.wait()
    row = work.form.went_in.add_thing(work.form.went_in.thing_named("silver grain"))
    row.unfold(on=True)
    row.contents.setFocus()
    hand.enter("999 ± 0.5")
    hand.enter("20")
    work.form.came_out.go_in()
    hand.enter("250")
    record(qtbot, hand, work)
    added = next(line for line in entries(window)[1].lines if line.role is Role.ADDED)
    assert (added.contents, added.how) == (said("Ag 999 ± 0.5"), "declared")
    qtbot.waitUntil(lambda: window._parts.background.is_idle, timeout=20_000)


def test_a_work_that_was_begun_comes_back_in_the_next_window(
    qtbot: QtBot, window: MainWindow, work: WorkScreen, hand: Hand, path: Path
) -> None:
    hand.press(Qt.Key.Key_C, ALT)
    hand.enter("K-0212")
    qtbot.waitUntil(lambda: work.form.tags_in == ("K-0212",))
    hand.wait()
    window.close()
    parts = start.make_parts()
    second = start.make_window(parts)
    second.show()
    second.desk.open(path)
    qtbot.waitUntil(lambda: second.shown == "safe" and parts.background.is_idle, timeout=20_000)
    second.go_to("work")
    screen = second.screen_named("work")
    assert isinstance(screen, WorkScreen)
    qtbot.waitUntil(screen.page.begun_card.isVisible, timeout=10_000)
    assert "cupel of K-0212" in screen.page.begun_card.words.text()
    qtbot.waitUntil(lambda: parts.background.is_idle, timeout=20_000)
    second.close()
    second.deleteLater()
