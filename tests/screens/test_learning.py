"""What the house has learnt: its page, reached and left by hand, and what it says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from screens.holding import Holder, pick, press, texts
from screens.invented_learning import drifting, learning, learnt
from screens.invented_residues import InventedResidues, whole
from vault.application.queries.answers.learning import Learning
from vault.screens.background import Background
from vault.screens.charts.factor import FactorChart
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT
from vault.screens.numbers import Numbers
from vault.screens.residues.factor_card import FactorCard, verdict_words
from vault.screens.residues.screen import ResiduesScreen

NUMBERS = Numbers()


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


def opened(qtbot: QtBot, screen: ResiduesScreen) -> FactorCard:
    press(qtbot, screen.chart, "What residues keep …")
    qtbot.waitUntil(lambda: screen.findChild(FactorChart) is not None, timeout=20_000)
    return screen.learning.factor


# --- words --------------------------------------------------------------------------------------


def test_a_factor_that_holds_says_on_what_that_rests() -> None:
    told = verdict_words(learnt("spent cupel", "Ag"), NUMBERS)
    assert told == "The residues of 24 works were measured; no change in it is to be seen."


def test_a_few_measured_residues_are_too_few() -> None:
    factor = replace(learnt("spent cupel", "Ag"), measured=1, is_enough=False)
    assert verdict_words(factor, NUMBERS).startswith("The residues of 1 work was measured: too")


def test_a_factor_that_nobody_measured_is_still_the_guess() -> None:
    factor = replace(learnt("dust", "Ag"), measured=0, is_enough=False, marks=())
    assert "was assayed or settled yet: this is the first guess" in verdict_words(factor, NUMBERS)


def test_a_drift_is_told_with_its_day_its_size_and_its_chance() -> None:
    told = verdict_words(drifting("spent cupel", "Ag"), NUMBERS)
    assert told.startswith(
        "Since 12 Dec 2030 (entry 312) it has been 1.42 ± 0.11 %; before that it was 0.86 ± 0.05 %."
    )
    assert "fewer than 1 of 1\u202f000 shops where nothing changed" in told
    assert "Look at what did" in told


# --- the page -----------------------------------------------------------------------------------


def test_the_page_is_opened_by_its_button_and_left_by_its_button_or_escape(
    qtbot: QtBot, screen: ResiduesScreen
) -> None:
    card = opened(qtbot, screen)
    assert card.isVisible()
    assert not screen.table.isVisible()
    press(qtbot, screen, "Back to the residues")
    assert screen.table.isVisible()
    opened(qtbot, screen)

    def escaped() -> bool:
        # A shortcut is only in a window that is active, and without a screen none may stay so.
        screen.window().activateWindow()
        if screen.learning.back.isVisible():
            qtbot.keyClick(screen.learning.back, Qt.Key.Key_Escape)
        return screen.table.isVisible()

    qtbot.waitUntil(escaped)


def test_the_factor_of_choice_is_drawn(qtbot: QtBot, screen: ResiduesScreen) -> None:
    card = opened(qtbot, screen)
    assert card.heading.text() == "What the slag of smelting keeps of the silver fed"
    pick(card.kind, "spent cupel")
    assert card.heading.text() == "What the spent cupel keeps of the silver fed"
    pick(card.metal, "Au")
    assert card.kind.text() == "slag of smelting"
    assert card.heading.text() == "What the slag of smelting keeps of the gold fed"
    # The table beside it follows the metal.
    assert "What residues here keep of the gold" in texts(screen.learning.keeps)


def test_a_factor_that_drifts_is_shown_first_and_in_the_colour_of_attention(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.learning = Learning((learnt("slag of smelting", "Ag"), drifting("spent cupel", "Ag")))
    card = opened(qtbot, screen)
    assert card.kind.text() == "spent cupel"
    assert card.verdict.property("kind") == "attention"


def test_the_doubt_is_explained_for_the_metal_of_choice(
    qtbot: QtBot, screen: ResiduesScreen
) -> None:
    opened(qtbot, screen)
    told = texts(screen.learning.keeps)
    assert "What the ± of Ag comes from" in told
    assert "the guess of what slag of smelting usually keeps here" in told
    assert "48 %" in told


def test_what_residues_keep_stands_as_guessed_and_as_now_believed(
    qtbot: QtBot, screen: ResiduesScreen
) -> None:
    opened(qtbot, screen)
    told = texts(screen.learning.keeps)
    at = told.index("slag of smelting")
    assert told[at : at + 4] == [
        "slag of smelting",
        "1.0 ± 0.8 %",
        "0.83 ± 0.12 %",
        "no figure known",
    ]
    assert told[told.index("spent cupel") + 2] == "as guessed"


def test_it_is_reached_where_no_residues_are_on_hand(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.residues = replace(whole(()), totals={}, budget={})
    screen.refresh()
    qtbot.waitUntil(lambda: "No residues on hand" in texts(screen))
    press(qtbot, screen, "What residues keep …")
    qtbot.waitUntil(lambda: screen.findChild(FactorChart) is not None, timeout=20_000)
    press(qtbot, screen, "Back to the residues")
    assert "No residues on hand" in texts(screen)


def test_an_entry_recorded_meanwhile_leaves_the_page_open(
    qtbot: QtBot, screen: ResiduesScreen, background: Background
) -> None:
    card = opened(qtbot, screen)
    pick(card.kind, "spent cupel")
    screen.refresh()
    qtbot.waitUntil(lambda: background.is_idle)
    assert card.isVisible()
    assert card.kind.text() == "spent cupel"


def test_with_nothing_kept_yet_it_says_what_will_stand_there(
    qtbot: QtBot, screen: ResiduesScreen, shop: InventedResidues
) -> None:
    shop.learning = Learning(())
    press(qtbot, screen.chart, "What residues keep …")
    qtbot.waitUntil(
        lambda: any(one.startswith("Nothing is kept yet.") for one in texts(screen.learning.factor))
    )


# --- the chart ----------------------------------------------------------------------------------


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_the_chart_draws_guess_band_and_line_and_reads_them_out(qtbot: QtBot, look: object) -> None:
    chart = FactorChart(learnt("spent cupel", "Ag"), LIGHT if look is LIGHT else DARK, NUMBERS)
    qtbot.addWidget(chart)
    chart.resize(640, 360)
    chart.show()
    qtbot.waitUntil(lambda: chart.drawing is not None and not chart.drawing.is_rough)
    assert chart.accessibleName() == "what the spent cupel keeps of the silver, over time"
    assert chart.read_out.text().startswith("14 Mar 2031: 0.83 ± 0.05 % of the metal fed")
    image = chart.plot.grab().toImage()
    seen = {
        QColor(image.pixel(x, y)).name()
        for x in range(0, image.width(), 2)
        for y in range(image.height())
    }
    assert chart.look.metal("Ag").name() in seen
    assert chart.look.band.name() in seen


def test_a_factor_known_for_one_day_is_drawn_too(qtbot: QtBot) -> None:
    factor = learnt("dust", "Au")
    chart = FactorChart(replace(factor, points=factor.points[-1:]), LIGHT, NUMBERS)
    qtbot.addWidget(chart)
    chart.resize(500, 300)
    chart.show()
    chart.grab()
    assert np.array_equal(chart.curve.days, [float(date(2031, 3, 14).toordinal())])


def test_the_invented_factors_are_those_of_two_metals() -> None:
    assert {one.metal for one in learning().factors} == {"Ag", "Au"}
