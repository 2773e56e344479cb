"""The screen of shipments, worked by mouse and keys over a real book."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from builders import sent, settled, struck, thing
from screens.holding import Holder, click_row, column, texts
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.screen import Chosen
from vault.screens.shipments.questions import ShipmentsQuestions
from vault.screens.shipments.screen import ShipmentsScreen


@pytest.fixture
def screen(holder: Holder, background: Background, style: HouseStyle) -> Iterator[ShipmentsScreen]:
    questions = ShipmentsQuestions(
        later("vault.application.queries.shipments", "shipments"),
        later("vault.application.queries.shipments", "sent_without_number"),
        later("vault.application.queries.shipments", "shipment_detail"),
    )
    made = ShipmentsScreen(questions, background, style, holder.commands)
    holder.show_screen(made)
    yield made
    made.leave()


def shown(qtbot: QtBot, screen: ShipmentsScreen, book: Book, background: Background) -> None:
    screen.show_book(book)
    qtbot.waitUntil(lambda: background.is_idle)
    if screen.model.rowCount():
        qtbot.waitUntil(lambda: screen.pane.detail is not None)


@pytest.fixture
def two(book: Book) -> Book:
    import_entries(
        book,
        (
            sent(4, "S-1", ref="V-1", terms="by the kilo (version 1)"),
            sent(5, "S-2", ref="V-2", party="Highmoor Smelting", terms=""),
            settled(6, thing("S-2", says="Ag 3", how="settlement"), ref="V-2", party="Highmoor"),
        ),
    )
    work_out(book)
    return book


def test_what_was_sent_without_a_number_is_named_below_with_what_to_do(
    qtbot: QtBot, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    shown(qtbot, screen, two, background)
    assert not screen.unnumbered.isVisibleTo(screen)
    import_entries(two, [sent(7, "B-1", ref="")])
    screen.refresh()
    qtbot.waitUntil(lambda: screen.unnumbered.isVisibleTo(screen))
    assert screen.unnumbered.words.text() == (
        "Sent without a number: 1 item on 7 Jan 2031 to Lowland (entry 7). A settlement names its "
        "shipment by the number, so such a one cannot be settled: strike its entry and make the "
        "shipment up once more."
    )
    import_entries(two, [struck(8, 7)])
    screen.refresh()
    qtbot.waitUntil(lambda: not screen.unnumbered.isVisibleTo(screen))
    assert screen.model.rowCount() == 2


def test_shipments_stand_there_with_how_far_they_are(
    qtbot: QtBot, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    shown(qtbot, screen, two, background)
    assert column(screen.table, "Number") == ["V-1", "V-2"]
    assert column(screen.table, "To") == ["Lowland", "Highmoor Smelting"]
    assert column(screen.table, "State") == ["26 days late", "settled after 1 day"]
    assert screen.count.text() == "2 shipments, 1 not settled"
    assert screen.pane.heading.text() == "V-1"
    told = texts(screen.pane)
    assert (
        "Sent on 4 Jan 2031, 56 days ago; by its terms the settlement comes within 30 days. Ask "
        "Lowland where it is."
    ) in told
    assert "S-1 · 1 slag · 500.0 g" in told


def test_a_click_and_the_keys_choose_another_and_its_settlement_stands_beside(
    qtbot: QtBot, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    shown(qtbot, screen, two, background)
    click_row(qtbot, screen.table, 1)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "V-2")
    assert "Settled on 6 Jan 2031" in texts(screen.pane)
    assert screen.chosen_things() == Chosen(shipment="V-2")
    screen.setFocus()
    qtbot.keyClick(screen.table, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "V-1")


def test_its_items_entries_and_papers_are_a_click_away(
    qtbot: QtBot, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    shown(qtbot, screen, two, background)
    places: list[tuple[str, str]] = []
    papers: list[int] = []
    screen.place_wanted.connect(lambda name, choice: places.append((name, choice)))
    screen.papers_wanted.connect(papers.append)
    for words in ("S-1", "4"):
        link = next(x for x in screen.pane.findChildren(QPushButton) if x.text() == words)
        qtbot.mouseClick(link, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(screen.pane.papers_button, Qt.MouseButton.LeftButton)
    assert places == [("safe", "S-1"), ("daybook", "4")]
    assert papers == [4]


def test_a_shipment_is_chosen_by_its_number_and_found_by_a_word(
    qtbot: QtBot, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    screen.show_book(two)
    screen.choose("V-2")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "V-2")
    screen.set_filter("lowland")
    qtbot.waitUntil(lambda: column(screen.table, "Number") == ["V-1"])
    screen.set_filter("nobody")
    qtbot.waitUntil(screen.table_card.empty.isVisible)
    assert screen.table_card.empty.heading.text() == "No shipment matches “nobody”"


def test_before_the_first_shipment_it_says_what_to_do(
    qtbot: QtBot, screen: ShipmentsScreen, book: Book, background: Background
) -> None:
    shown(qtbot, screen, book, background)
    assert "Nothing was sent to a refinery yet" in texts(screen)
    screen.show_book(None)
    assert screen.model.rowCount() == 0


def test_no_button_beside_the_list_is_cut_off(
    qtbot: QtBot, holder: Holder, screen: ShipmentsScreen, two: Book, background: Background
) -> None:
    holder.resize(1280, 800)
    shown(qtbot, screen, two, background)
    pane = screen.pane
    buttons = [pane.settle_button, pane.papers_button, pane.own_button]
    qtbot.waitUntil(lambda: all(one.isVisible() for one in buttons))
    for one in buttons:
        assert one.fontMetrics().horizontalAdvance(one.text()) < one.width() - 16, one.text()
