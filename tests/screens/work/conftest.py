"""The Work screen over an invented bench, and a hand at it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from screens.holding import Holder
from screens.work.at_the_bench import Hand, Printed, Writer
from screens.work.invented_work import InventedBench
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.weight_field import WeightField
from vault.screens.work.hands import WorkHands
from vault.screens.work.screen import WorkScreen


@pytest.fixture
def bench() -> InventedBench:
    return InventedBench()


@pytest.fixture
def printed() -> Printed:
    return Printed()


@pytest.fixture
def holder(qtbot: QtBot) -> Iterator[Holder]:
    made = Holder()
    yield made
    made.close()
    made.deleteLater()


@pytest.fixture
def screen(
    qtbot: QtBot,
    holder: Holder,
    bench: InventedBench,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
    printed: Printed,
) -> WorkScreen:
    hands = WorkHands(
        Writer(background),
        drafts,
        lambda name, hint: WeightField(name, hint, style),
        printed,
    )
    made = WorkScreen(bench.questions(), background, style, hands)
    holder.show_screen(made)
    made.show_book("book")
    qtbot.waitUntil(lambda: background.is_idle)
    holder.activateWindow()
    return made


@pytest.fixture
def hand(qtbot: QtBot, screen: WorkScreen, background: Background) -> Hand:
    return Hand(qtbot, screen, background)
