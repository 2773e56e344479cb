"""Choices side by side: where dots and lines lie, round steps of the scale, and its words."""

from __future__ import annotations

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QHelpEvent, QImage
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from vault.screens.charts import ranges
from vault.screens.charts.ranges import Range, RangesChart, round_steps
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT, face, load_face
from vault.screens.numbers import Numbers

ROWS = (
    Range("Send drum C now, terms “by the kilo”", 310, 220, 400, "310 ± 90"),
    Range("Wait 7 weeks, then send by the kilo", 395, 280, 510, "395 ± 115", is_best=True),
    Range("Crush and smelt it here", 140, -20, 300, "140 ± 160", more="one time in five a loss"),
    Range("Keep it, decide next quarter", 0, 0, 0, "0"),
)


@pytest.fixture
def chart(qtbot: QtBot) -> RangesChart:
    load_face()
    QApplication.setFont(face())
    made = RangesChart(HouseStyle(LIGHT))
    qtbot.addWidget(made)
    made.setStyleSheet(f"background: {LIGHT.card.name()}")
    made.resize(760, 200)
    made.show_rows(ROWS, Numbers().money)
    made.show()
    return made


def has_colour(image: QImage, colour: str, box: tuple[int, int, int, int]) -> bool:
    left, top, right, bottom = box
    return any(
        image.pixelColor(x, y).name() == colour
        for x in range(left, right)
        for y in range(top, bottom)
    )


def test_the_steps_of_a_scale_as_its_description_says() -> None:
    assert doctest.testmod(ranges).failed == 0
    assert doctest.testmod(ranges).attempted > 0


@given(st.floats(-1e7, 1e7), st.floats(0.01, 1e7), st.integers(1, 12))
def test_steps_are_round_inside_the_ends_and_never_too_many(
    low: float, span: float, most: int
) -> None:
    steps = round_steps(low, low + span, most)
    assert len(steps) <= most + 1
    assert all(low - 1e-6 * span <= one <= low + span + 1e-6 * span for one in steps)
    if len(steps) > 1:
        step = steps[1] - steps[0]
        first_digit = step / 10.0 ** math.floor(math.log10(step * 1.001))
        assert min(abs(first_digit - one) for one in (1, 2, 5)) < 0.01


def test_the_best_choice_alone_is_drawn_in_the_accent(chart: RangesChart) -> None:
    image = chart.grab().toImage()
    row = 28
    for number, one in enumerate(ROWS):
        box = (0, number * row, image.width(), (number + 1) * row)
        assert has_colour(image, LIGHT.accent.name(), box) is one.is_best


def test_of_two_dots_the_higher_figure_lies_further_to_the_right(chart: RangesChart) -> None:
    image = chart.grab().toImage()

    def dots(number: int, colour: str) -> list[int]:
        # Above and below the line of the range there is nothing but the dot.
        y = number * 28 + 14 - 4
        return [x for x in range(image.width()) if image.pixelColor(x, y).name() == colour]

    first, best = dots(0, LIGHT.soft_ink.name()), dots(1, LIGHT.accent.name())
    assert first
    assert best
    assert max(first) < min(best)


def test_figures_are_told_to_who_does_not_see_them(chart: RangesChart) -> None:
    assert "Wait 7 weeks, then send by the kilo: 395 ± 115" in chart.accessibleDescription()


def test_a_row_says_more_when_it_is_pointed_at(qtbot: QtBot, chart: RangesChart) -> None:
    place = QPoint(300, 2 * 28 + 10)
    QApplication.sendEvent(
        chart, QHelpEvent(QHelpEvent.Type.ToolTip, place, chart.mapToGlobal(place))
    )
    qtbot.waitUntil(lambda: QToolTip.text() == "one time in five a loss")
    QToolTip.hideText()


@pytest.mark.parametrize("rows", [(), ROWS[:1], (Range("Keep it", 0, 0, 0, "0"),), ROWS * 20])
def test_nothing_one_row_and_many_rows_are_drawn(
    chart: RangesChart, rows: tuple[Range, ...]
) -> None:
    chart.show_rows(rows, Numbers().money)
    assert not chart.grab().isNull()
    assert chart.height() == len(rows) * 28 + 24


def test_a_long_name_gives_way_to_the_scale(chart: RangesChart) -> None:
    long = Range("Send " + "everything " * 30, 5, 1, 9, "5 ± 4")
    chart.show_rows((long,), Numbers().money)
    image = chart.grab().toImage()
    assert has_colour(image, LIGHT.soft_ink.name(), (340, 0, 760, 30))
    assert chart.focusPolicy() is Qt.FocusPolicy.NoFocus
