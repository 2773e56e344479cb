"""The Safe, clicked and typed at as a reader does."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLabel, QPushButton, QToolButton
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.holding import pick, texts
from screens.invented import InventedShop, figure, item, many_items
from screens.stand_ins import PlainScreen
from vault.application.queries.answers.items import (
    GroupBy,
    ItemQuery,
    Showing,
    SortBy,
)
from vault.application.queries.answers.safe import MetalCard, Part
from vault.core.knowledge import NOTHING_KNOWN, Figure
from vault.screens.charts.stacked_area import StackedArea
from vault.screens.hues import LIGHT_HUES
from vault.screens.main_window import MainWindow
from vault.screens.safe.item_parts import ColourKey
from vault.screens.safe.metal_card import MetalCardView
from vault.screens.safe.screen import SafeScreen
from vault.screens.safe.worth_card import WorthCard
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog
from vault.screens.widgets.choices import Choice


@pytest.fixture
def shop() -> InventedShop:
    return InventedShop()


@pytest.fixture
def window(qtbot: QtBot, window_of: WindowOf, shop: InventedShop) -> MainWindow:
    made = window_of(shop)
    made.desk.open(Path("tidewater.shop"))
    qtbot.waitUntil(lambda: made.shown == "safe" and safe_of(made).model.rowCount() > 0)
    qtbot.waitUntil(lambda: safe_of(made).pane.detail is not None)
    return made


def safe_of(window: MainWindow) -> SafeScreen:
    screen = window.screen_named("safe")
    assert isinstance(screen, SafeScreen)
    return screen


def tags(safe: SafeScreen) -> list[str]:
    rows = (safe.model.item_at(row) for row in range(safe.model.rowCount()))
    return [row.tag for row in rows if row is not None]


def click_row(qtbot: QtBot, safe: SafeScreen, row: int) -> None:
    place = safe.view.visualRect(safe.model.index(row, 0)).center()
    qtbot.mouseClick(safe.view.viewport(), Qt.MouseButton.LeftButton, pos=place)


def last_query(shop: InventedShop) -> ItemQuery:
    return [one for one in shop.asked if isinstance(one, ItemQuery)][-1]


def test_a_card_for_each_metal_tells_all_of_it(window: MainWindow) -> None:
    cards = safe_of(window).cards.findChildren(MetalCardView)
    assert [card.card.metal for card in cards] == ["Ag", "Au", "Pd"]
    told = cards[0].toolTip()
    assert told.startswith("Ag silver: 4\u202f450 ± 30 g fine")
    assert "spent cupels 312 ± 17 in 64 items" in told
    assert "owed to customers 2\u202f960 ± 20 g  ·  ours 1\u202f490 ± 24 g" in told
    assert "3 items not known, left out" in told


def line_of_worth(safe: SafeScreen, metal: str) -> QLabel:
    return next(one for one in safe.cards.findChildren(QLabel) if one.text().startswith(metal))


@pytest.mark.parametrize(
    ("total", "parts", "told"),
    [
        (figure(-0.1, 0.25), (), "Rh: none known, at most 0.39 g"),
        (
            figure(0.4, 0.5),
            (Part("slag", figure(0.4, 0.5), 1, 0, is_residue=True),),
            "Rh: none known, at most 1.4 g",
        ),
        (
            figure(-1.6, 5.9),
            (Part("bead", figure(1.8, 0.1), 1, 0, is_residue=False),),
            "Rh: at most 10 g",
        ),
        (figure(-9, 2), (), "Rh: none known"),
        (NOTHING_KNOWN, (), "Rh: 3 items not known, left out"),
    ],
)
def test_a_metal_within_its_own_doubt_has_a_line_and_no_card(
    qtbot: QtBot,
    window_of: WindowOf,
    shop: InventedShop,
    total: Figure,
    parts: tuple[Part, ...],
    told: str,
) -> None:
    shop.cards = (*shop.cards, MetalCard("Rh", total, parts, NOTHING_KNOWN, total, 3))
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    safe = safe_of(window)
    qtbot.waitUntil(lambda: bool(safe.cards.findChildren(MetalCardView)))
    assert [one.card.metal for one in safe.cards.findChildren(MetalCardView)] == ["Ag", "Au", "Pd"]
    line = line_of_worth(safe, "Rh")
    assert line.text() == told
    assert "Rh rhodium: " in line.toolTip()
    assert "3 items not known, left out" in line.toolTip()


def test_the_card_of_the_worth_has_room_for_all_that_it_can_say(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    unsure = MetalCard("Rh", figure(-0.1, 0.25), (), NOTHING_KNOWN, NOTHING_KNOWN, 0)
    shop.cards = (*shop.cards, unsure)
    shop.unpriced, shop.figures_of = ("Rh", "Pd"), 400
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    cards = safe_of(window).cards
    qtbot.waitUntil(lambda: bool(cards.findChildren(WorthCard)))
    card = cards.findChild(WorthCard)
    assert isinstance(card, WorthCard)
    assert "prices of 14 Mar 2031, none for Rh and Pd" in texts(card)
    assert "figures up to entry 400 of 412" in texts(card)
    parts = [*card.findChildren(QLabel), *card.findChildren(QPushButton)]
    parts.sort(key=lambda part: part.y())
    assert all(part.height() >= part.sizeHint().height() - 1 for part in parts)
    assert parts[-1].geometry().bottom() < card.height()


def test_a_form_of_which_nothing_is_known_is_counted_and_not_listed(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    unknown = Part("iron with filings", NOTHING_KNOWN, 0, 3, is_residue=True)
    shop.cards = (replace(shop.cards[0], parts=(*shop.cards[0].parts, unknown)),)
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: bool(safe_of(window).cards.findChildren(MetalCardView)))
    told = safe_of(window).cards.findChildren(MetalCardView)[0].toolTip()
    assert "iron with filings" not in told
    assert "3 items not known, left out" in told


def test_the_first_item_gives_way_to_another_first_one_until_one_is_chosen(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    safe = safe_of(window)
    assert safe.pane.tag.text() == "C-0162"
    shop.rows = [replace(row, place=f"z {row.place}") if row.id == 10 else row for row in shop.rows]
    safe.refresh()
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "C-0163")
    row = safe.model.row_of_id(9)
    assert row is not None
    click_row(qtbot, safe, row + 1)
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "C-0164")
    shop.rows = [replace(row, place=f"z {row.place}") if row.id == 8 else row for row in shop.rows]
    safe.refresh()
    qtbot.waitUntil(lambda: tags(safe)[-2:] == ["C-0162", "C-0164"])
    assert safe.pane.tag.text() == "C-0164"


def test_an_estimate_below_zero_reads_from_nothing_up_wherever_it_is_shown(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    below = figure(-0.3, 0.5)
    slag = Part("slag", below, 1, 0, is_residue=True)
    shop.rows = [item(1, "C-0170", "spent cupel", 380.0, ag=below, fineness=-0.8)]
    shop.cards = (replace(shop.cards[0], owed=below, parts=(slag,)),)
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    safe = safe_of(window)
    qtbot.waitUntil(lambda: safe.pane.detail is not None)
    heading, row = (safe.model.words_of_row(at) or safe.model.index(at, 0).data() for at in (0, 1))
    assert heading.endswith("Ag 0 to 0.7 g")
    assert "\t0 to 0.7\t–\t0.0 ‰\t" in row
    assert "0 to 0.7 g Ag" in texts(safe.pane)
    safe.pane.copy_action.trigger()
    assert "Ag 0 to 0.7 g (worked out)" in QGuiApplication.clipboard().text()
    told = safe.cards.findChildren(MetalCardView)[0].toolTip()
    assert "slag 0 to 0.7 in 1 item" in told
    assert "owed to customers 0 to 0.7 g" in told


def test_findings_stand_in_red_and_lead_to_the_daybook(qtbot: QtBot, window: MainWindow) -> None:
    buttons = safe_of(window).cards.findChildren(QPushButton)
    assert [one.text() for one in buttons] == ["2 things do not add up"]
    qtbot.mouseClick(buttons[0], Qt.MouseButton.LeftButton)
    daybook = window.screen_named("daybook")
    assert window.shown == "daybook"
    assert isinstance(daybook, PlainScreen)
    assert daybook.chosen == ["findings"]


def test_without_findings_nothing_is_red(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    shop.findings = 0
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(
        lambda: window.shown == "safe" and bool(safe_of(window).cards.findChildren(MetalCardView))
    )
    assert safe_of(window).cards.findChildren(QPushButton) == []


def test_a_click_chooses_an_item_and_tells_all_of_it(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    row = safe.model.row_of_id(1)
    assert row is not None
    click_row(qtbot, safe, row)
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    told = texts(safe.pane)
    assert "1\u202f002.6 g Ag" in told
    assert "± 0.6 g" in told
    assert any("reported on 5 Mar 2031 as 1\u202f001.9 ± 1.1 g" in one for one in told)
    assert "71 %" in told
    assert "62.0 %" in told
    assert "and 4 more; trace it to see all" in told


def test_arrow_keys_step_over_headings(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.view.choose_row(4)
    qtbot.keyClick(safe.view, Qt.Key.Key_Down)
    assert safe.view.currentIndex().row() == 6
    qtbot.keyClick(safe.view, Qt.Key.Key_Up)
    assert safe.view.currentIndex().row() == 4
    safe.view.choose_row(1)
    qtbot.keyClick(safe.view, Qt.Key.Key_Up)
    assert safe.view.currentIndex().row() == 1


def test_typing_filters_while_it_goes_on(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    qtbot.keyClicks(window.top_bar.field, "b-00")
    qtbot.waitUntil(lambda: tags(safe) == ["B-0028", "B-0029", "B-0030", "B-0031"])
    assert safe.tools.count.text() == "4 items"
    qtbot.keyClick(window.top_bar.field, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: len(tags(safe)) == 11)


def test_a_filter_without_a_hit_says_what_to_do(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    qtbot.keyClicks(window.top_bar.field, "zzz")
    qtbot.waitUntil(lambda: "Nothing matches “zzz”" in texts(safe))


def test_a_scanned_tag_is_chosen_wherever_it_is(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    qtbot.keyClicks(window.top_bar.field, "K-0201")
    qtbot.keyClick(window.top_bar.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "K-0201")
    assert window.top_bar.field.text() == ""
    qtbot.waitUntil(lambda: len(tags(safe)) == 11)
    assert safe.pane.tag.text() == "K-0201"


def test_groups_and_what_is_shown_are_chosen_from_menus(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    safe = safe_of(window)
    group, showing, metal = safe.tools.findChildren(Choice)
    pick(group, "form")
    pick(showing, "everything")
    pick(metal, "Au")
    qtbot.waitUntil(lambda: tags(safe) == ["B-0028", "K-0212", "C-0163"])
    # A question that was taken back may end after the last one.
    queries = [one for one in shop.asked if isinstance(one, ItemQuery)]
    asked = [(query.group_by, query.showing, query.metal) for query in queries]
    assert (GroupBy.FORM, Showing.ALL, "Au") in asked


def test_an_order_that_takes_long_is_told_and_can_be_stopped(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    safe = safe_of(window)
    before, count = tags(safe), safe.tools.count.text()
    shop.index_takes_s = 20.0
    pick(safe.tools.findChildren(Choice)[0], "lot")
    qtbot.waitUntil(safe.tools.stop_button.isVisible)
    assert safe.tools.count.text() == "looking through all items …"
    assert tags(safe) == before
    qtbot.mouseClick(safe.tools.stop_button, Qt.MouseButton.LeftButton)
    assert not safe.tools.stop_button.isVisible()
    assert safe.tools.count.text() == count
    assert safe.tools.group_by is GroupBy.PLACE
    qtbot.waitUntil(lambda: shop.was_stopped)
    assert tags(safe) == before


def test_what_nobody_waits_for_any_more_is_stopped(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    safe = safe_of(window)
    group = safe.tools.findChildren(Choice)[0]
    shop.index_takes_s = 20.0
    pick(group, "lot")
    qtbot.waitUntil(safe.tools.stop_button.isVisible)
    shop.index_takes_s = 0.0
    pick(group, "form")
    qtbot.waitUntil(lambda: shop.was_stopped)
    qtbot.waitUntil(lambda: safe.model.query.group_by is GroupBy.FORM)
    assert not safe.tools.stop_button.isVisible()


def test_a_title_sorts_and_a_second_click_turns_it_round(
    qtbot: QtBot, window: MainWindow, shop: InventedShop
) -> None:
    safe = safe_of(window)
    header = safe.view.horizontalHeader()
    at = [column.title for column in safe.model.columns].index("Au fine")
    place = QPoint(header.sectionViewportPosition(at) + 20, header.height() // 2)
    for descending in (False, True):
        qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=place)
        qtbot.waitUntil(lambda: last_query(shop).sort_by is SortBy.FINE)
        qtbot.waitUntil(lambda turned=descending: last_query(shop).descending is turned)
    assert last_query(shop).sort_metal == "Au"


def test_the_chosen_item_stays_chosen_when_the_order_changes(
    qtbot: QtBot, window: MainWindow
) -> None:
    safe = safe_of(window)
    row = safe.model.row_of_id(4)
    assert row is not None
    click_row(qtbot, safe, row)
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0028")
    pick(safe.tools.findChildren(Choice)[0], "nothing")
    qtbot.waitUntil(lambda: safe.model.item_count == safe.model.rowCount())
    chosen = safe.model.item_at(safe.view.currentIndex().row())
    assert chosen is not None
    assert chosen.tag == "B-0028"


def test_enter_traces_the_chosen_item(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    tag = safe.pane.tag.text()
    qtbot.keyClick(safe.view, Qt.Key.Key_Return)
    trace = window.screen_named("trace")
    assert isinstance(trace, PlainScreen)
    assert trace.chosen == [f"item {tag}"]
    assert window.shown == "trace"


def test_the_button_traces_and_copy_copies(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.pane.copy_action.trigger()
    assert QGuiApplication.clipboard().text().startswith(safe.pane.tag.text())
    qtbot.keyClick(safe.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().split("\t")[0] == safe.pane.tag.text()
    qtbot.mouseClick(safe.pane.trace_button, Qt.MouseButton.LeftButton)
    assert window.shown == "trace"


def test_a_lot_of_the_origins_leads_to_its_trace(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.choose("B-0031")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    lot = next(one for one in safe.pane.findChildren(QPushButton) if one.text() == "L-121")
    qtbot.mouseClick(lot, Qt.MouseButton.LeftButton)
    trace = window.screen_named("trace")
    assert isinstance(trace, PlainScreen)
    assert trace.chosen == ["lot L-121"]


def test_lots_have_the_colours_that_they_have_in_a_trace(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.choose("B-0031")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    qtbot.waitUntil(lambda: len(safe.pane.findChildren(ColourKey)) == 3)
    painted = [
        one.grab().toImage().pixelColor(4, 4).name() for one in safe.pane.findChildren(ColourKey)
    ]
    assert painted == [name.lower() for name in LIGHT_HUES[:3]]


def test_each_metal_of_an_item_can_be_looked_at(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.choose("B-0028")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0028")
    gold = next(one for one in safe.pane.findChildren(QToolButton) if one.text() == "Au")
    qtbot.mouseClick(gold, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "86.30 g Au" in texts(safe.pane))


def test_a_caution_stands_with_a_spent_cupel_and_not_with_a_bar(
    qtbot: QtBot, window: MainWindow
) -> None:
    safe = safe_of(window)
    safe.choose("C-0164")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "C-0164")
    assert any(one.startswith("Lead.") for one in texts(safe.pane))
    safe.choose("B-0031")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    qtbot.waitUntil(lambda: not any(one.startswith("Lead.") for one in texts(safe.pane)))


def test_an_empty_book_says_what_to_do_first(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    shop.rows, shop.last_entry, shop.figures_of = [], 0, None
    window = window_of(shop)
    window.desk.open(Path("new.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    heading = next(
        one for one in safe_of(window).findChildren(QLabel) if one.text() == "This book is empty"
    )
    qtbot.waitUntil(heading.isVisible)
    buttons = [one for one in safe_of(window).findChildren(QPushButton) if one.isVisible()]
    assert [one.text() for one in buttons] == ["Receive a lot", "Read a daybook in …"]


def test_before_the_figures_stand_the_facts_are_shown_and_work_goes_on(
    qtbot: QtBot, window_of: WindowOf, shop: InventedShop
) -> None:
    shop.figures_of, shop.is_due, shop.slow_s = None, True, 0.05
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(window.work_strip.isVisible)
    qtbot.waitUntil(lambda: "The figures are not worked out yet" in texts(safe_of(window)))
    assert safe_of(window).cards.findChildren(MetalCardView) == []
    qtbot.waitUntil(lambda: window.work_strip.bar.value() > 0, timeout=5000)
    qtbot.waitUntil(
        lambda: len(safe_of(window).cards.findChildren(MetalCardView)) == 3, timeout=5000
    )
    qtbot.waitUntil(lambda: not window.work_strip.isVisible())


def test_working_out_can_be_stopped(qtbot: QtBot, window_of: WindowOf, shop: InventedShop) -> None:
    shop.figures_of, shop.is_due, shop.slow_s = None, True, 1.0
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.work_strip.words.text().startswith("Working out"))
    qtbot.mouseClick(window.work_strip.stop, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.work_strip.isVisible())
    assert shop.figures_of is None


def test_ten_thousand_items_are_scrolled_to_the_end(qtbot: QtBot, window_of: WindowOf) -> None:
    shop = InventedShop(rows=many_items(10_000))
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe" and safe_of(window).model.item_count == 10_000)
    safe = safe_of(window)
    qtbot.keyClick(safe.view, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    safe.view.scrollToBottom()
    last = safe.model.rowCount() - 1
    qtbot.waitUntil(lambda: safe.model.item_at(last) is not None)
    pages = [one for one in shop.asked if isinstance(one, int)]
    assert sum(pages) < 2_000


def test_units_change_everywhere_at_once(qtbot: QtBot, window: MainWindow) -> None:
    safe = safe_of(window)
    safe.choose("B-0031")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    window.commands["settings"].trigger()
    dialog = window.findChild(SettingsDialog)
    dialog.unit.buttons.button(1).click()
    dialog.accept()
    qtbot.waitUntil(lambda: "32.234 ozt Ag" in texts(safe.pane))
    qtbot.waitUntil(
        lambda: "ozt" in safe.cards.findChildren(MetalCardView)[0].toolTip().split("\n")[0]
    )


def test_the_stock_over_time_unfolds_with_the_metal_of_choice(
    qtbot: QtBot, window: MainWindow, choices: Choices
) -> None:
    stock = safe_of(window).stock
    qtbot.mouseClick(stock.button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(stock.findChildren(StackedArea)) == 1, timeout=20_000)
    assert stock.findChild(StackedArea).accessibleName() == "silver over time"
    pick(stock.metal, "Au")
    qtbot.waitUntil(
        lambda: (
            [one.accessibleName() for one in stock.findChildren(StackedArea)] == ["gold over time"]
        )
    )
    assert choices.flag("stock_over_time")
    qtbot.mouseClick(stock.button, Qt.MouseButton.LeftButton)
    assert not stock.findChild(StackedArea).isVisible()
    assert not choices.flag("stock_over_time")


def test_columns_are_hidden_and_shown_from_a_menu_and_remembered(
    window: MainWindow, choices: Choices
) -> None:
    safe = safe_of(window)
    actions = {action.text(): action for action in safe.tools.columns.menu().actions()}
    assert "Tag" not in actions
    actions["Lots"].trigger()
    assert "Lots" not in [column.title for column in safe.model.columns]
    assert "Lots" in choices.words("hidden_columns_of_items", frozenset())
    assert safe.view.currentIndex().isValid()
    actions["Lots"].trigger()
    assert "Lots" in [column.title for column in safe.model.columns]
