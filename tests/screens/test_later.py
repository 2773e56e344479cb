"""What is loaded when it is first wanted, and by whom."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from vault.screens.background import Background
from vault.screens.later import later, with_module

TELLING = (
    "import threading\nLOADED_IN = threading.current_thread().name\ndef of(one): return 2 * one\n"
)


@pytest.fixture
def telling(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A module that tells by which thread it was loaded."""
    (tmp_path / "told_by_itself.py").write_text(TELLING)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "told_by_itself", raising=False)
    return "told_by_itself"


def test_a_module_is_loaded_when_its_function_is_first_called(telling: str) -> None:
    doubled = later(telling, "of")
    assert telling not in sys.modules
    assert doubled(4) == 8
    assert telling in sys.modules


def test_what_shows_an_answer_is_loaded_by_the_reader_that_answers(
    qtbot: QtBot, background: Background, telling: str
) -> None:
    answers: list[int] = []
    background.ask(with_module(telling, lambda: 5), answers.append)
    qtbot.waitUntil(lambda: answers == [5])
    assert sys.modules[telling].LOADED_IN.startswith("reader")
