"""The form of a work as it was approved, light and dark, and where works begin."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QMainWindow
from pytestqt.qtbot import QtBot

from pictures.comparing import Pictures
from screens.work.at_the_bench import Writer
from screens.work.invented_work import InventedBench
from vault.application.drafts import DraftShelf
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look, face, load_face
from vault.screens.style_sheet import palette, style_sheet
from vault.screens.widgets.weight_field import WeightField
from vault.screens.work.hands import WorkHands
from vault.screens.work.screen import WorkScreen


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


@pytest.fixture
def drafts(qapp: QApplication, tmp_path: Path) -> Iterator[DraftDesk]:
    made = DraftDesk(DraftShelf(tmp_path / "drafts"), str)
    yield made
    made.close()


def dress(qapp: QApplication, look: Look) -> None:
    load_face()
    qapp.setStyle("fusion")
    qapp.setFont(face())
    qapp.setPalette(palette(look))
    qapp.setStyleSheet(style_sheet(look))


def shown(
    qtbot: QtBot, holder: QMainWindow, look: Look, background: Background, drafts: DraftDesk
) -> WorkScreen:
    style = HouseStyle(look)
    hands = WorkHands(
        Writer(background),
        drafts,
        lambda name, hint: WeightField(name, hint, style),
        lambda _book, _tags: None,
    )
    screen = WorkScreen(InventedBench().questions(), background, style, hands)
    holder.setCentralWidget(screen)
    holder.resize(1308, 860)
    holder.show()
    screen.show_book("book")
    qtbot.waitUntil(lambda: background.is_idle)
    return screen


def fill_in(qtbot: QtBot, screen: WorkScreen, background: Background) -> None:
    def wait() -> None:
        qtbot.waitUntil(lambda: background.is_idle and screen.help.is_settled)

    screen.begin("cupel", ["K-0212"])
    wait()
    form = screen.form
    fields = [row.weight for row in form.went_in.added.rows]
    fields += [row.weight for row in form.came_out.made.rows]
    for field, weight in zip(fields, ("386.20", "120.00", "150.85", "602.40"), strict=True):
        field.write(f"{weight} g")
        field.edited.emit()
    form.came_out.made.rows[0].looks.chips[0].click()
    form.went_in.heat.write("965 °C")
    form.went_in.time.write("1 h 25 min")
    form.went_in.note.write("blicked clean, cooled slowly in the furnace")
    wait()
    form.verdict.record_button.setFocus()


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_the_form_of_a_work_looks_as_approved(
    qtbot: QtBot,
    qapp: QApplication,
    background: Background,
    drafts: DraftDesk,
    pictures: Pictures,
    look: Look,
) -> None:
    dress(qapp, look)
    holder = QMainWindow()
    screen = shown(qtbot, holder, look, background, drafts)
    fill_in(qtbot, screen, background)
    qapp.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    image = screen.grab().toImage()
    holder.close()
    holder.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare(f"work-{look.name}", image)


def test_where_works_begin_looks_as_approved(
    qtbot: QtBot,
    qapp: QApplication,
    background: Background,
    drafts: DraftDesk,
    pictures: Pictures,
) -> None:
    dress(qapp, LIGHT)
    holder = QMainWindow()
    screen = shown(qtbot, holder, LIGHT, background, drafts)
    fill_in(qtbot, screen, background)
    screen.form.left.emit()
    qtbot.waitUntil(lambda: background.is_idle)
    qapp.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    image = screen.grab().toImage()
    holder.close()
    holder.deleteLater()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare("works-light", image)
