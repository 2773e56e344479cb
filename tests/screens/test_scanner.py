"""A hand scanner among people who type: slow and fast, in fields, on buttons, in menus, dialogs."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QListWidget,
    QMenu,
    QPlainTextEdit,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from vault.core.tags import payload_of
from vault.screens.scanner import Scanner

PAYLOAD = payload_of("K-0212")
NONE = Qt.KeyboardModifier.NoModifier
ENTER = "\r"


class Keyboard:
    """Presses keys at moments of its own, as the system tells them."""

    def __init__(self) -> None:
        self.now_ms = 1_000

    def press(
        self,
        sign: str,
        *,
        key: Qt.Key | None = None,
        modifiers: Qt.KeyboardModifier = NONE,
        repeats: bool = False,
    ) -> None:
        code = key or (Qt.Key.Key_Return if sign == ENTER else Qt.Key(ord(sign.upper())))
        target = QApplication.activePopupWidget() or QApplication.activeWindow()
        assert target is not None
        window = target.windowHandle()
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            event = QKeyEvent(kind, code, modifiers, sign, repeats)
            event.setTimestamp(self.now_ms)
            QCoreApplication.sendEvent(window, event)

    def type(self, text: str, *, gap_ms: int) -> None:
        for sign in text:
            self.now_ms += gap_ms
            self.press(sign)

    def scan(self, text: str, *, gap_ms: int = 8, ends: str = ENTER) -> None:
        self.now_ms += 400
        self.type(text + ends, gap_ms=gap_ms)


class Bench(QWidget):
    """A field, notes, a button, a list and a number, and a record of what was set off."""

    def __init__(self) -> None:
        super().__init__()
        self.field, self.notes, self.list = QLineEdit(), QPlainTextEdit(), QListWidget()
        self.button, self.number = QPushButton("Record it"), QSpinBox()
        self.choice = QComboBox()
        self.choice.addItems(["bar", "Kiln"])
        self.list.addItems(["bar", "Kiln", "slag"])
        self.list.setCurrentRow(0)
        self.edited: list[str] = []
        self.fired: list[str] = []
        self.field.textEdited.connect(self.edited.append)
        self.field.returnPressed.connect(lambda: self.fired.append("field"))
        self.button.clicked.connect(lambda: self.fired.append("button"))
        column = QVBoxLayout(self)
        for one in (self.field, self.notes, self.list, self.button, self.number, self.choice):
            column.addWidget(one)


@pytest.fixture
def keyboard() -> Keyboard:
    return Keyboard()


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench()
    made.show()
    made.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is made)
    yield made
    made.close()
    made.deleteLater()


@pytest.fixture
def scanner_with(qapp: QApplication) -> Iterator[Callable[[str], Scanner]]:
    made: list[Scanner] = []

    def build(prefix: str) -> Scanner:
        scanner = Scanner(qapp, lambda: prefix)
        scanner.heard = []  # type: ignore[attr-defined]  # the test's own record
        scanner.scanned.connect(scanner.heard.append)  # type: ignore[attr-defined]  # the same
        made.append(scanner)
        return scanner

    yield build
    for scanner in made:
        scanner.close()
        scanner.deleteLater()


@pytest.fixture
def heard(scanner_with: Callable[[str], Scanner]) -> list[str]:
    return scanner_with("").heard  # type: ignore[attr-defined,no-any-return]  # the test's own


def settle(qapp: QApplication) -> None:
    qapp.sendPostedEvents()


@pytest.mark.parametrize("gap_ms", [1, 8, 30, 45])
def test_a_scan_is_told_and_leaves_no_trace_in_the_field(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str], gap_ms: int
) -> None:
    bench.field.setFocus()
    keyboard.scan(PAYLOAD, gap_ms=gap_ms)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.field.text() == ""
    assert bench.fired == []


def test_a_field_that_holds_text_has_it_again_with_its_selection(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setText("12.50 g")
    bench.field.setFocus()
    bench.field.setSelection(0, 5)
    keyboard.scan(PAYLOAD)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.field.text() == "12.50 g"
    assert bench.field.selectedText() == "12.50"
    assert bench.edited[-1] == "12.50 g"  # who listens knows what stands there again


def test_a_scan_amid_typing_takes_only_itself_out(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.type("125", gap_ms=90)
    bench.field.setCursorPosition(2)
    keyboard.scan(PAYLOAD)
    keyboard.now_ms += 300
    keyboard.type(".", gap_ms=90)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.field.text() == "12.5"


def test_a_field_that_refuses_letters_has_its_text_again(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setInputMask("999;_")
    bench.field.setText("12")
    bench.field.setFocus()
    keyboard.scan(PAYLOAD)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.field.text() == "12"


def test_notes_have_their_text_and_cursor_again(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.notes.setPlainText("blicked clean\ncooled slowly")
    bench.notes.setFocus()
    cursor = bench.notes.textCursor()
    cursor.setPosition(7)
    bench.notes.setTextCursor(cursor)
    keyboard.scan(PAYLOAD)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.notes.toPlainText() == "blicked clean\ncooled slowly"
    assert bench.notes.textCursor().position() == 7


@pytest.mark.parametrize("gap_ms", [60, 90, 150, 400])
def test_typing_is_left_alone_and_its_enter_works(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str], gap_ms: int
) -> None:
    bench.field.setFocus()
    keyboard.scan("K-0212", gap_ms=gap_ms)
    settle(qapp)
    assert heard == []
    assert bench.field.text() == "K-0212"
    assert bench.fired == ["field"]


def test_a_burst_of_a_fast_typist_is_left_alone(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    for word in ("the", "re", " wi", "th", "out"):
        keyboard.now_ms += 120
        keyboard.type(word, gap_ms=35)
    keyboard.type(ENTER, gap_ms=40)
    settle(qapp)
    assert heard == []
    assert bench.field.text() == "there without"
    assert bench.fired == ["field"]


def test_an_enter_that_comes_late_is_a_persons(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.scan(PAYLOAD, ends="")
    keyboard.now_ms += 70
    keyboard.press(ENTER)
    settle(qapp)
    assert heard == []
    assert bench.field.text() == PAYLOAD
    assert bench.fired == ["field"]


def test_a_key_held_down_is_no_scan(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.press("0")
    for _ in range(12):
        keyboard.now_ms += 30
        keyboard.press("0", repeats=True)
    keyboard.now_ms += 30
    keyboard.press(ENTER)
    settle(qapp)
    assert heard == []
    assert bench.field.text() == "0" * 13
    assert bench.fired == ["field"]


def test_dead_keys_and_arrows_break_a_run(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    for key in (Qt.Key.Key_Dead_Acute, Qt.Key.Key_Left, Qt.Key.Key_Backspace):
        keyboard.scan("ABC", ends="")
        keyboard.now_ms += 8
        keyboard.press("", key=key)
        keyboard.type("DE" + ENTER, gap_ms=8)
    settle(qapp)
    assert heard == []
    assert bench.fired == ["field"] * 3


def test_the_shift_of_a_scanner_belongs_to_its_capitals(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.now_ms += 400
    for sign in "MX3322":
        keyboard.now_ms += 5
        if sign.isalpha():
            keyboard.press("", key=Qt.Key.Key_Shift)
        keyboard.press(sign, modifiers=Qt.KeyboardModifier.ShiftModifier)
    keyboard.type(ENTER, gap_ms=5)
    settle(qapp)
    assert heard == ["MX3322"]


def test_no_button_fires_whatever_is_scanned_on_it(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.button.setFocus()
    keyboard.scan("drum C 7")
    settle(qapp)
    assert heard == ["drum C 7"]
    assert bench.fired == []


def test_space_and_enter_of_a_person_still_press_a_button(
    qtbot: QtBot, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.button.setFocus()
    keyboard.press(" ")
    assert bench.fired == ["button"]
    bench.button.setAutoDefault(True)
    keyboard.now_ms += 100
    keyboard.press(ENTER)
    assert heard == []


def test_a_letter_typed_in_a_list_still_goes_to_its_row(
    qtbot: QtBot, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.list.setFocus()
    keyboard.press("k")
    assert bench.list.currentRow() == 0
    qtbot.waitUntil(lambda: bench.list.currentRow() == 1)
    assert heard == []


def test_letters_typed_fast_in_a_list_go_on_in_their_order(
    qtbot: QtBot, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.list.setFocus()
    keyboard.type("sl", gap_ms=20)
    qtbot.waitUntil(lambda: bench.list.currentRow() == 2)
    assert heard == []


def test_a_scan_moves_no_row_number_or_choice(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    for place in (bench.list, bench.number, bench.choice):
        place.setFocus()
        keyboard.scan(PAYLOAD)
    settle(qapp)
    assert heard == [PAYLOAD] * 3
    assert bench.list.currentRow() == 0
    assert bench.number.value() == 0
    assert bench.choice.currentIndex() == 0


def test_a_scan_over_an_open_menu_sets_nothing_off(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    menu = QMenu(bench)
    menu.addAction("&Keep", lambda: bench.fired.append("menu"))
    menu.addAction("&2 tags", lambda: bench.fired.append("menu"))
    menu.popup(bench.mapToGlobal(bench.rect().center()))
    keyboard.scan(PAYLOAD)
    settle(qapp)
    menu.close()
    assert heard == [PAYLOAD]
    assert bench.fired == []
    assert bench.field.text() == ""


def test_a_scan_over_a_dialog_presses_no_default_button(
    qtbot: QtBot, qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    dialog = QDialog(bench)
    column = QVBoxLayout(dialog)
    entry, default = QLineEdit(), QPushButton("Strike the entry")
    default.setDefault(True)
    default.clicked.connect(dialog.accept)
    column.addWidget(entry)
    column.addWidget(default)
    dialog.open()
    dialog.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is dialog)
    entry.setFocus()
    keyboard.scan(PAYLOAD)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert dialog.isVisible()
    assert entry.text() == ""
    keyboard.now_ms += 500
    keyboard.press(ENTER)
    assert not dialog.isVisible()
    assert dialog.result() == QDialog.DialogCode.Accepted


def test_a_second_enter_right_behind_belongs_to_the_scan(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.scan(PAYLOAD, ends=ENTER + ENTER)
    settle(qapp)
    assert heard == [PAYLOAD]
    assert bench.fired == []


def test_a_line_feed_ends_a_scan_as_well(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.button.setFocus()
    keyboard.scan(PAYLOAD, ends="")
    keyboard.now_ms += 8
    keyboard.press("\n", key=Qt.Key.Key_unknown)
    settle(qapp)
    assert heard == [PAYLOAD]


def test_two_scans_follow_each_other(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.type(PAYLOAD + ENTER + "S006806" + ENTER, gap_ms=10)
    settle(qapp)
    assert heard == [PAYLOAD, "S006806"]
    assert bench.field.text() == ""


def test_a_scan_that_a_busy_window_sees_late_is_still_one(
    qtbot: QtBot, qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.list.setFocus()
    keyboard.scan(PAYLOAD[:3], ends="")
    qtbot.wait(80)  # the window comes back to its queue late; the system's moments are as before
    keyboard.type(PAYLOAD[3:] + ENTER, gap_ms=8)
    settle(qapp)
    assert heard == [PAYLOAD]


def test_a_scan_that_breaks_off_stays_where_a_person_sees_it(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, heard: list[str]
) -> None:
    bench.field.setFocus()
    keyboard.scan(PAYLOAD[:5], ends="")
    keyboard.now_ms += 500
    settle(qapp)
    assert heard == []
    assert bench.field.text() == PAYLOAD[:5]


def test_a_scan_that_announced_itself_and_broke_off_is_taken_out_and_told(
    qtbot: QtBot,
    keyboard: Keyboard,
    bench: Bench,
    scanner_with: Callable[[str], Scanner],
) -> None:
    scanner = scanner_with("~")
    bench.field.setText("12")
    bench.field.setFocus()
    with qtbot.waitSignal(scanner.broke_off) as told:
        keyboard.scan("~" + PAYLOAD[:5], ends="")
    assert told.args == [PAYLOAD[:5]]
    assert bench.field.text() == "12"


def test_a_scan_that_announces_itself_may_falter(
    qapp: QApplication, keyboard: Keyboard, bench: Bench, scanner_with: Callable[[str], Scanner]
) -> None:
    scanner = scanner_with("~")
    bench.field.setFocus()
    keyboard.scan("~" + PAYLOAD[:4], ends="")
    keyboard.now_ms += 180
    keyboard.type(PAYLOAD[4:] + ENTER, gap_ms=10)
    settle(qapp)
    assert scanner.heard == [PAYLOAD]  # type: ignore[attr-defined]  # the test's own record
    assert bench.field.text() == ""


def test_a_person_may_type_the_sign_that_announces_a_scan(
    qtbot: QtBot, keyboard: Keyboard, bench: Bench, scanner_with: Callable[[str], Scanner]
) -> None:
    scanner = scanner_with("~")
    bench.field.setFocus()
    keyboard.type("~about 5 g" + ENTER, gap_ms=110)
    qtbot.wait(300)
    assert scanner.heard == []  # type: ignore[attr-defined]  # the test's own record
    assert bench.field.text() == "~about 5 g"
    assert bench.fired == ["field"]
