"""Every dialog is freed when it is closed."""

from __future__ import annotations

import weakref
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QMainWindow
from pytestqt.qtbot import QtBot

from screens.invented import Check
from vault.screens.cautions import CAUTIONS
from vault.screens.commands import COMMANDS
from vault.screens.dialogs import AboutDialog, CautionsDialog, CheckDialog, FaultsDialog, KeysDialog
from vault.screens.report_dialog import ReportDialog
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog
from vault.screens.write_out_dialog import WriteOutDialog

DIALOGS: dict[str, Callable[[QMainWindow, Path], QDialog]] = {
    "about": lambda window, _: AboutDialog(window),
    "cautions": lambda window, _: CautionsDialog(window),
    "check": lambda window, _: CheckDialog(Check(), window),
    "write out": lambda window, _: WriteOutDialog(window),
    "keys": lambda window, _: KeysDialog(window),
    "faults": lambda window, _: FaultsDialog((), window),
    "report": lambda window, _: ReportDialog("a bug", window),
    "settings": lambda window, tmp: SettingsDialog(Choices(tmp / "settings.ini"), window),
}


@pytest.mark.parametrize("name", DIALOGS)
@pytest.mark.parametrize("ending", ["accept", "reject"])
def test_a_dialog_is_freed_when_it_is_closed(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, name: str, ending: str
) -> None:
    window = QMainWindow()
    qtbot.addWidget(window)
    window.show()
    dialog = DIALOGS[name](window, tmp_path)
    gone: list[bool] = []
    dialog.destroyed.connect(lambda: gone.append(True))
    kept = weakref.ref(dialog)
    dialog.open()
    getattr(dialog, ending)()
    del dialog
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert gone == [True]
    qtbot.waitUntil(lambda: kept() is None)


def test_every_caution_and_every_key_is_shown(qtbot: QtBot) -> None:
    for dialog, told in (
        (CautionsDialog(), [name for name, _ in CAUTIONS]),
        (KeysDialog(), [one.keys for one in COMMANDS if one.keys]),
    ):
        qtbot.addWidget(dialog)
        assert set(told) <= {one.text() for one in dialog.findChildren(QLabel)}


def test_no_two_commands_share_a_key() -> None:
    keys = [one.keys for one in COMMANDS if one.keys]
    assert len(keys) == len(set(keys))


def test_settings_change_nothing_when_cancelled(qtbot: QtBot, tmp_path: Path) -> None:
    choices = Choices(tmp_path / "settings.ini")
    dialog = SettingsDialog(choices)
    qtbot.addWidget(dialog)
    dialog.mark.buttons.button(1).click()
    assert dialog.example.text() == "So a bar reads 1\u202f002,6 ± 0,6 g fine"
    dialog.reject()
    assert choices.numbers.decimal_mark == "."


def test_what_is_set_is_read_back_by_the_next_start(tmp_path: Path) -> None:
    file = tmp_path / "settings.ini"
    first = Choices(file)
    first.remember_flag("stock", on=True)
    first.look_name = "dark"
    first.save()
    second = Choices(file)
    assert second.flag("stock") is True
    assert second.flag("never set") is False
    assert second.look_name == "dark"


def test_settings_that_make_no_sense_have_their_default(tmp_path: Path) -> None:
    file = tmp_path / "settings.ini"
    file.write_text("[look]\nname=purple\n[numbers]\nunit=stone\n", encoding="utf-8")
    choices = Choices(file)
    assert choices.look_name == "light"
    assert choices.numbers.unit == "g"
