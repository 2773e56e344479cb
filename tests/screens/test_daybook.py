"""The daybook's screen, clicked and typed at as a reader does."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from screens.holding import Holder, click_row, clipboard, pick, press, texts, titles
from screens.invented_daybook import HEAD, STRIKE, STRUCK, InventedDaybook
from vault.application.queries.answers.daybook import ChainProof, DaybookQuery, FindingRow
from vault.core.daybook import Act
from vault.core.errors import VaultError
from vault.screens.background import Background
from vault.screens.daybook.findings import FindingCard
from vault.screens.daybook.screen import DaybookScreen
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.models.roles import CELL_ROLE
from vault.screens.widgets.table import told_when_pointed_at

ALL_HOLD = "✓  All 40 entries are as they were recorded  ·  head 2b29f0c1…"


@pytest.fixture
def shop() -> InventedDaybook:
    return InventedDaybook()


@pytest.fixture
def screen(
    qtbot: QtBot,
    holder: Holder,
    shop: InventedDaybook,
    background: Background,
    style: HouseStyle,
) -> Iterator[DaybookScreen]:
    made = DaybookScreen(shop.questions(), background, style, holder.commands)
    made.show_book("book")
    holder.show_screen(made)
    qtbot.waitUntil(lambda: made.pane.detail is not None and made.proof.proof is not None)
    yield made
    made.leave()


def words(screen: DaybookScreen, row: int) -> list[str]:
    model = screen.model
    return [str(model.index(row, place).data()) for place in range(model.columnCount())]


def shown_numbers(screen: DaybookScreen) -> list[int]:
    return [screen.model.number_at(row) for row in range(screen.model.rowCount())]


def last_query(shop: InventedDaybook) -> DaybookQuery:
    return [one for one in shop.asked if isinstance(one, DaybookQuery)][-1]


def test_every_entry_stands_in_the_table_newest_first(screen: DaybookScreen) -> None:
    assert titles(screen.table) == ["Entry", "When", "Who", "Act", "What"]
    assert shown_numbers(screen)[:3] == [40, 39, 38]
    assert words(screen, 1)[:4] == ["39", "3 Feb 2031, 09:05", "Imke", "weigh"]
    assert words(screen, 0)[1] == "2 Feb 2031"
    assert screen.tools.count.text() == "40 entries"


def test_the_newest_entry_is_chosen_and_told_in_full(screen: DaybookScreen) -> None:
    assert screen.pane.heading.text() == "Entry 40"
    told = texts(screen.pane)
    assert "Its 2 lines" in told
    assert "used K-0040-1" in told
    assert "recorded 6 Mar 2031, 10:17" in told
    assert " ".join(["2b29f0c1"] * 8) in told


def test_a_struck_entry_is_struck_through_with_its_reason(
    qtbot: QtBot, screen: DaybookScreen
) -> None:
    row = screen.model.place_of(STRUCK)
    assert row is not None
    cell = screen.model.index(row, 4).data(CELL_ROLE)
    assert cell.is_struck
    assert cell.after == "struck by entry 13: wrong drum"
    assert not screen.model.index(0, 4).data(CELL_ROLE).is_struck
    click_row(qtbot, screen.table, row)
    qtbot.waitUntil(lambda: "Struck, because: wrong drum" in texts(screen.pane))
    press(qtbot, screen.pane, "by entry 13")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == f"Entry {STRIKE}")
    assert "It strikes, because: wrong drum" in texts(screen.pane)


def test_the_line_through_a_struck_entry_is_painted(screen: DaybookScreen) -> None:
    row = screen.model.place_of(STRUCK)
    assert row is not None
    screen.table.scrollTo(screen.model.index(row, 0))
    cell = screen.table.visualRect(screen.model.index(row, 4))
    image = screen.table.viewport().grab(cell).toImage()
    lines = [
        sum(QColor(image.pixel(x, y)).lightness() < LIGHT.card.lightness() - 60 for x in range(160))
        for y in range(8, image.height() - 8)
    ]
    assert max(lines) > 140


def test_what_is_cut_is_told_when_pointed_at(screen: DaybookScreen) -> None:
    row = screen.model.place_of(STRUCK)
    assert row is not None
    cell = screen.model.index(row, 4)
    narrow = screen.table.visualRect(cell)
    narrow.setWidth(80)
    told = told_when_pointed_at(cell, narrow)
    assert told.startswith("K-0012 and what was done")
    assert told.endswith("struck by entry 13: wrong drum")
    wide = screen.table.visualRect(screen.model.index(0, 0))
    assert told_when_pointed_at(screen.model.index(0, 0), wide) == ""


def test_typing_filters_and_keeps_the_chosen_entry(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    screen.set_filter("K-0017")
    qtbot.waitUntil(lambda: shown_numbers(screen) == [17])
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "Entry 17")
    assert last_query(shop).text == "K-0017"
    screen.set_filter("nowhere")
    qtbot.waitUntil(lambda: "No entry is like that" in texts(screen.table_card))
    screen.set_filter("")
    qtbot.waitUntil(lambda: len(shown_numbers(screen)) == 40)


def test_one_act_alone_without_struck_ones_oldest_first(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    pick(screen.tools.act, "work")
    qtbot.waitUntil(lambda: shown_numbers(screen) == [37, 32, 27, 22, 17, 12, 7, 2])
    pick(screen.tools.struck, "without struck ones")
    qtbot.waitUntil(lambda: 12 not in shown_numbers(screen))
    pick(screen.tools.order, "oldest first")
    qtbot.waitUntil(lambda: shown_numbers(screen)[:2] == [2, 7])
    assert last_query(shop) == DaybookQuery("", Act.WORK, struck_too=False, newest_first=False)
    pick(screen.tools.act, "sell")
    qtbot.waitUntil(lambda: any("Choose every act" in one for one in texts(screen.table_card)))


def test_the_proof_is_made_once_when_the_daybook_is_opened(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook, background: Background
) -> None:
    assert screen.proof.words.text() == ALL_HOLD
    screen.hide()
    screen.show()
    screen.refresh()
    qtbot.waitUntil(lambda: background.is_idle)
    assert shop.proofs == 1
    press(qtbot, screen.proof, "Prove it again")
    qtbot.waitUntil(lambda: shop.proofs == 2 and screen.proof.button.text() == "Prove it again")
    press(qtbot, screen.proof, "Copy the head")
    assert clipboard() == HEAD


def test_entries_that_came_since_are_proven_too(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.entries = 41
    screen.refresh()
    qtbot.waitUntil(lambda: screen.proof.words.text() == ALL_HOLD.replace("40", "41"))
    assert shop.proofs == 2


def test_an_altered_entry_is_told_in_the_colour_of_attention(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.broken = "Entry 12 is not as it was recorded. (1 fault(s) in all)"
    press(qtbot, screen.proof, "Prove it again")
    qtbot.waitUntil(lambda: screen.proof.words.text() == shop.broken)
    assert screen.proof.words.property("kind") == "attention"


def test_a_long_proof_tells_how_far_it_is_and_can_be_stopped(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.proof_steps = 100_000
    press(qtbot, screen.proof, "Prove it again")
    qtbot.waitUntil(lambda: screen.proof.words.text().endswith("of 100\u202f000"))
    press(qtbot, screen.proof, "Stop")
    qtbot.waitUntil(lambda: screen.proof.words.text().startswith("Stopped after"))
    assert screen.proof.button.text() == "Prove it again"


def test_leaving_stops_a_proof(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook, background: Background
) -> None:
    shop.proof_steps = 100_000
    press(qtbot, screen.proof, "Prove it again")
    qtbot.waitUntil(lambda: shop.proofs == 2)
    screen.leave()
    assert background.is_idle


def test_a_proof_that_fails_is_reported_and_not_taken_for_one(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook, background: Background
) -> None:
    shop.proof_steps = -1
    failures: list[object] = []
    background.failed.connect(failures.append)

    def fail(book: object, progress: object) -> ChainProof:
        raise VaultError("The disk is gone.")

    screen.proof._chain_proof = fail
    press(qtbot, screen.proof, "Prove it again")
    qtbot.waitUntil(lambda: screen.proof.words.text() == "The proof could not be made.")
    assert [str(one) for one in failures] == ["The disk is gone."]


def test_findings_are_folded_until_they_are_wanted(screen: DaybookScreen) -> None:
    assert screen.findings.button.text() == "2 things do not add up"
    assert not screen.findings.is_open
    screen.choose("findings")
    assert screen.findings.is_open
    cards = screen.findings.findChildren(FindingCard)
    assert len(cards) == 2
    told = texts(cards[0])
    assert told[0] == "R-0229 and R-0230 may have been swapped. Look at the two labels."
    assert "·  R-0230 in entry 8, R-0229 in entry 17." in told
    assert [one.property("kind") for one in cards] == ["caution", "note"]


def test_the_chosen_entry_stays_in_sight_when_the_findings_unfold(
    qtbot: QtBot, screen: DaybookScreen
) -> None:
    row = screen.model.place_of(screen.model.number_at(0) - 17)
    assert row is not None
    screen.table.choose_row(row)
    screen.choose("findings")

    def is_seen() -> bool:
        place = screen.table.visualRect(screen.model.index(row, 0))
        return screen.table.viewport().rect().contains(place)

    qtbot.waitUntil(lambda: screen.findings.area.isVisible() and is_seen())


def test_a_finding_leads_to_its_entries_and_items(qtbot: QtBot, screen: DaybookScreen) -> None:
    screen.choose("findings")
    press(qtbot, screen.findings, "17")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "Entry 17")
    assert screen.model.number_at(screen.table.currentIndex().row()) == 17
    with qtbot.waitSignal(screen.place_wanted) as wanted:
        press(qtbot, screen.findings, "R-0230")
    assert wanted.args == ["safe", "R-0230"]


def test_many_findings_leave_room_for_the_daybook(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.findings = [
        FindingRow(f"B-{one:04} is lighter than the book says.", "", (), (), "look")
        for one in range(150)
    ]
    screen.refresh()
    qtbot.waitUntil(lambda: screen.findings.button.text() == "150 things do not add up")
    screen.choose("findings")
    assert "and 50 more; settle those above first" in texts(screen.findings)
    assert screen.findings.area.height() < screen.height() / 2
    assert screen.table_card.height() > 150


def test_without_findings_nothing_is_red(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.findings = ()
    screen.refresh()
    qtbot.waitUntil(screen.findings.isHidden)


def test_an_entry_asked_for_by_number_is_shown_whatever_is_typed(
    qtbot: QtBot, screen: DaybookScreen
) -> None:
    screen.set_filter("K-0003")
    qtbot.waitUntil(lambda: shown_numbers(screen) == [3])
    screen.choose("17")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "Entry 17")
    qtbot.waitUntil(lambda: len(shown_numbers(screen)) == 40)
    assert screen.model.number_at(screen.table.currentIndex().row()) == 17
    told = texts(screen.pane)
    assert "What leans on it; it can only be struck after these" in told
    press(qtbot, screen.pane, "20")
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "Entry 20")
    with qtbot.waitSignal(screen.place_wanted) as wanted:
        press(qtbot, screen.pane, "K-0020")
    assert wanted.args == ["safe", "K-0020"]


def test_a_name_that_is_no_entry_changes_nothing(screen: DaybookScreen) -> None:
    screen.choose("B-0001")
    assert screen.pane.heading.text() == "Entry 40"


def test_an_entry_of_many_lines_shows_the_first_and_all_when_asked(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.lines = 400
    screen.choose("5")
    qtbot.waitUntil(lambda: "Its 400 lines" in texts(screen.pane))
    assert "used K-0005-399" not in texts(screen.pane)
    press(qtbot, screen.pane, "Show all 400 lines")
    qtbot.waitUntil(lambda: "used K-0005-399" in texts(screen.pane))


def test_an_entry_is_copied_as_text(qtbot: QtBot, screen: DaybookScreen) -> None:
    press(qtbot, screen.pane, "Copy")
    lines = clipboard().split("\n")
    assert lines[0] == "Entry 40, receive, 2 Feb 2031, Imke"
    assert lines[-1] == f"head {HEAD}"


def test_an_empty_daybook_says_what_to_do(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook, holder: Holder
) -> None:
    shop.entries = 0
    screen.refresh()
    qtbot.waitUntil(lambda: "This daybook is empty" in texts(screen))
    with qtbot.waitSignal(holder.commands["import"].triggered):
        press(qtbot, screen, "Read a daybook in …")


def test_a_hundred_thousand_entries_are_scrolled_to_the_end_a_page_at_a_time(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    shop.entries = 100_000
    screen.refresh()
    qtbot.waitUntil(lambda: screen.model.rowCount() == 100_000, timeout=20_000)
    asked = len(shop.asked)
    qtbot.keyClick(screen.table, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: screen.model.row_at(99_999) is not None)
    assert words(screen, 99_999)[0] == "1"
    pages = [one for one in shop.asked[asked:] if isinstance(one, int)]
    assert sum(pages) < 2_000
    qtbot.waitUntil(lambda: screen.pane.heading.text() == "Entry 1")


def test_another_book_is_proven_anew(
    qtbot: QtBot, screen: DaybookScreen, shop: InventedDaybook
) -> None:
    screen.show_book("another")
    screen.hide()
    screen.show()
    qtbot.waitUntil(lambda: shop.proofs == 2 and screen.proof.proof is not None)
    screen.show_book(None)
    assert screen.proof.proof is None
    assert screen.model.rowCount() == 0
    assert screen.pane.detail is None


def test_it_keeps_the_rules_of_a_qt_model(
    screen: DaybookScreen, qtmodeltester: ModelTester
) -> None:
    qtmodeltester.check(screen.model)
