"""The residues' screen, clicked and typed at as a reader does."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
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
from screens.invented import InventedShop, figure
from screens.invented_choice import best_first, first
from screens.invented_residues import (
    InventedResidues,
    many_containers,
    not_yet,
    nothing_priced,
    whole,
)
from vault.application.queries.answers.send_out import Ask
from vault.screens.background import Background
from vault.screens.charts.band import BandChart
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT
from vault.screens.numbers import Numbers
from vault.screens.residues.screen import ResiduesScreen, quoted
from vault.screens.send_out.why_dialog import WhyDialog


@pytest.fixture
def shop() -> InventedResidues:
    return InventedResidues()


@pytest.fixture
def screen(
    qtbot: QtBot,
    holder: Holder,
    shop: InventedResidues,
    background: Background,
    style: HouseStyle,
) -> ResiduesScreen:
    made = ResiduesScreen(shop.questions(), background, style, holder.commands)
    holder.show_screen(made)
    made.show_book("book")
    qtbot.waitUntil(lambda: background.is_idle and made.model.rowCount() > 0, timeout=20_000)
    return made


def test_what_is_locked_up_stands_large_with_its_doubt_and_worth(screen: ResiduesScreen) -> None:
    told = texts(screen.locked)
    told = told[told.index("Still locked up in residues") :]
    assert told[:5] == ["Still locked up in residues", "Ag 810", "± 30 g", "Au 10.6", "± 0.9 g"]
    assert "Worth 2\u202f080 ± 170 EUR at the prices of 14 Mar 2031." in told


def test_what_is_not_known_is_said_in_a_plain_sentence(screen: ResiduesScreen) -> None:
    sentence = "Not known and not counted: every metal of 3 items, Au of 2 items more."
    assert sentence in texts(screen.locked)
    label = next(one for one in screen.locked.findChildren(QWidget) if _says(one, sentence))
    assert "D-0001, D-0002, D-0003" in label.toolTip()


def _says(widget: object, words: str) -> bool:
    return getattr(widget, "text", str)() == words


def test_without_a_price_nothing_is_said_of_worth(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.residues = nothing_priced(shop.residues)
    screen.refresh()
    sentence = "No price is set, so nothing is said of its worth."
    qtbot.waitUntil(lambda: sentence in texts(screen.locked))


def test_a_metal_without_a_price_is_named(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    worth = replace(shop.residues.worth, unpriced=("Au", "Pd"))
    shop.residues = replace(shop.residues, worth=worth)
    screen.refresh()
    qtbot.waitUntil(
        lambda: any(one.endswith("Au without: no price is set.") for one in texts(screen.locked))
    )


def test_containers_stand_in_the_table_with_what_they_hold(screen: ResiduesScreen) -> None:
    assert titles(screen.table) == [
        "Container",
        "Holds",
        "Items",
        "Weight",
        "Ag fine",
        "Au fine",
        "Oldest",
        "Whose",
        "Care",
    ]
    assert column(screen.table, "Container") == [
        "drum C",
        "drum D",
        "tub 2",
        "tin 5",
        "no place noted",
    ]
    assert column(screen.table, "Weight")[-1] == "not weighed"
    assert column(screen.table, "Ag fine") == [
        "312 ± 17",
        "421 ± 25",
        "68 ± 9",
        "not known",
        "11 ± 6",
    ]
    assert column(screen.table, "Au fine")[2:4] == ["–", "not known"]
    assert column(screen.table, "Care") == ["lead", "silica", "silica", "lead", "silica"]


def test_the_first_container_is_chosen_with_its_caution(screen: ResiduesScreen) -> None:
    told = texts(screen.container)
    assert screen.container.heading.text() == "drum C: spent cupels"
    assert "64 items · 21.7 kg · oldest from 2 Nov 2030" in screen.container.what.text()
    assert "Ag 312 ± 17 g" in told
    assert any(one.startswith("Lead. Holds litharge") for one in texts(screen.verdict))
    assert "Not known and not counted: Au of 2 items." in told


def test_a_click_chooses_another_container(qtbot: QtBot, screen: ResiduesScreen) -> None:
    click_row(qtbot, screen.table, 1)
    assert screen.container.heading.text() == "drum D: slag"
    assert "3 not weighed" in screen.container.what.text()
    assert any(one.startswith("Silica") for one in texts(screen.verdict))


def test_what_could_be_done_is_asked_for_each_container_that_is_chosen(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    qtbot.waitUntil(lambda: bool(screen.container.choice.chart.rows))
    assert shop.choices_asked[-1] == (("drum C", "spent cupel"),)
    assert texts(screen.verdict)[0] == "Wait 7 weeks"
    click_row(qtbot, screen.table, 1)
    qtbot.waitUntil(lambda: shop.choices_asked[-1] == (("drum D", "slag"),))
    qtbot.waitUntil(lambda: bool(screen.container.choice.chart.rows))
    press(qtbot, screen.verdict, "Why, line by line …")
    [dialog] = screen.findChildren(WhyDialog)
    assert dialog.windowTitle() == "drum D: why, line by line"
    dialog.close()


@pytest.mark.parametrize(
    ("best", "is_filled"),
    [
        ("Send it now, “sheet 0”", True),
        ("Wait 7 weeks", False),
        ("Crush and smelt it here", False),
        ("Blend and sample it first", False),
        ("Keep it", False),
    ],
)
def test_making_up_a_shipment_is_the_main_button_only_where_sending_now_is_the_verdict(
    screen: ResiduesScreen, best: str, *, is_filled: bool
) -> None:
    card = screen.verdict
    card.show_choice(best_first(best, best))
    assert (card.ship_button.property("kind") == "first") is is_filled
    assert card.ship_button.isVisibleTo(card)
    card.show_choice(None)
    assert card.ship_button.property("kind") != "first"
    card.show_choice(first(Ask.PRICES))
    filled = [
        one.text() for one in card.findChildren(QPushButton) if one.property("kind") == "first"
    ]
    assert "Make up a shipment" not in filled


def test_a_button_and_enter_lead_to_its_items(qtbot: QtBot, screen: ResiduesScreen) -> None:
    with qtbot.waitSignal(screen.items_wanted) as wanted:
        press(qtbot, screen.verdict, "See its items")
    assert wanted.args == ['"drum C" "spent cupel"']
    click_row(qtbot, screen.table, 2)
    with qtbot.waitSignal(screen.items_wanted) as wanted:
        qtbot.keyClick(screen.table, Qt.Key.Key_Return)
    assert wanted.args == ['"tub 2" slag']
    assert quoted("", "dust") == "dust"


def test_the_safe_shows_what_was_wanted_and_the_field_says_so(
    qtbot: QtBot, window_of: WindowOf
) -> None:
    shop = InventedShop()
    window = window_of(shop)
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    window.go_to("lots")
    window.screen_named("lots").items_wanted.emit('"drum C" slag')
    assert window.shown == "safe"
    assert window.top_bar.text == '"drum C" slag'
    qtbot.waitUntil(
        lambda: [getattr(one, "text", "") for one in shop.asked[-1:]] == ['"drum C" slag']
    )
    window.go_to("lots", "L-118")
    assert window.top_bar.text == ""


def test_the_chart_shows_the_metal_of_choice(qtbot: QtBot, screen: ResiduesScreen) -> None:
    assert screen.findChild(BandChart).accessibleName() == "silver over time"
    pick(screen.chart.metal, "Au")
    qtbot.waitUntil(
        lambda: (
            [one.accessibleName() for one in screen.findChildren(BandChart)] == ["gold over time"]
        )
    )


def test_typing_leaves_only_what_matches(qtbot: QtBot, screen: ResiduesScreen) -> None:
    screen.set_filter("pennant drum")
    assert column(screen.table, "Container") == ["drum C", "drum D"]
    screen.set_filter('"tub 2"')
    assert column(screen.table, "Container") == ["tub 2"]
    screen.set_filter("nowhere")
    assert "No container matches “nowhere”" in texts(screen.table_card)
    assert screen.container.container is None
    screen.set_filter("")
    assert len(column(screen.table, "Container")) == 5


def test_a_title_sorts_and_once_more_the_other_way(qtbot: QtBot, screen: ResiduesScreen) -> None:
    click_title(qtbot, screen.table, "Ag fine")
    figures = column(screen.table, "Ag fine ↑")
    assert figures == ["11 ± 6", "68 ± 9", "312 ± 17", "421 ± 25", "not known"]
    click_title(qtbot, screen.table, "Ag fine ↑")
    # What is not known stays last, either way round.
    assert column(screen.table, "Ag fine ↓")[-1] == "not known"
    assert screen.container.heading.text() == "drum C: spent cupels"


def test_the_window_may_choose_a_container_by_its_place(screen: ResiduesScreen) -> None:
    screen.choose("tub 2")
    assert screen.container.heading.text() == "tub 2: slag"


def test_a_row_is_copied_with_tabs(qtbot: QtBot, screen: ResiduesScreen) -> None:
    qtbot.keyClick(screen.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert clipboard().split("\t")[:3] == ["drum C", "spent cupels", "64"]


def test_without_residues_it_says_what_would_stand_here(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.residues = replace(whole(()), totals={}, budget={})
    screen.refresh()
    qtbot.waitUntil(lambda: "No residues on hand" in texts(screen))


def test_before_the_figures_stand_it_says_so_and_offers_to_work_them_out(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues, holder: Holder
) -> None:
    shop.residues = not_yet()
    screen.refresh()
    qtbot.waitUntil(lambda: "What is locked up is not worked out yet" in texts(screen))
    with qtbot.waitSignal(holder.commands["work_out"].triggered):
        press(qtbot, screen, "Work the figures out again")


def test_units_and_look_change_at_once(
    qtbot: QtBot, screen: ResiduesScreen, style: HouseStyle
) -> None:
    style.choose(DARK, Numbers(unit="ozt", decimal_mark=","))
    assert "Ag 26,1" in texts(screen.locked)
    # Whatever the chart painted with before, it takes the look in use.
    qtbot.waitUntil(lambda: screen.findChild(BandChart).look is DARK)
    style.choose(LIGHT, Numbers())


def test_very_large_figures_give_way_in_size_and_not_in_room(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues, holder: Holder
) -> None:
    metals = ("Ag", "Au", "Pt", "Pd", "Rh", "Ir")
    totals = {metal: figure(1_204_310, 12_000) for metal in metals}
    shop.residues = replace(shop.residues, totals=totals)
    screen.refresh()
    qtbot.waitUntil(lambda: "Ir 1\u202f204\u202f000" in texts(screen.locked))
    holder.resize(900, 600)
    qtbot.waitUntil(lambda: screen.width() <= 900)
    assert screen.locked.minimumSizeHint().width() <= screen.width() / 2


@pytest.mark.parametrize("size", [(1280, 820), (900, 600), (1900, 1000)])
def test_no_card_lies_over_another(
    qtbot: QtBot, screen: ResiduesScreen, holder: Holder, size: tuple[int, int]
) -> None:
    holder.resize(*size)
    qtbot.waitUntil(lambda: screen.width() == size[0])
    cards = (
        screen.locked,
        screen.chart,
        screen.table_card,
        screen.container,
        screen.verdict,
    )
    for at, one in enumerate(cards):
        for other in cards[at + 1 :]:
            assert not one.geometry().intersects(other.geometry())
    assert screen.locked.height() == screen.chart.height() >= 262
    assert screen.container.geometry().right() <= screen.width()


def test_ten_thousand_containers_are_scrolled_to_the_end(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.residues = whole(many_containers(10_000))
    screen.refresh()
    qtbot.waitUntil(lambda: screen.model.rowCount() == 10_000)
    qtbot.keyClick(screen.table, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    assert screen.container.heading.text() == "drum 09999: slag"


def test_a_closed_book_leaves_nothing_behind(screen: ResiduesScreen) -> None:
    screen.show_book(None)
    assert screen.model.rowCount() == 0
    assert screen.container.container is None


def test_the_table_paints_marks_and_care_in_the_colours_of_the_look(
    qtbot: QtBot, screen: ResiduesScreen
) -> None:
    place = titles(screen.table).index("Care")
    cell = screen.table.visualRect(screen.model.index(0, place))
    image = screen.table.viewport().grab(cell).toImage()
    seen = {
        QColor(image.pixel(x, y)).name()
        for x in range(image.width())
        for y in range(image.height())
    }
    assert LIGHT.attention.name() in seen


def test_it_keeps_the_rules_of_a_qt_model(
    screen: ResiduesScreen, qtmodeltester: ModelTester
) -> None:
    qtmodeltester.check(screen.model)


def test_a_total_below_nothing_is_told_as_the_most_that_there_is(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.residues = replace(shop.residues, totals={**shop.residues.totals, "Pt": figure(-4, 6)})
    screen.refresh()
    # −4 + 1.96 · 6 = 7.8
    qtbot.waitUntil(lambda: "Pt 0 to 8" in texts(screen.locked))
