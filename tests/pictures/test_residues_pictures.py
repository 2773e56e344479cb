"""The residues' screen as it was approved, light and dark."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QMainWindow
from pytestqt.qtbot import QtBot

from pictures.comparing import Pictures
from pictures.test_safe_pictures import dress
from screens.invented_residues import InventedResidues
from vault.screens.background import Background
from vault.screens.charts.band import BandChart
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look
from vault.screens.residues.screen import ResiduesScreen

_PAINTINGS = 4


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_the_residues_look_as_approved(
    qtbot: QtBot, qapp: QApplication, background: Background, pictures: Pictures, look: Look
) -> None:
    dress(qapp, look)
    holder = QMainWindow()
    screen = ResiduesScreen(
        InventedResidues().questions(), background, HouseStyle(look), Commands(holder)
    )
    holder.setCentralWidget(screen)
    holder.resize(1280, 820)
    holder.show()
    screen.show_book("book")
    qtbot.waitUntil(
        lambda: background.is_idle and screen.findChild(BandChart) is not None, timeout=20_000
    )
    chart = screen.findChild(BandChart)
    assert isinstance(chart, BandChart)
    # The axis learns how wide its words are when it first paints, and the plot gives way then.
    for _ in range(_PAINTINGS):
        screen.grab()
        qapp.sendPostedEvents()
        qtbot.waitUntil(lambda: chart.drawing is not None and not chart.drawing.is_rough)
    image = screen.grab().toImage()
    holder.close()
    holder.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare(f"residues-{look.name}", image)
