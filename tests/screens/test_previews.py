"""Previews of a form: of what was typed meanwhile only the last is shown, and nothing is missed."""

from __future__ import annotations

import threading
from functools import partial

from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from vault.screens.background import Background
from vault.screens.forms.previews import Previews


def test_what_was_typed_while_a_preview_was_on_its_way_is_previewed_once_more(
    qtbot: QtBot, background: Background
) -> None:
    may_answer = threading.Event()
    typed = ["1"]
    asked: list[str] = []
    shown: list[str] = []

    def answer(text: str) -> str:
        may_answer.wait(5.0)
        return f"preview of {text}"

    def question() -> partial[str]:
        asked.append("".join(typed))
        return partial(answer, asked[-1])

    parent = QObject()
    previews = Previews(background, question, shown.append, lambda _error: None, parent)
    assert previews.last is None
    previews.look_again()
    for key in "23":
        typed.append(key)
        previews.look_again()
    may_answer.set()
    qtbot.waitUntil(lambda: bool(shown))
    assert asked == ["1", "123"]
    assert shown == ["preview of 123"]
    assert previews.last == "preview of 123"


def test_a_preview_that_failed_is_told_unless_something_was_typed_meanwhile(
    qtbot: QtBot, background: Background
) -> None:
    told: list[BaseException] = []
    shown: list[tuple[int, int]] = []
    wanted = [0]
    parent = QObject()
    previews = Previews(
        background, lambda: partial(divmod, 1, wanted[0]), shown.append, told.append, parent
    )
    previews.look_again()
    qtbot.waitUntil(lambda: bool(told))
    assert isinstance(told[0], ZeroDivisionError)
    assert shown == []
    previews.look_again()
    wanted[0] = 1
    previews.look_again()
    qtbot.waitUntil(lambda: bool(shown))
    assert shown == [(1, 0)]
    assert len(told) == 1
