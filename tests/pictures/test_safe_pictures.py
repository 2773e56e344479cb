"""The Safe as it was approved, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QMainWindow
from pytestqt.qtbot import QtBot

from pictures.comparing import PART_OF_PIXELS, Pictures, part_that_differs
from screens.invented import InventedShop
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look, face, load_face
from vault.screens.safe.screen import SafeScreen
from vault.screens.settings.choices import Choices
from vault.screens.style_sheet import palette, style_sheet


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


def dress(qapp: QApplication, look: Look) -> None:
    load_face()
    qapp.setStyle("fusion")
    qapp.setFont(face())
    qapp.setPalette(palette(look))
    qapp.setStyleSheet(style_sheet(look))


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_the_safe_looks_as_approved(
    qtbot: QtBot,
    qapp: QApplication,
    background: Background,
    pictures: Pictures,
    tmp_path: Path,
    look: Look,
) -> None:
    dress(qapp, look)
    choices = Choices(tmp_path / "settings.ini")
    holder = QMainWindow()
    safe = SafeScreen(
        InventedShop().questions(), background, HouseStyle(look), Commands(holder), choices
    )
    holder.setCentralWidget(safe)
    holder.resize(1280, 900)
    holder.show()
    safe.choose("B-0031")
    safe.show_book("book")
    qtbot.waitUntil(lambda: background.is_idle and safe.pane.detail is not None)
    qtbot.waitUntil(lambda: safe.model.rowCount() > 0 and safe.cards.widget() is not None)
    qapp.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    image = safe.grab().toImage()
    holder.close()
    holder.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare(f"safe-{look.name}", image)


def test_a_changed_picture_is_noticed() -> None:
    one = QImage(100, 100, QImage.Format.Format_RGB32)
    one.fill(QColor("white"))
    other = one.copy()
    assert part_that_differs(one, other) == 0
    for x in range(10):
        for y in range(5):
            other.setPixelColor(x, y, QColor("black"))
    assert part_that_differs(one, other) == pytest.approx(0.005)
    assert part_that_differs(one, other) > PART_OF_PIXELS
    assert part_that_differs(one, one.scaled(50, 50)) == 1.0
