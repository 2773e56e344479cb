"""What every screen test stands on: an invented shop, a window that is closed, nothing left."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from screens.bench_scale import no_scales
from screens.holding import Holder
from screens.invented import InventedShop
from screens.stand_ins import HandsOff, PlainScreen
from vault.application.drafts import DraftShelf
from vault.screens.announcer import Announcer
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.desk import Desk
from vault.screens.drafts import DraftDesk
from vault.screens.failures import Failures
from vault.screens.house_style import HouseStyle
from vault.screens.look import face, load_face
from vault.screens.main_window import MainWindow
from vault.screens.parts import Parts, Plan
from vault.screens.printing.desk import PrintDesk, PrintQuestions
from vault.screens.safe.screen import SafeScreen
from vault.screens.scale.room import ScaleRoom
from vault.screens.screen import Screen
from vault.screens.settings.choices import Choices
from vault.start.forms import make_form_kit


@pytest.fixture(autouse=True)
def _nothing_left(qapp: QApplication) -> Iterator[None]:
    """Fail a test that leaves a window open or a timer running."""
    load_face()
    qapp.setStyle("fusion")
    qapp.setFont(face())
    # What stands before the test is no business of the search for garbage behind it: without this
    # every test walks all modules that are loaded, which takes longer than most tests.
    gc.freeze()
    yield
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    windows = [one for one in qapp.topLevelWidgets() if one.isVisible()]
    assert windows == [], f"windows left open: {windows}"
    timers = [one for one in gc.get_objects() if isinstance(one, QTimer) and _is_running(one)]
    assert timers == [], f"timers left running: {timers}"


def _is_running(timer: QTimer) -> bool:
    try:
        return timer.isActive()
    except RuntimeError:  # its C++ half is gone already
        return False


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


@pytest.fixture
def style(qapp: QApplication) -> HouseStyle:
    return HouseStyle()


@pytest.fixture
def holder(qapp: QApplication) -> Iterator[Holder]:
    """Give a window that holds one screen alone."""
    made = Holder()
    yield made
    made.close()
    made.deleteLater()


@pytest.fixture
def choices(tmp_path: Path) -> Choices:
    return Choices(tmp_path / "settings.ini")


@pytest.fixture
def drafts(qapp: QApplication, tmp_path: Path) -> Iterator[DraftDesk]:
    made = DraftDesk(DraftShelf(tmp_path / "drafts"), str)
    yield made
    made.close()


@pytest.fixture
def scales(background: Background, style: HouseStyle) -> Iterator[ScaleRoom]:
    made = ScaleRoom(no_scales, background, style)
    yield made
    made.close()


WindowOf = Callable[[InventedShop], MainWindow]


@pytest.fixture
def window_of(
    qtbot: QtBot,
    background: Background,
    style: HouseStyle,
    choices: Choices,
    drafts: DraftDesk,
    scales: ScaleRoom,
) -> Iterator[WindowOf]:
    """Give a function that builds the window over an invented shop."""
    failures = Failures()
    hook, sys.excepthook = sys.excepthook, sys.excepthook
    made: list[MainWindow] = []

    def build(shop: InventedShop) -> MainWindow:
        def make_safe(commands: Commands) -> Screen:
            return SafeScreen(shop.questions(), background, style, commands, choices)

        plans = [
            Plan("safe", "Safe", make_safe),
            Plan("lots", "Lots", lambda _: PlainScreen()),
            Plan("trace", "Trace", lambda _: PlainScreen()),
            Plan("daybook", "Daybook", lambda _: PlainScreen()),
            Plan("receive", "Receive a lot", lambda _: PlainScreen(), on_rail=False),
        ]
        doors, announcer = shop.doors(), Announcer()
        desk = Desk(doors, background, announcer)
        hands = HandsOff()
        asked = PrintQuestions(
            shop.tag_labels,
            shop.receipt_of,
            shop.residue_record,
            shop.shipment_papers,
            shop.own_estimate,
            shop.letter_of,
        )
        parts = Parts(
            doors=doors,
            background=background,
            announcer=announcer,
            desk=desk,
            failures=failures,
            style=style,
            choices=choices,
            choosers=hands,
            drafts=drafts,
            scales=scales,
            form_kit=make_form_kit,
            papers=PrintDesk(asked, background, hands, choices, style, lambda: desk.book),
        )
        window = MainWindow(parts, plans)
        window.show()
        made.append(window)
        return window

    yield build
    for window in made:
        window.close()
        window.deleteLater()
    sys.excepthook = hook
