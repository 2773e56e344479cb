"""A hand at the Work screen: it types where the focus is, and counts its keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from screens.holding import texts
from vault.screens.background import Background
from vault.screens.work.screen import WorkScreen

ENTER = Qt.Key.Key_Return
ALT = Qt.KeyboardModifier.AltModifier
CTRL = Qt.KeyboardModifier.ControlModifier


class Writer:
    """Records in the background, as the desk does."""

    def __init__(self, background: Background) -> None:
        self._background = background

    def record(
        self,
        operation: Callable[[object], object],
        then: Callable[[object], None],
        on_failure: Callable[[BaseException], None],
        words: str = "",
    ) -> None:
        self._background.run(
            lambda _done, _stopped: operation("book"), then, words=words, on_failure=on_failure
        )


class Printed:
    def __init__(self) -> None:
        self.tags: list[tuple[str, ...]] = []

    def __call__(self, _book: object, tags: Sequence[str]) -> None:
        self.tags.append(tuple(tags))


class Hand:
    """Types where the focus is and counts the keys."""

    def __init__(self, qtbot: QtBot, screen: WorkScreen, background: Background) -> None:
        self._qtbot = qtbot
        self._screen = screen
        self._background = background
        self.keys = 0

    def press(
        self,
        key: Qt.Key,
        modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        popped_up = QApplication.activePopupWidget()
        self._qtbot.keyClick(self.place(), key, modifier)
        self.keys += 1
        if popped_up is not None and QApplication.activePopupWidget() is None:
            self._settle_focus()

    def type(self, text: str) -> None:
        field = self.place()
        for letter in text:
            self._qtbot.keyClicks(QApplication.activePopupWidget() or field, letter)
        self.keys += len(text)
        if text and QApplication.activePopupWidget() is None:
            self._settle_focus()

    def enter(self, text: str = "") -> None:
        """Type a text and end it with Enter; what follows from it is waited for."""
        self.type(text)
        self.press(ENTER)
        self.wait()

    def wait(self) -> None:
        self._qtbot.waitUntil(lambda: self._background.is_idle and self._screen.help.is_settled)

    def place(self) -> QWidget:
        popup = QApplication.activePopupWidget()
        if popup is None:
            self._be_active()
        focus = popup or QApplication.focusWidget()
        return focus if focus is not None else self._screen.window()

    def _be_active(self) -> None:
        """Without a real screen a list that popped up leaves no window active behind it."""
        window = self._screen.window()
        if not window.isActiveWindow():
            window.activateWindow()
            self._qtbot.waitUntil(window.isActiveWindow)

    def _settle_focus(self) -> None:
        """Stay where the key led: the late end of a list takes the hand back to its field."""
        meant = self._screen.window().focusWidget()
        self._qtbot.wait(20)
        self._be_active()
        if meant is not None:
            meant.setFocus()

    def is_at(self, name: str) -> bool:
        return self.place().accessibleName() == name


def begin(hand: Hand, screen: WorkScreen, process: str = "cupel", *tags: str) -> None:
    screen.begin(process)
    hand.wait()
    for tag in tags:
        hand.enter(tag)


def cupel(hand: Hand, screen: WorkScreen) -> None:
    """Fill the whole form in, in the order of the bench."""
    begin(hand, screen, "cupel", "K-0212")
    hand.enter()
    for weight in ("386.2", "120", "150.85", "602.4"):
        hand.enter(weight)


def expect(held: object) -> None:
    assert held


def told(screen: WorkScreen) -> list[str]:
    return texts(screen.form.verdict)


def why(screen: WorkScreen) -> str:
    return screen.form.verdict.why.text()
