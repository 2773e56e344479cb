"""The choice about residues on screen: what is drawn, what is said, and what is asked for first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from screens.bench_books import bench_book
from screens.holding import Holder, press, texts
from screens.invented_choice import choice, first
from terms_samples import altered
from vault import start
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.queries.answers.send_out import Ask
from vault.application.terms_sheets import keep_sheet
from vault.core.money import Money
from vault.screens.house_style import HouseStyle
from vault.screens.main_window import MainWindow
from vault.screens.send_out.dialog import SendOutDialog
from vault.screens.send_out.parts import ChoicePart, VerdictPart
from vault.screens.send_out.why_dialog import WhyDialog

LONG_AGO = datetime(2024, 3, 1, 8, 0, tzinfo=UTC)


@pytest.fixture
def part(qtbot: QtBot, style: HouseStyle) -> ChoicePart:
    made = ChoicePart(style)
    qtbot.addWidget(made)
    made.resize(640, 400)
    made.show()
    return made


def test_everything_that_could_be_done_is_drawn_with_its_figure(part: ChoicePart) -> None:
    part.show_choice(choice())
    assert [one.words for one in part.chart.rows] == [
        "Send it now, “sheet 0”",
        "Send it now, “sheet 1”",
        "Wait 7 weeks, then “sheet 0”",
        "Crush and smelt it here",
        "Blend and sample it first",
        "Keep it",
    ]
    assert [one.told for one in part.chart.rows][2] == "400 ± 120"
    assert [one.is_best for one in part.chart.rows].index(True) == 2
    assert part.how.text().endswith("against keeping it; in EUR.")
    assert not part.rest.isVisibleTo(part)


def test_of_many_sheets_the_best_are_drawn_and_the_rest_counted(part: ChoicePart) -> None:
    part.show_choice(choice(sheets=7))
    drawn = [one.words for one in part.chart.rows if one.words.startswith("Send")]
    assert drawn == [f"Send it now, “sheet {at}”" for at in range(3)]
    assert part.rest.text() == "4 more sheets bring less; see line by line."


def test_while_it_is_worked_out_nothing_old_is_shown(part: ChoicePart) -> None:
    part.show_choice(choice())
    part.wait()
    assert part.chart.rows == ()
    assert part.how.text() == "Working out what could be done with it …"


def test_the_verdict_says_what_it_hangs_on_and_what_is_not_known(
    qtbot: QtBot, holder: Holder
) -> None:
    short, full = VerdictPart(holder.commands), VerdictPart(holder.commands, in_full=True)
    for one in (short, full):
        qtbot.addWidget(one)
        one.show_choice(choice())
    told, more = texts(short), texts(full)
    assert told[0] == "Wait 7 weeks"
    assert "Nobody said how much Pb is in it." in told
    assert "It changes if silver falls below 0.810 EUR a gram." in told
    assert "It changes with gold." not in told
    assert {
        "It changes with gold.",
        "At its grade it pays on its own from 11.3 kg on, “sheet 0”.",
    } <= {*more}


@pytest.mark.parametrize(
    ("asks", "command"),
    [
        (Ask.PRICES, "prices"),
        (Ask.SHEETS, "terms"),
        (Ask.CONTENTS, "assay"),
        (Ask.FIGURES, "work_out"),
    ],
)
def test_what_is_needed_first_has_its_button(
    qtbot: QtBot, holder: Holder, asks: Ask, command: str
) -> None:
    part = VerdictPart(holder.commands)
    qtbot.addWidget(part)
    part.show_choice(first(asks))
    assert texts(part)[0] == f"First the {asks.value}."
    [button] = part.findChildren(QPushButton)
    action = holder.commands[command]
    action.setEnabled(True)
    with qtbot.waitSignal(action.triggered):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_the_lines_of_another_option_are_chosen_above_them(
    qtbot: QtBot, holder: Holder, style: HouseStyle
) -> None:
    dialog = WhyDialog("drum C", choice(), style, holder.commands)
    qtbot.addWidget(dialog)
    dialog.show()
    told = texts(dialog)
    assert {"silver, 301 g payable", "280.00 EUR", "−60.00 EUR", "comes back"} <= {*told}
    dialog.option.choose(3)
    dialog.option.chosen.emit(3)
    qtbot.waitUntil(lambda: "Nothing is charged and nothing comes back." in texts(dialog))
    assert "140 ± 160 EUR" in texts(dialog)


# --- in the window over a real book --------------------------------------------------------------


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    with bench_book(tmp_path, lambda: LONG_AGO):
        pass
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


def asks_of(dialog: SendOutDialog) -> Ask:
    assert dialog.answer is not None
    return dialog.answer.asks


def asked_of(qtbot: QtBot, window: MainWindow, tag: str) -> SendOutDialog:
    window.go_to("safe", tag)
    qtbot.waitUntil(lambda: window._parts.background.is_idle, timeout=20_000)
    window.commands["worth"].trigger()
    [dialog] = [one for one in window.findChildren(SendOutDialog) if one.isVisible()]
    qtbot.waitUntil(lambda: dialog.answer is not None, timeout=20_000)
    return dialog


def test_a_bar_and_what_is_scanned_beside_it_are_taken_together(
    qtbot: QtBot, window: MainWindow
) -> None:
    book = window.desk.book
    assert isinstance(book, Book)
    dialog = asked_of(qtbot, window, "B-0002")
    assert asks_of(dialog) is Ask.PRICES
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], key="price")
    keep_sheet(book, altered(valid_from=date(2020, 1, 1)))
    assert QApplication.focusWidget() is dialog.items.line.line
    qtbot.keyClicks(dialog.items.line.line, "G-0001")
    qtbot.keyClick(dialog.items.line.line, Qt.Key.Key_Return)
    qtbot.waitUntil(
        lambda: dialog.answer is not None and dialog.answer.tags == ("B-0002", "G-0001"),
        timeout=20_000,
    )
    assert asks_of(dialog) is Ask.NOTHING
    assert dialog.isVisible(), "Enter took a tag, and did not close the dialog"
    assert dialog.choice.chart.rows
    press(qtbot, dialog, "Why, line by line …")
    [why] = [one for one in dialog.findChildren(WhyDialog) if one.isVisible()]
    assert "2 items" in why.windowTitle()
    why.close()
    dialog.close()
