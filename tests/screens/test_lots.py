"""The lots' screen, clicked and typed at as a reader does."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from screens.holding import (
    Holder,
    click_row,
    click_title,
    clipboard,
    column,
    pick,
    press,
    texts,
    titles,
)
from screens.invented import LONG_NAME
from screens.invented_lots import InventedLots, many_lots
from vault.application.queries.answers.lots import LotRow
from vault.core.daybook import Process
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.lots.account import AccountBar
from vault.screens.lots.screen import LotsScreen
from vault.screens.numbers import Numbers
from vault.screens.settings.choices import Choices


@pytest.fixture
def shop() -> InventedLots:
    return InventedLots()


@pytest.fixture
def screen(
    qtbot: QtBot,
    holder: Holder,
    shop: InventedLots,
    background: Background,
    style: HouseStyle,
    choices: Choices,
) -> LotsScreen:
    made = LotsScreen(shop.questions(), background, style, holder.commands, choices)
    holder.show_screen(made)
    made.show_book("book")
    qtbot.waitUntil(lambda: made.pane.detail is not None)
    return made


def test_every_lot_stands_in_the_table_newest_first(screen: LotsScreen) -> None:
    assert titles(screen.table) == [
        "Lot",
        "Whose",
        "Terms",
        "Received",
        "What",
        "Weight",
        "Ag fine",
        "Au fine",
        "Progress",
    ]
    assert column(screen.table, "Lot") == ["L-124", "L-123", "L-118"]
    assert column(screen.table, "Weight") == ["1\u202f342.4 g", "not weighed", "90.5 g"]
    assert column(screen.table, "Au fine") == ["–", "not known", "59.7 ± 0.3"]
    assert screen.count.text() == "3 lots"


def test_the_first_lot_is_chosen_with_its_account(screen: LotsScreen) -> None:
    assert screen.pane.heading.text() == "L-124"
    told = texts(screen.pane)
    at = told.index("received")
    assert told[at : at + 2] == ["received", "457.4 ± 2.2 g"]
    assert "450.9 g" in told
    # A gain is told as it is: below zero.
    assert "−0.8 ± 1.7 g" in told
    assert "99.6 %" in told
    bar = screen.pane.findChild(AccountBar)
    assert "in residues 2.5 ± 1.4 g" in bar.toolTip()


def test_a_click_chooses_another_lot(qtbot: QtBot, screen: LotsScreen) -> None:
    click_row(qtbot, screen.table, 2)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-118")
    assert "Fernhill Dental Lab · bought" in screen.pane.what.text()


def test_keys_walk_from_lot_to_lot(qtbot: QtBot, screen: LotsScreen) -> None:
    screen.setFocus()
    qtbot.keyClick(screen.table, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-123")
    qtbot.keyClick(screen.table, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-118")


def test_each_metal_has_its_own_account(qtbot: QtBot, screen: LotsScreen) -> None:
    gold = next(one for one in screen.pane.findChildren(QToolButton) if one.text() == "Au")
    qtbot.mouseClick(gold, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "What became of its gold" in texts(screen.pane))
    assert "0.4574 ± 0.0022 g" in texts(screen.pane)


def test_its_items_lead_to_the_safe(qtbot: QtBot, screen: LotsScreen) -> None:
    told = texts(screen.pane)
    assert "slag · returned" in told
    assert "slag · drum D" in told
    assert "slag · no place noted" in told
    assert "and 4 more; trace it to see all" in told
    with qtbot.waitSignal(screen.place_wanted) as wanted:
        press(qtbot, screen.pane, "S-0001")
    assert wanted.args == ["safe", "S-0001"]


def test_its_history_leads_to_the_daybook(qtbot: QtBot, screen: LotsScreen) -> None:
    with qtbot.waitSignal(screen.place_wanted) as wanted:
        press(qtbot, screen.pane, "1 Mar 2031")
    assert wanted.args == ["daybook", "7"]


def test_the_button_and_enter_trace_the_lot(qtbot: QtBot, screen: LotsScreen) -> None:
    with qtbot.waitSignal(screen.trace_wanted) as wanted:
        press(qtbot, screen.pane, "Trace it")
    assert wanted.args == ["", "L-124"]
    with qtbot.waitSignal(screen.trace_wanted) as wanted:
        qtbot.keyClick(screen.table, Qt.Key.Key_Return)
    assert wanted.args == ["", "L-124"]


def test_typing_leaves_only_what_matches(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    screen.set_filter("dental")
    qtbot.waitUntil(lambda: column(screen.table, "Lot") == ["L-118"])
    assert shop.asked[-1] == "dental"
    assert screen.count.text() == "1 lot"
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-118")
    screen.set_filter("nobody")
    qtbot.waitUntil(lambda: "No lot matches “nobody”" in texts(screen.table_card))
    assert screen.pane.detail is None


def test_a_lot_asked_for_by_name_empties_the_filter_and_is_shown(
    qtbot: QtBot, screen: LotsScreen
) -> None:
    screen.set_filter("nobody")
    qtbot.waitUntil(lambda: screen.model.rowCount() == 0)
    screen.choose("L-118")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-118" and screen.model.rowCount() == 3)
    qtbot.waitUntil(lambda: screen.table.currentIndex().row() == 2)


def test_a_lot_asked_for_by_name_stays_chosen_when_the_table_gets_the_hand_back(
    qtbot: QtBot, holder: Holder, screen: LotsScreen, shop: InventedLots
) -> None:
    screen.set_filter("nobody")
    qtbot.waitUntil(lambda: screen.model.rowCount() == 0)
    # Whatever has the hand in the empty table's place: Qt gives it to the table as that comes back.
    holder.activateWindow()
    qtbot.waitUntil(holder.isActiveWindow)
    words = screen.table_card.empty
    words.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    words.setFocus()
    # The lot itself is answered before the table is.
    shop.may_answer.clear()
    screen.choose("L-118")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-118")
    shop.may_answer.set()
    qtbot.waitUntil(lambda: screen.model.rowCount() == 3)
    assert screen.table.currentIndex().row() == 2


def test_a_title_and_the_choice_above_sort(qtbot: QtBot, screen: LotsScreen) -> None:
    click_title(qtbot, screen.table, "Weight")
    assert column(screen.table, "Weight ↑") == ["90.5 g", "1\u202f342.4 g", "not weighed"]
    assert screen.order.text() == "Weight"
    pick(screen.order, "Whose")
    assert column(screen.table, "Whose ↑")[0] == "Fernhill Dental Lab"
    # What is chosen stays chosen.
    assert screen.model.row_at(screen.table.currentIndex().row()) == screen.pane.detail.row
    pick(screen.order, "newest first")
    assert column(screen.table, "Lot") == ["L-124", "L-123", "L-118"]


def test_columns_are_hidden_and_that_is_remembered(
    qtbot: QtBot, screen: LotsScreen, choices: Choices
) -> None:
    menu = screen.columns.menu()
    next(one for one in menu.actions() if one.text() == "Terms").trigger()
    assert "Terms" not in titles(screen.table)
    assert "Terms" in choices.words("hidden_columns_of_lots", frozenset())
    assert "Lot" not in [one.text() for one in menu.actions()]


def test_before_the_figures_stand_it_says_when_the_account_comes(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    shop.has_figures = False
    screen.refresh()
    sentence = "Its account appears here as soon as the figures are worked out."
    qtbot.waitUntil(lambda: sentence in texts(screen.pane))


def test_a_shop_without_lots_is_told_what_to_do(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots, holder: Holder
) -> None:
    shop.rows = ()
    screen.refresh()
    qtbot.waitUntil(lambda: "No lot was received yet" in texts(screen))
    with qtbot.waitSignal(holder.commands["import"].triggered):
        press(qtbot, screen, "Read a daybook in …")


def test_long_names_are_cut_and_told_in_full(screen: LotsScreen) -> None:
    assert screen.pane.what.is_cut
    assert LONG_NAME in screen.pane.what.toolTip()


def test_units_change_at_once(qtbot: QtBot, screen: LotsScreen, style: HouseStyle) -> None:
    style.choose(LIGHT, Numbers(unit="ozt"))
    qtbot.waitUntil(lambda: "14.71 ± 0.07 ozt" in texts(screen.pane))
    assert column(screen.table, "Ag fine")[0] == "14.71 ± 0.07"


def test_a_row_is_copied_with_tabs(qtbot: QtBot, screen: LotsScreen) -> None:
    qtbot.keyClick(screen.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert clipboard().split("\t")[:2] == ["L-124", LONG_NAME]


def test_ten_thousand_lots_are_sorted_and_scrolled_to_the_end(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    shop.rows = many_lots(10_000)
    screen.refresh()
    qtbot.waitUntil(lambda: screen.model.rowCount() == 10_000)
    click_title(qtbot, screen.table, "Lot")
    last: LotRow | None = screen.model.row_at(9_999)
    assert last is not None
    assert last.lot == "L-10000"
    qtbot.keyClick(screen.table, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "L-10000")


def test_a_closed_book_leaves_nothing_behind(screen: LotsScreen) -> None:
    screen.show_book(None)
    assert screen.model.rowCount() == 0
    assert screen.pane.detail is None
    screen.leave()


def test_it_keeps_the_rules_of_a_qt_model(screen: LotsScreen, qtmodeltester: ModelTester) -> None:
    qtmodeltester.check(screen.model)


# --- what can be done with a lot ----------------------------------------------------------------


def test_a_work_begins_with_what_waits_of_a_lot(screen: LotsScreen) -> None:
    wanted: list[tuple[object, object]] = []
    screen.work_wanted.connect(lambda *what: wanted.append(what))
    assert screen.pane.work_button.isEnabled()
    actions = screen.pane.work_button.menu().actions()
    told = [one.text().replace("&", "") for one in actions]
    assert told == ["Sort it", "Burn it off", "Smelt it", "Cupel it"]
    actions[2].trigger()
    assert wanted == [(Process.SMELT, ("R-0001", "R-0002"))]


def test_no_work_begins_with_a_lot_of_which_nothing_waits(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    shop.waiting = ()
    screen.refresh()
    qtbot.waitUntil(lambda: not screen.pane.work_button.isEnabled())
    assert screen.pane.work_button.toolTip() == "Nothing of it waits to be worked"


def test_a_held_lot_says_so_and_is_not_worked(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    shop.rows = tuple(replace(row, is_held=True, progress="held until 28 Mar") for row in shop.rows)
    shop.hold = "Held until 28 Mar 2031: before that day the book takes no work on it."
    screen.refresh()
    qtbot.waitUntil(lambda: not screen.pane.work_button.isEnabled())
    assert shop.hold in texts(screen.pane)
    assert screen.pane.work_button.toolTip() == shop.hold
    qtbot.waitUntil(lambda: column(screen.table, "Progress") == ["held until 28 Mar"] * 3)


def test_the_receipt_of_a_lot_is_printed_once_more(qtbot: QtBot, screen: LotsScreen) -> None:
    wanted: list[int] = []
    screen.receipt_wanted.connect(wanted.append)
    press(qtbot, screen.pane, "Receipt …")
    assert wanted == [7]


def test_each_receipt_is_offered_where_a_lot_came_in_several_times(
    qtbot: QtBot, screen: LotsScreen, shop: InventedLots
) -> None:
    wanted: list[int] = []
    screen.receipt_wanted.connect(wanted.append)
    shop.receipts = ((7, date(2031, 3, 1)), (9, date(2031, 3, 4)))
    screen.refresh()
    qtbot.waitUntil(lambda: screen.pane.receipt_button.menu() is not None)
    actions = screen.pane.receipt_button.menu().actions()
    assert [one.text() for one in actions] == ["1 Mar 2031, entry 7", "4 Mar 2031, entry 9"]
    actions[1].trigger()
    assert wanted == [9]
