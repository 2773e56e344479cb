"""What is slow to load: in which thread, in what order, and that the window is not held by it."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, QTimer
from pytestqt.qtbot import QtBot

from vault.screens.background import Background
from vault.screens.loading import Loading, classes_of, modules

TELLING = "import threading\nLOADED_IN = threading.current_thread().name\n"


@pytest.fixture
def telling(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, str]]:
    """Two modules that tell by which thread they were loaded."""
    names = ("told_plainly", "told_of_a_window")
    for name in names:
        (tmp_path / f"{name}.py").write_text(TELLING)
    monkeypatch.syspath_prepend(tmp_path)
    yield names
    for name in names:
        sys.modules.pop(name, None)


def noting(begun: list[int]) -> Iterator[None]:
    """Load nothing, in one part, and note that it began."""
    begun.append(1)
    yield


def test_what_uses_qt_is_loaded_in_the_windows_thread_after_what_does_not(
    qtbot: QtBot, background: Background, telling: tuple[str, str]
) -> None:
    plain, of_qt = telling
    parent = QObject()
    loading = Loading(lambda: modules(of_qt), background, parent, plain=[plain])
    done: list[str] = []
    loading.then(lambda: done.append("first"))
    loading.then(lambda: done.append("second"))
    assert done == []
    assert not background.is_idle
    qtbot.waitUntil(lambda: done == ["first", "second"])
    assert background.is_idle
    assert sys.modules[plain].LOADED_IN.startswith("reader")
    here = threading.main_thread().name
    assert vars(sys.modules[of_qt])["LOADED_IN"] == here
    loading.then(lambda: done.append("at once"))
    assert done[-1] == "at once"


def test_between_two_parts_the_window_has_its_turn(qtbot: QtBot, background: Background) -> None:
    parent = QObject()
    turns: list[str] = []

    def parts() -> Iterator[None]:
        for part in ("first", "second"):
            turns.append(part)
            QTimer.singleShot(0, parent, lambda: turns.append("window"))
            yield

    loading = Loading(parts, background, parent)
    loading.then(lambda: turns.append("done"))
    qtbot.waitUntil(lambda: "done" in turns)
    assert turns == ["first", "window", "second", "window", "done"]


def test_what_nobody_wants_yet_waits_while_the_window_is_used(
    qtbot: QtBot, background: Background, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("vault.screens.loading._IN_A_WHILE_MS", 1)
    monkeypatch.setattr("vault.screens.loading._STEP_MS", 5)
    parent = QObject()
    begun: list[int] = []
    loading = Loading(partial(noting, begun), background, parent)
    background.ask(lambda: None, lambda _nothing: None)
    loading.in_a_while(lambda: True)
    qtbot.wait(80)
    assert begun == []
    loading.then(lambda: begun.append(2))
    qtbot.waitUntil(lambda: begun == [1, 2])


def test_it_is_loaded_in_a_while_though_nobody_wants_it_once_it_is_a_help(
    qtbot: QtBot, background: Background, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("vault.screens.loading._IN_A_WHILE_MS", 1)
    monkeypatch.setattr("vault.screens.loading._QUIET_S", 0.0)
    parent = QObject()
    monkeypatch.setattr("vault.screens.loading._STEP_MS", 5)
    begun: list[int] = []
    allowed: list[bool] = []
    loading = Loading(partial(noting, begun), background, parent)
    loading.in_a_while(lambda: bool(allowed))
    qtbot.wait(60)
    assert begun == []
    allowed.append(True)
    qtbot.waitUntil(lambda: begun == [1])


def test_all_classes_of_a_module_are_made_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("vault.screens.loading._A_PART_S", -1.0)
    parts = sum(1 for _part in classes_of("PySide6.QtSvg"))
    assert parts == len(dir(sys.modules["PySide6.QtSvg"]))


def test_what_is_gone_before_it_is_loaded_keeps_nobody_waiting(
    qtbot: QtBot, background: Background
) -> None:
    parent = QObject()
    done: list[int] = []
    Loading(lambda: iter([None] * 3), background, parent).then(lambda: done.append(1))
    assert not background.is_idle
    parent.deleteLater()
    qtbot.waitUntil(lambda: background.is_idle)
    qtbot.wait(20)
    assert done == []
