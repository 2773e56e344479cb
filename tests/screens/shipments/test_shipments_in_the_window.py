"""A shipment from the Safe to its settlement, in the whole window over a real book."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from builders import sent
from screens.bench_books import bench_book
from screens.holding import texts
from vault import start
from vault.application.operations.recording import import_entries
from vault.screens.main_window import MainWindow
from vault.screens.safe.screen import SafeScreen
from vault.screens.shipments.make_up import ShipmentForm
from vault.screens.shipments.screen import ShipmentsScreen
from vault.screens.shipments.settle import SettleForm

LONG_AGO = datetime(2024, 3, 1, 8, 0, tzinfo=UTC)
CONTROL_SHIFT = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    # The window goes by the real clock, so all this happened long ago.
    with bench_book(tmp_path, lambda: LONG_AGO) as book:
        import_entries(book, (sent(5, "B-0002", ref="V-7", on="2024-03-02"),))
    parts = start.make_parts()
    made = start.make_window(parts)
    made.resize(1440, 900)
    made.show()
    made.desk.open(tmp_path / "tidewater.shop")
    qtbot.waitUntil(lambda: made.shown == "safe" and parts.background.is_idle, timeout=20_000)
    made.activateWindow()
    yield made
    qtbot.waitUntil(lambda: parts.background.is_idle, timeout=20_000)
    made.close()
    made.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def idle(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: window._parts.background.is_idle, timeout=20_000)


def shipments_of(window: MainWindow) -> ShipmentsScreen:
    screen = window.screen_named("shipments")
    assert isinstance(screen, ShipmentsScreen)
    return screen


def test_a_key_shows_what_is_out_and_another_settles_it(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.keyClick(window, Qt.Key.Key_L, CONTROL_SHIFT)
    assert window.notice.words.text() == (
        "Choose a shipment first: Menu → Shipments shows what is out."
    )
    qtbot.keyClick(window, Qt.Key.Key_V, CONTROL_SHIFT)
    qtbot.waitUntil(lambda: shipments_of(window).pane.heading.text() == "V-7", timeout=20_000)
    assert window.shown == "shipments"
    qtbot.mouseClick(shipments_of(window).pane.settle_button, Qt.MouseButton.LeftButton)
    form = window.findChild(SettleForm)
    assert form is not None
    idle(qtbot, window)
    assert form.heading.text() == "Settle V-7"
    form.reject()


def test_an_item_that_is_out_leads_to_its_shipment(qtbot: QtBot, window: MainWindow) -> None:
    safe = window.screen_named("safe")
    assert isinstance(safe, SafeScreen)
    window.go_to("safe", "B-0002")
    qtbot.waitUntil(lambda: safe.pane.heading.text() == "B-0002", timeout=20_000)
    link = next(one for one in safe.pane.findChildren(QPushButton) if one.text() == "Shipment V-7")
    qtbot.mouseClick(link, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: shipments_of(window).pane.heading.text() == "V-7", timeout=20_000)
    assert window.shown == "shipments"
    idle(qtbot, window)


def test_the_residues_lead_to_making_one_up_with_the_drum_in_it(
    qtbot: QtBot, window: MainWindow
) -> None:
    window.go_to("residues")
    idle(qtbot, window)
    qtbot.waitUntil(
        lambda: bool(window.screen_named("residues").chosen_things().container), timeout=20_000
    )
    drum = window.screen_named("residues").chosen_things().container
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL_SHIFT)
    form = window.findChild(ShipmentForm)
    assert form is not None
    idle(qtbot, window)
    assert form.packed.drums == [drum]
    assert any(drum in one for one in texts(form))
    form.reject()
