"""The window: ways in, the rail, the scan field, trouble and bugs, what is remembered."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QDialog, QPushButton
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.holding import press
from screens.invented import InventedShop
from screens.stand_ins import HandsOff, PlainScreen
from vault.application.queries.answers.items import ItemQuery
from vault.core.errors import VaultError
from vault.core.tags import payload_of
from vault.screens.dialogs import AboutDialog, CautionsDialog, FaultsDialog, KeysDialog
from vault.screens.look import DARK
from vault.screens.main_window import MainWindow
from vault.screens.report_dialog import ReportDialog
from vault.screens.scanner import Scanner
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog


@pytest.fixture
def shop() -> InventedShop:
    return InventedShop()


@pytest.fixture
def window(window_of: WindowOf, shop: InventedShop) -> MainWindow:
    return window_of(shop)


@pytest.fixture
def open_window(qtbot: QtBot, window: MainWindow) -> MainWindow:
    window.desk.open(Path("tidewater.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    return window


def button(window: MainWindow, words: str) -> QPushButton:
    found = [one for one in window.findChildren(QPushButton) if one.text() == words]
    return next(one for one in found if one.isVisible())


def hands_of(window: MainWindow) -> HandsOff:
    hands = window._parts.choosers
    assert isinstance(hands, HandsOff)
    return hands


def plain(window: MainWindow, name: str) -> PlainScreen:
    screen = window.screen_named(name)
    assert isinstance(screen, PlainScreen)
    return screen


def test_it_begins_with_what_can_be_done_and_no_dead_buttons(window: MainWindow) -> None:
    shown = [one.text() for one in window.findChildren(QPushButton) if one.isVisible()]
    assert shown == ["Menu", "Demonstration shop", "New book …", "Open a book …"]
    assert all(one.isEnabled() for one in window.findChildren(QPushButton) if one.isVisible())
    assert not window.top_bar.field.isVisible()


def test_the_demonstration_is_one_click_away(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.mouseClick(button(window, "Demonstration shop"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.shown == "safe")
    assert window.desk.book == "book of demonstration.shop"
    assert window.windowTitle() == "Tidewater Melt Shop · Metal on hand"
    assert "working as:" in window.rail.footing.text()


def test_a_book_is_opened_from_the_keyboard(qtbot: QtBot, window: MainWindow) -> None:
    hands_of(window).answer = Path("mine.shop")
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.desk.book == "book of mine.shop")


def test_thinking_better_of_it_opens_nothing(qtbot: QtBot, window: MainWindow) -> None:
    window.commands["open"].trigger()
    window.commands["new"].trigger()
    assert window.desk.book is None
    assert window.shown == ""


def test_another_book_closes_the_one_before(
    qtbot: QtBot, open_window: MainWindow, shop: InventedShop
) -> None:
    hands_of(open_window).answer = Path("second.shop")
    open_window.commands["new"].trigger()
    qtbot.waitUntil(lambda: open_window.desk.book == "book of second.shop")
    qtbot.waitUntil(lambda: shop.closed == ["book of tidewater.shop"])


def test_a_book_that_does_not_open_is_told_and_the_other_stays(
    qtbot: QtBot, window_of: WindowOf
) -> None:
    window = window_of(ShutShop())
    window.desk.open(Path("broken.shop"))
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.words.text() == "broken.shop is not a book of this program."
    assert window.shown == ""
    qtbot.mouseClick(button(window, "Close"), Qt.MouseButton.LeftButton)
    assert not window.notice.isVisible()


class ShutShop(InventedShop):
    def open_book(self, path: Path) -> object:
        raise VaultError(f"{path.name} is not a book of this program.")


def test_closing_the_book_leads_back_to_the_start_page(
    qtbot: QtBot, open_window: MainWindow, shop: InventedShop
) -> None:
    qtbot.keyClick(open_window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert open_window.shown == ""
    assert open_window.windowTitle() == "Metal on hand"
    assert button(open_window, "Demonstration shop").isVisible()
    qtbot.waitUntil(lambda: shop.closed == ["book of tidewater.shop"])


def test_facts_that_come_while_figures_are_worked_out_are_worked_out_after(
    qtbot: QtBot, window_of: WindowOf
) -> None:
    shop = InventedShop(is_due=True, slow_s=0.01)
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.desk.is_working_out)
    window.desk.work_out()
    window.desk.work_out()
    qtbot.waitUntil(lambda: shop.worked_out == 2, timeout=10_000)
    qtbot.waitUntil(lambda: not window.desk.is_working_out)


def test_once_the_figures_stand_what_was_known_at_the_time_is_looked_back_at(
    qtbot: QtBot, window_of: WindowOf
) -> None:
    shop = InventedShop(is_due=True)
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: shop.looked_back == 1, timeout=10_000)
    assert shop.worked_out == 1


def test_the_menu_opens_from_the_keyboard(qtbot: QtBot, open_window: MainWindow) -> None:
    menu = open_window.top_bar.menu_button.menu()
    closing = QTimer()
    closing.setSingleShot(True)
    closing.timeout.connect(menu.close)
    menu.aboutToShow.connect(lambda: closing.start(20))
    with qtbot.waitSignal(menu.aboutToShow):
        qtbot.keyClick(open_window, Qt.Key.Key_F10)
    words = [action.text() for action in menu.actions() if action.text()]
    assert words[0] == "New book …"
    assert words[-1] == "Quit"
    qtbot.waitUntil(lambda: not closing.isActive() and not menu.isVisible())


@pytest.mark.parametrize(
    ("name", "kind"), [("keys", KeysDialog), ("cautions", CautionsDialog), ("about", AboutDialog)]
)
def test_each_small_dialog_opens_from_the_menu(
    window: MainWindow, name: str, kind: type[QDialog]
) -> None:
    window.commands[name].trigger()
    dialog = window.findChild(kind)
    assert dialog.isVisible()
    dialog.reject()


def test_the_rail_and_its_keys_show_the_screens(qtbot: QtBot, open_window: MainWindow) -> None:
    qtbot.mouseClick(button(open_window, "Lots"), Qt.MouseButton.LeftButton)
    assert open_window.shown == "lots"
    qtbot.keyClick(open_window, Qt.Key.Key_4, Qt.KeyboardModifier.ControlModifier)
    assert open_window.shown == "daybook"
    open_window.commands["back"].trigger()
    assert open_window.shown == "lots"
    open_window.commands["back"].trigger()
    assert open_window.shown == "safe"
    open_window.commands["back"].trigger()
    assert open_window.shown == "safe"


def test_a_screen_with_its_own_bar_takes_the_place_of_the_scan_field(
    open_window: MainWindow,
) -> None:
    screen = plain(open_window, "lots")
    screen.has_own_bar = True
    open_window.go_to("lots")
    assert not open_window.top_bar.isVisible()
    open_window.go_to("safe")
    assert open_window.top_bar.isVisible()


def test_a_scan_that_means_nothing_is_told(qtbot: QtBot, open_window: MainWindow) -> None:
    qtbot.keyClicks(open_window.top_bar.field, "Q-77")
    qtbot.keyClick(open_window.top_bar.field, Qt.Key.Key_Return)
    qtbot.waitUntil(open_window.notice.isVisible)
    assert open_window.notice.words.text() == "Nothing in this book is called “Q-77”."


def test_several_hits_are_offered(qtbot: QtBot, open_window: MainWindow) -> None:
    open_window._on_find_answered("x", [("item", "X-1"), ("lot", "X-1")])
    menu = QApplication.activePopupWidget()
    assert menu is not None
    actions = menu.actions()
    assert [one.text() for one in actions] == ["X-1   (item)", "X-1   (lot)"]
    actions[1].trigger()
    menu.close()
    assert open_window.shown == "lots"
    assert plain(open_window, "lots").chosen == ["X-1"]


@dataclass(frozen=True)
class Fault:
    row: int | None
    column: str
    sentence: str


def test_every_fault_of_a_daybook_is_listed_with_its_place(
    qtbot: QtBot, open_window: MainWindow, shop: InventedShop
) -> None:
    shop.faults = [
        Fault(12, "gross_g", "“12,5,3” is no weight; write grams with a decimal point."),
        Fault(None, "", "The column act is missing."),
    ]
    hands_of(open_window).answer = Path("old.csv")
    qtbot.keyClick(open_window, Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: open_window.findChild(FaultsDialog) is not None)
    dialog = open_window.findChild(FaultsDialog)
    cells = [[dialog.table.item(row, column).text() for column in range(3)] for row in range(2)]
    assert cells == [
        ["12", "gross_g", "“12,5,3” is no weight; write grams with a decimal point."],
        ["file", "", "The column act is missing."],
    ]
    qtbot.mouseClick(
        next(one for one in dialog.findChildren(QPushButton) if one.text() == "Copy the list"),
        Qt.MouseButton.LeftButton,
    )
    assert QGuiApplication.clipboard().text().startswith("12\tgross_g\t")
    dialog.reject()


def test_after_reading_in_every_screen_asks_anew_and_the_figures_are_worked_out(
    qtbot: QtBot, open_window: MainWindow, shop: InventedShop
) -> None:
    lots = plain(open_window, "lots")
    before = lots.refreshed
    shown = [one for one in shop.asked if isinstance(one, ItemQuery)]
    shop.figures_of = None
    hands_of(open_window).answer = Path("old.csv")
    open_window.commands["import"].trigger()
    qtbot.waitUntil(lambda: shop.figures_of is not None)
    qtbot.waitUntil(lambda: open_window._parts.background.is_idle)
    # For the entries, their figures and the look back; or once for those that came at a time.
    asked = len([one for one in shop.asked if isinstance(one, ItemQuery)]) - len(shown)
    assert 1 <= asked <= 3
    assert lots.refreshed == before
    open_window.go_to("lots")
    assert lots.refreshed == before + 1


def test_trouble_is_a_sentence_and_a_bug_is_a_report(qtbot: QtBot, open_window: MainWindow) -> None:
    failures = open_window._parts.failures
    failures.take(OSError(28, "No space left on device", "/srv/shop"))
    assert open_window.notice.words.text() == (
        "/srv/shop: No space left on device. Nothing was changed."
    )
    assert open_window.findChild(ReportDialog) is None
    failures.take(ZeroDivisionError("by nought"))
    dialog = open_window.findChild(ReportDialog)
    assert dialog is not None
    qtbot.mouseClick(
        next(one for one in dialog.findChildren(QPushButton) if one.text() == "Copy the report"),
        Qt.MouseButton.LeftButton,
    )
    told = QGuiApplication.clipboard().text()
    assert told.startswith("Metal on hand ")
    assert told.rstrip().endswith("ZeroDivisionError: by nought")
    dialog.reject()


def test_two_troubles_stand_one_below_the_other(open_window: MainWindow) -> None:
    for sentence in ("One.", "Two.", "One."):
        open_window.notice.tell(sentence)
    assert open_window.notice.words.text() == "One.\nTwo."


def test_of_one_kind_the_newest_notice_takes_the_place_of_the_older(
    qtbot: QtBot, open_window: MainWindow
) -> None:
    notice = open_window.notice
    for tag in ("K-0001", "K-0002", "K-0003"):
        open_window._parts.papers.told.emit(f"Tags {tag} were printed.")
        open_window.forms.told.emit(f"{tag} moved.")
    assert notice.words.text() == "Tags K-0003 were printed.\nK-0003 moved."
    assert notice.property("kind") == "note"
    open_window.scans.told.emit("That tag was misread; scan it again.")
    assert notice.property("kind") == "caution"
    # What went well takes nothing from a trouble.
    open_window.forms.told.emit("K-0004 moved.")
    assert notice.words.text().split("\n") == [
        "Tags K-0003 were printed.",
        "K-0004 moved.",
        "That tag was misread; scan it again.",
    ]
    assert notice.property("kind") == "caution"
    press(qtbot, notice, "Close")
    open_window.forms.told.emit("K-0005 moved.")
    assert (notice.words.text(), notice.property("kind")) == ("K-0005 moved.", "note")


def test_a_book_that_is_open_elsewhere_says_so(qtbot: QtBot, window_of: WindowOf) -> None:
    window = window_of(InventedShop(limits="It is shown for reading only."))
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(window.notice.isVisible)
    assert window.notice.words.text() == "It is shown for reading only."


def test_the_dark_look_is_taken_at_once_and_remembered(
    qtbot: QtBot, open_window: MainWindow, choices: Choices
) -> None:
    open_window.commands["settings"].trigger()
    dialog = open_window.findChild(SettingsDialog)
    dialog.look.buttons.button(1).click()
    dialog.working_as.setText("Imke")
    dialog.accept()
    assert open_window._parts.style.look is DARK
    qtbot.waitUntil(lambda: open_window.grab().toImage().pixelColor(300, 120) == DARK.card)
    assert choices.look_name == "dark"
    assert "working as: Imke" in open_window.rail.footing.text()


def test_recent_books_are_offered_at_the_next_start(
    qtbot: QtBot, window_of: WindowOf, choices: Choices, tmp_path: Path
) -> None:
    book = tmp_path / "tidewater.shop"
    book.touch()
    choices.remember_recent(book)
    choices.remember_recent(tmp_path / "gone.shop")
    window = window_of(InventedShop())
    listed = window.start_page._recent
    assert listed.count() == 1
    place = listed.visualItemRect(listed.item(0)).center()
    qtbot.mouseClick(listed.viewport(), Qt.MouseButton.LeftButton, pos=place)
    qtbot.waitUntil(lambda: window.desk.book == "book of tidewater.shop")


def test_the_window_comes_back_as_it_lay(
    qtbot: QtBot, window_of: WindowOf, choices: Choices
) -> None:
    first = window_of(InventedShop())
    # The offscreen screen is 800 × 800, and no window comes back larger than the screen.
    first.resize(900, 650)
    choices.remember_state("window", first.saveGeometry())
    second = window_of(InventedShop())
    assert (second.width(), second.height()) == (900, 650)


def scan(window: MainWindow, text: str) -> None:
    window.scans.take(text)


def test_a_scan_goes_first_to_the_screen_that_is_shown(
    qtbot: QtBot, open_window: MainWindow
) -> None:
    open_window.go_to("lots")
    lots = plain(open_window, "lots")
    lots.takes = True
    for tag in ("B-0031", "K-0212"):
        scan(open_window, payload_of(tag))
    qtbot.waitUntil(lambda: lots.scans == ["B-0031", "K-0212"])
    assert open_window.shown == "lots"


def test_a_scan_that_the_screen_has_no_use_for_is_looked_for(
    qtbot: QtBot, open_window: MainWindow
) -> None:
    open_window.go_to("lots")
    scan(open_window, payload_of("B-0031"))
    qtbot.waitUntil(lambda: open_window.shown == "safe")
    assert plain(open_window, "lots").scans == ["B-0031"]


def test_a_misread_tag_is_told_and_offered_to_nobody(qtbot: QtBot, open_window: MainWindow) -> None:
    open_window.go_to("lots")
    lots = plain(open_window, "lots")
    lots.takes = True
    scan(open_window, payload_of("B-0031")[:-1] + "X")
    qtbot.waitUntil(open_window.notice.isVisible)
    assert open_window.notice.words.text() == "That tag was misread; scan it again."
    assert lots.scans == []


def test_a_tag_of_another_book_is_told_by_its_name(qtbot: QtBot, open_window: MainWindow) -> None:
    scan(open_window, payload_of("B-7777"))
    qtbot.waitUntil(open_window.notice.isVisible)
    assert open_window.notice.words.text() == "Nothing in this book is called “B-7777”."


def test_a_scan_without_a_book_asks_for_one(window: MainWindow) -> None:
    scan(window, payload_of("B-0031"))
    assert window.notice.words.text() == "Open a book first; then scan the tag again."


def test_a_scan_that_broke_off_is_told(window: MainWindow) -> None:
    window.scans.take_broken_off("B00")
    assert window.notice.words.text() == "The scan broke off after “B00”; scan it again."


def test_a_scan_while_a_dialog_lies_open_is_told_and_goes_nowhere(
    qtbot: QtBot, open_window: MainWindow
) -> None:
    open_window.commands["settings"].trigger()
    dialog = open_window.findChild(SettingsDialog)
    assert dialog is not None
    scan(open_window, payload_of("B-0031"))
    assert "scanned while another window was open; scan it again" in open_window.notice.words.text()
    dialog.reject()


def test_what_a_scanner_hears_reaches_the_window(
    qtbot: QtBot, qapp: QApplication, open_window: MainWindow
) -> None:
    scanner = Scanner(qapp)
    open_window.listen_to(scanner)
    open_window.go_to("lots")
    scanner.scanned.emit(payload_of("B-0031"))
    qtbot.waitUntil(lambda: open_window.shown == "safe")
    scanner.close()
    scanner.deleteLater()


def test_a_lot_is_received_from_the_bar_and_the_way_leads_back(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    window = window_of(shop)
    assert not window.top_bar.form_buttons[0].isVisible()
    window.desk.open(Path("a.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    received = window.screen_named("receive")
    assert isinstance(received, PlainScreen)
    assert window.rail.button("receive") is None
    button = next(one for one in window.top_bar.form_buttons if one.text() == "Receive a lot")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert window.shown == "receive"
    assert received.chosen == [""]
    window.commands["back"].trigger()
    assert window.shown == "safe"
