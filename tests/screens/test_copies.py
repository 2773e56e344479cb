"""Written out, backed up and checked from the menu, with clicks and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.invented import Check, InventedShop
from screens.stand_ins import HandsOff
from vault.screens.dialogs import CheckDialog
from vault.screens.main_window import MainWindow
from vault.screens.write_out_dialog import WriteOutDialog

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shop() -> InventedShop:
    return InventedShop()


@pytest.fixture
def window(qtbot: QtBot, window_of: WindowOf, shop: InventedShop) -> MainWindow:
    made = window_of(shop)
    made.desk.open(Path("/books/tidewater.shop"))
    qtbot.waitUntil(lambda: made.shown == "safe")
    return made


def hands_of(window: MainWindow) -> HandsOff:
    hands = window._parts.choosers
    assert isinstance(hands, HandsOff)
    return hands


def pick_from_menu(window: MainWindow, words: str) -> None:
    actions = window.top_bar.menu_button.menu().actions()
    next(one for one in actions if one.text() == words).trigger()


def write_out(qtbot: QtBot, window: MainWindow, what: int, kind: int) -> None:
    """Go through the dialog with clicks: the row of what, and the row of the kind."""
    pick_from_menu(window, "Write out …")
    dialog = window.findChild(WriteOutDialog)
    dialog.what.buttons.button(what).click()
    dialog.kind.buttons.button(kind).click()
    qtbot.mouseClick(dialog.go_on, Qt.MouseButton.LeftButton)


def test_what_is_chosen_is_written_where_it_is_wanted_and_told(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    hands_of(window).answer = Path("/out/fate.xlsx")
    write_out(qtbot, window, 2, 1)
    qtbot.waitUntil(lambda: shop.written == [("fate", Path("/out/fate.xlsx"))])
    assert hands_of(window).proposed == Path("/books/tidewater fate.xlsx")
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.words.text() == "The fate was written to /out/fate.xlsx."
    assert window.notice.property("kind") == "note"


def test_thinking_better_of_it_writes_nothing(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    write_out(qtbot, window, 0, 0)
    qtbot.keyClick(window, Qt.Key.Key_B, CONTROL)
    pick_from_menu(window, "Write out …")
    qtbot.keyClick(window.findChildren(WriteOutDialog)[-1], Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window._parts.background.is_idle)
    assert shop.written == []
    assert not window.notice.isVisible()


def test_a_full_disk_is_a_sentence_of_trouble(qtbot: QtBot, window: MainWindow) -> None:
    hands_of(window).answer = Path("/full/stock.csv")
    write_out(qtbot, window, 0, 0)
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.words.text() == (
        "/full/stock.csv: No space left on device. Nothing was changed."
    )
    assert window.notice.property("kind") == "caution"
    window.notice.tell_good("The stock was written.")
    assert window.notice.property("kind") == "caution"


def test_a_backup_is_made_by_key_under_the_name_of_the_day(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    hands_of(window).answer = Path("/safe place/copy.shop")
    qtbot.keyClick(window, Qt.Key.Key_B, CONTROL)
    qtbot.waitUntil(lambda: shop.written == [("backup", Path("/safe place/copy.shop"))])
    day = QDate.currentDate().toString(Qt.DateFormat.ISODate)
    assert hands_of(window).proposed == Path(f"/books/tidewater {day}.shop")
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.words.text() == (
        "tidewater.shop was copied to /safe place/copy.shop and the copy was proven."
    )


def test_a_book_that_holds_says_so_and_lists_its_findings(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.keyClick(window, Qt.Key.Key_K, CONTROL)
    qtbot.waitUntil(lambda: window.findChild(CheckDialog) is not None)
    dialog = window.findChild(CheckDialog)
    told = [one.text() for one in dialog.findChildren(QLabel)]
    assert told[0] == "The book holds"
    assert told[1] == "412 entries."
    assert told[-1] == "The smelt of 3 March gained silver."
    close = next(one for one in dialog.findChildren(QPushButton) if one.isVisible())
    qtbot.mouseClick(close, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.findChild(CheckDialog) is None)


def test_a_broken_book_is_told_in_red_with_what_to_do(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    altered = "Entry 12 is not as it was recorded."
    shop.check = Check("The book does not hold: 1 fault in 412 entries.", (altered,), ())
    pick_from_menu(window, "Check the book")
    qtbot.waitUntil(lambda: window.findChild(CheckDialog) is not None)
    dialog = window.findChild(CheckDialog)
    labels = dialog.findChildren(QLabel)
    assert (labels[0].text(), labels[0].property("kind")) == ("The book does not hold", "attention")
    assert "Work on with the last backup that holds, and keep this file as it is." in [
        one.text() for one in labels
    ]
    assert altered in [one.text() for one in labels]
    dialog.reject()


def test_without_a_book_there_is_nothing_to_take_out(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    hands_of(window).answer = Path("/out/x.csv")
    qtbot.keyClick(window, Qt.Key.Key_W, CONTROL)
    for name in ("write_out", "back_up", "check"):
        assert not window.commands[name].isEnabled()
    window.copies.back_up()
    window.copies.check()
    window.copies._choose_file("stock", "csv")
    qtbot.waitUntil(lambda: window._parts.background.is_idle)
    assert shop.written == []
    assert window.findChild(CheckDialog) is None


LOST = "The photo of B-0031 that entry 14 names is not in tidewater.shop.photos; copy it back."


def test_a_backup_of_lost_photos_says_so(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    shop.check = Check(photos=(LOST,))
    hands_of(window).answer = Path("/out/copy.shop")
    window.copies.back_up()
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.property("kind") == "caution"
    assert window.notice.words.text() == (
        "tidewater.shop was copied to /out/copy.shop and the copy was proven. 1 photo was "
        f"missing or altered before, and so in the copy: {LOST}"
    )


def test_a_check_shows_lost_photos_without_sending_the_owner_to_a_backup_of_the_book(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    shop.check = Check(
        verdict="The book holds, its photos do not: 412 entries.", findings=(), photos=(LOST,)
    )
    pick_from_menu(window, "Check the book")
    qtbot.waitUntil(lambda: window.findChild(CheckDialog) is not None)
    dialog = window.findChild(CheckDialog)
    told = [one.text() for one in dialog.findChildren(QLabel)]
    assert "Photos that are not what the book names" in told
    assert LOST in told
    assert not any(one.startswith("Work on with the last backup") for one in told)
    dialog.reject()
