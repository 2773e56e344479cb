"""The guide through the demonstration, gone through with clicks and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.holding import press
from screens.invented import InventedShop
from vault.screens.guide.bubble import Bubble, Ring, place_beside
from vault.screens.main_window import MainWindow
from vault.screens.safe.card_row import CardRow
from vault.screens.safe.screen import SafeScreen

SEEN = "guide_seen"


@pytest.fixture
def window(qtbot: QtBot, window_of: WindowOf) -> MainWindow:
    """The demonstration, just set up for somebody who never saw it."""
    made = window_of(InventedShop())
    made.resize(1440, 900)
    press(qtbot, made, "Demonstration shop")
    qtbot.waitUntil(lambda: bubble_of(made) is not None)
    safe = made.screen_named("safe")
    assert isinstance(safe, SafeScreen)
    qtbot.waitUntil(lambda: safe.pane.detail is not None)
    return made


def bubble_of(window: MainWindow) -> Bubble | None:
    return next((one for one in window.findChildren(Bubble) if one.isVisible()), None)


def shown(window: MainWindow) -> Bubble:
    bubble = bubble_of(window)
    assert bubble is not None
    return bubble


def test_the_demonstration_shows_a_newcomer_round_in_five_steps(
    qtbot: QtBot, window: MainWindow
) -> None:
    seen = []
    for _ in range(5):
        seen.append(shown(window).title.text())
        last = shown(window)
        qtbot.mouseClick(last.onward_button, Qt.MouseButton.LeftButton)
    assert seen == [
        "What metal is in the safe",
        "Every figure says how it is known",
        "The chosen item",
        "Scan it, or type it",
        "What is still locked up",
    ]
    assert bubble_of(window) is None
    assert window._parts.choices.flag(SEEN) is True


def test_each_step_points_at_the_real_thing_and_stays_in_the_window(
    qtbot: QtBot, window: MainWindow
) -> None:
    guide = window._guide
    assert guide is not None
    for number in range(5):
        anchor = guide.step.anchor()
        assert anchor is not None, number
        assert anchor.isVisible()
        corner = anchor.mapTo(window, QPoint(0, 0))
        around = QRect(corner, anchor.size())
        qtbot.waitUntil(lambda around=around: guide.ring.geometry().contains(around))
        assert window.rect().contains(shown(window).geometry())
        qtbot.keyClick(shown(window), Qt.Key.Key_Right)


def test_the_guide_is_skipped_with_escape_and_does_not_come_again(
    qtbot: QtBot, qapp: QApplication, window: MainWindow
) -> None:
    qtbot.keyClick(shown(window), Qt.Key.Key_Escape)
    assert bubble_of(window) is None
    window.desk.demonstrate()
    qtbot.waitUntil(lambda: window._parts.background.is_idle)
    assert bubble_of(window) is None


def test_the_guide_is_skipped_with_its_button(qtbot: QtBot, window: MainWindow) -> None:
    press(qtbot, shown(window), "Skip the guide")
    assert bubble_of(window) is None
    assert window._guide is None


def test_keys_go_on_and_back_and_the_last_step_begins(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.keyClick(shown(window), Qt.Key.Key_Return)
    assert shown(window).count.text() == "2 of 5"
    qtbot.keyClick(shown(window), Qt.Key.Key_Left)
    assert shown(window).count.text() == "1 of 5"
    qtbot.keyClick(shown(window), Qt.Key.Key_Left)
    assert shown(window).count.text() == "1 of 5"
    assert not shown(window).back_button.isVisible()
    for _ in range(4):
        qtbot.keyClick(shown(window), Qt.Key.Key_Right)
    assert shown(window).onward_button.text() == "Begin"
    assert not shown(window).leave_button.isVisible()


def test_it_follows_when_the_window_is_made_smaller(qtbot: QtBot, window: MainWindow) -> None:
    window.resize(900, 600)
    guide = window._guide
    assert guide is not None
    cards = window.findChild(CardRow)
    qtbot.waitUntil(lambda: guide.ring.width() >= cards.width())
    assert window.rect().contains(shown(window).geometry())


def test_it_can_be_seen_again_from_the_menu(qtbot: QtBot, window_of: WindowOf) -> None:
    made = window_of(InventedShop())
    made.desk.open(Path("mine.shop"))
    qtbot.waitUntil(lambda: made.shown == "safe")
    assert bubble_of(made) is None
    made.commands["guide"].trigger()
    made.commands["guide"].trigger()
    assert len([one for one in made.findChildren(Bubble) if one.isVisible()]) == 1
    press(qtbot, shown(made), "Skip the guide")


def test_a_click_goes_through_the_ring(qtbot: QtBot, window: MainWindow) -> None:
    ring = window.findChild(Ring)
    assert ring.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    assert window.childAt(ring.geometry().center()) is not ring


@pytest.mark.parametrize(
    ("anchor", "expected"),
    [
        (QRect(100, 50, 400, 60), QPoint(100, 121)),  # room below
        (QRect(100, 500, 400, 90), QPoint(100, 288)),  # above
        (QRect(0, 0, 130, 600), QPoint(141, 12)),  # at its right
        (QRect(640, 10, 360, 590), QPoint(328, 10 + 2)),  # at its left
        (QRect(0, 0, 1000, 600), QPoint(350, 199)),  # on it
    ],
)
def test_the_bubble_stands_where_there_is_room(anchor: QRect, expected: QPoint) -> None:
    found = place_beside(anchor, QSize(300, 200), QSize(1000, 600))
    assert abs(found.x() - expected.x()) <= 2
    assert abs(found.y() - expected.y()) <= 2


def test_a_thing_that_is_not_shown_has_no_bubble_until_it_is_back(
    qtbot: QtBot, window: MainWindow
) -> None:
    guide = window._guide
    assert guide is not None
    anchor = guide.step.anchor()
    assert isinstance(anchor, QWidget)
    anchor.hide()
    qtbot.waitUntil(lambda: not guide.ring.isVisible())
    assert bubble_of(window) is None
    anchor.show()
    qtbot.waitUntil(guide.ring.isVisible)
    assert window.rect().contains(shown(window).geometry())


def test_who_goes_to_another_screen_finds_the_step_on_the_way_back(
    qtbot: QtBot, window: MainWindow
) -> None:
    window.go_to("daybook")
    qtbot.waitUntil(lambda: bubble_of(window) is None)
    window.go_to("safe")
    qtbot.waitUntil(lambda: bubble_of(window) is not None)
    assert shown(window).count.text() == "1 of 5"
