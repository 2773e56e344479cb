"""Charts over time: which points are drawn, ticks, read-out, keys and pointer."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

import chart_samples
from vault.application.queries.answers.series import Series
from vault.screens.charts.axes import LEAST_DISTANCE_PX, tick_words, ticks_between
from vault.screens.charts.band import BandChart
from vault.screens.charts.chart import NOTHING_HERE, SeriesChart
from vault.screens.charts.columns import points_drawn
from vault.screens.charts.stacked_area import StackedArea, colours_of
from vault.screens.look import DARK, LIGHT, Look
from vault.screens.numbers import Numbers

# --- which points are drawn -----------------------------------------------------------------------


def drawn(values: list[float], columns: int) -> list[int]:
    x = np.arange(len(values), dtype=float)
    return list(points_drawn(x, np.array(values), 0.0, float(len(values) - 1), columns))


def test_all_points_are_drawn_while_they_fit() -> None:
    assert drawn([1, 2, 3, 4], 2) == [0, 1, 2, 3]


def test_a_spike_of_one_day_among_many_is_never_lost() -> None:
    values = [1.0] * 10_000
    values[4321] = 9.0
    values[8765] = 0.0
    kept = drawn(values, 100)
    assert {4321, 8765} <= set(kept)
    assert len(kept) <= 301


def test_lines_run_on_to_the_edge_of_what_is_seen() -> None:
    x = np.arange(100.0)
    kept = points_drawn(x, x, 40.5, 50.5, 1000)
    assert (kept[0], kept[-1]) == (40, 51)


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=400),
    st.integers(0, 60),
    st.floats(-20, 420),
    st.floats(0.1, 500),
)
def test_points_are_in_order_and_hold_the_extremes_of_what_is_seen(
    values: list[float], columns: int, left: float, width: float
) -> None:
    x, y = np.arange(len(values), dtype=float), np.array(values)
    kept = points_drawn(x, y, left, left + width, columns)
    assert np.all(np.diff(kept) > 0)
    seen = (x >= left) & (x <= left + width)
    if seen.any():
        assert y[kept].max() >= y[seen].max()
        assert y[kept].min() <= y[seen].min()


# --- ticks ----------------------------------------------------------------------------------------


def ordinals(first: date, last: date) -> tuple[float, float]:
    return float(first.toordinal()), float(last.toordinal())


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (
            date(2029, 3, 1),
            date(2031, 3, 1),
            ["Apr 2029", "Jul", "Oct", "Jan 2030", "Apr", "Jul", "Oct", "Jan 2031"],
        ),
        (
            date(2031, 3, 1),
            date(2031, 3, 9),
            ["1 Mar 2031", "2 Mar", "3 Mar", "4 Mar", "5 Mar", "6 Mar", "7 Mar", "8 Mar", "9 Mar"],
        ),
        (
            date(2000, 6, 1),
            date(2031, 3, 1),
            ["Jan 2005", "Jan 2010", "Jan 2015", "Jan 2020", "Jan 2025", "Jan 2030"],
        ),
    ],
)
def test_ticks_are_days_months_or_years_in_the_shops_words(
    first: date, last: date, words: list[str]
) -> None:
    ticks, by_month = ticks_between(*ordinals(first, last), 800)
    assert tick_words(ticks, by_month=by_month) == words


def test_weeks_begin_on_a_monday() -> None:
    ticks, _ = ticks_between(*ordinals(date(2031, 3, 1), date(2031, 5, 1)), 900)
    assert {one.weekday() for one in ticks} == {0}


@given(
    st.dates(date(1950, 1, 1), date(2080, 1, 1)),
    st.integers(1, 30_000),
    st.floats(60, 3000),
)
def test_ticks_stand_far_enough_apart_to_be_read(first: date, days: int, length: float) -> None:
    left, right = ordinals(first, first + timedelta(days=days))
    ticks, _ = ticks_between(left, right, length)
    places = [one.toordinal() for one in ticks]
    assert all(left <= one <= right for one in places)
    for one, other in itertools.pairwise(places):
        # February is shorter than the mean month.
        assert (other - one) / (right - left) * length >= LEAST_DISTANCE_PX * 0.9


# --- the charts -----------------------------------------------------------------------------------

KINDS = [StackedArea, BandChart]


@pytest.fixture
def stack(qtbot: QtBot) -> Iterator[StackedArea]:
    yield from shown(qtbot, StackedArea(chart_samples.stock_series(), LIGHT))


def shown(qtbot: QtBot, chart: SeriesChart) -> Iterator[SeriesChart]:
    qtbot.addWidget(chart)
    chart.resize(820, 300)
    chart.show()
    chart.setFocus()
    qtbot.waitUntil(lambda: chart._box.rect().width() > 300)
    # The axis learns how wide its words are when it first paints, and the plot gives way then.
    chart.grab()
    QApplication.sendPostedEvents()
    yield chart
    chart._smooth_again.stop()


def range_seen(chart: SeriesChart) -> tuple[float, float]:
    (left, right), _ = chart._box.viewRange()
    return left, right


def test_without_a_cursor_the_last_day_is_read_out(qtbot: QtBot) -> None:
    chart = StackedArea(chart_samples.stock_series(), LIGHT)
    qtbot.addWidget(chart)
    assert chart.read_out.text().startswith("12 Jun 2031: Ag 1\u202f")


def test_left_and_right_move_the_read_out_day_by_day(qtbot: QtBot, stack: StackedArea) -> None:
    qtbot.keyClick(stack, Qt.Key.Key_Home)
    assert stack.read_out.text().startswith("1 Mar 2029: Ag ")
    qtbot.keyClick(stack, Qt.Key.Key_Right)
    assert stack.read_out.text().startswith("8 Mar 2029: Ag ")
    qtbot.keyClick(stack, Qt.Key.Key_Left)
    qtbot.keyClick(stack, Qt.Key.Key_Left)
    assert stack.read_out.text().startswith("1 Mar 2029: Ag ")
    qtbot.keyClick(stack, Qt.Key.Key_End)
    assert stack.read_out.text().startswith("12 Jun 2031: Ag ")


def test_the_read_out_gives_total_doubt_forms_what_was_known_and_marks(
    stack: StackedArea,
) -> None:
    series = stack.figures.series
    place = series.days.index(series.marks[0][0]) - 1
    stack.stand_on(place)
    assert stack.read_out.text().replace("\u202f", " ") == (
        "24 Jan 2030: Ag 1 390 ± 40 g (as known then 1 430) · "
        "bars 340 · buttons 630 · slag 250 · spent cupels 160"
    )
    stack.stand_on(place + 1)
    assert stack.read_out.text().endswith("drum A sent, settled at 96 % of estimate")


def test_pointing_reads_out_the_nearest_day(qtbot: QtBot, stack: StackedArea) -> None:
    grabbed(stack)
    assert stack.drawing is not None
    scale = stack.drawing.scale_now()
    at = stack._box.mapToScene(QPointF(float(scale.x(stack.figures.days[[30]])[0]), 40))
    where = stack.plot.mapFromScene(at)
    qtbot.mouseMove(stack.plot.viewport(), where)
    assert stack.drawing.cursor_place == 30


def test_keys_zoom_at_the_cursor_and_show_all_again(qtbot: QtBot, stack: StackedArea) -> None:
    whole = range_seen(stack)
    qtbot.keyClick(stack, Qt.Key.Key_Home)
    qtbot.keyClick(stack, Qt.Key.Key_Plus)
    closer = range_seen(stack)
    assert closer[1] - closer[0] < (whole[1] - whole[0]) * 0.8
    qtbot.keyClick(stack, Qt.Key.Key_Minus)
    qtbot.keyClick(stack, Qt.Key.Key_0)
    assert range_seen(stack) == pytest.approx(whole)


def test_walking_beyond_what_is_seen_takes_the_view_along(qtbot: QtBot, stack: StackedArea) -> None:
    stack.stand_on(60)
    for _ in range(9):
        stack.zoom(1.4)
    for _ in range(20):
        qtbot.keyClick(stack, Qt.Key.Key_Right)
    left, right = range_seen(stack)
    assert left <= stack.figures.days[80] <= right


def test_the_wheel_zooms_the_days_and_never_the_grams(qtbot: QtBot, stack: StackedArea) -> None:
    before = range_seen(stack)
    middle = QPointF(stack.plot.viewport().rect().center())
    wheel = QWheelEvent(
        middle,
        stack.plot.viewport().mapToGlobal(middle),
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,  # noqa: FBT003  Qt gives no name
    )
    QApplication.sendEvent(stack.plot.viewport(), wheel)
    after = range_seen(stack)
    assert after[1] - after[0] < before[1] - before[0]
    _, (low, high) = stack._box.viewRange()
    (first, last) = np.searchsorted(stack.figures.days, after)
    assert low == 0
    assert high >= stack.figures.highest[first:last].max()


def test_no_one_can_lose_the_series_out_of_sight(stack: StackedArea) -> None:
    stack._box.setXRange(-1e7, -9e6, padding=0)
    left, right = range_seen(stack)
    assert left < stack.figures.days[-1]
    assert right > stack.figures.days[0]


def test_it_is_drawn_roughly_while_it_moves_and_smoothly_after(
    qtbot: QtBot, stack: StackedArea
) -> None:
    stack.zoom(1.4)
    drawing = stack.drawing
    assert drawing is not None
    assert drawing.is_rough
    qtbot.waitUntil(lambda: not drawing.is_rough)


@pytest.mark.parametrize("kind", KINDS)
def test_a_series_of_no_days_says_so(qtbot: QtBot, kind: type[SeriesChart]) -> None:
    chart = kind(Series("Pt", (), (), (), (), (), ()), LIGHT)
    qtbot.addWidget(chart)
    labels = [one.text() for one in chart.findChildren(QLabel)]
    assert NOTHING_HERE in labels
    qtbot.keyClick(chart, Qt.Key.Key_Left)


@pytest.mark.parametrize("kind", KINDS)
def test_a_single_day_is_a_column(qtbot: QtBot, kind: type[SeriesChart]) -> None:
    (chart,) = shown(qtbot, kind(chart_samples.stock_series(1), LIGHT))
    image = grabbed(chart)
    assert image.width() > 0


def test_a_form_a_little_below_zero_does_not_turn_the_stack_over(qtbot: QtBot) -> None:
    series = chart_samples.stock_series(4)
    below = (tuple(-1.0 for _ in series.days), *series.fine_g[1:])
    chart = StackedArea(replace(series, fine_g=below), LIGHT)
    qtbot.addWidget(chart)
    assert np.all(np.diff(chart.figures.stack, axis=0) >= 0)
    assert np.all(chart.figures.stack[0] == 0)


def test_figures_and_axis_are_in_the_readers_unit(qtbot: QtBot) -> None:
    chart = StackedArea(chart_samples.stock_series(), LIGHT, Numbers(unit="ozt", decimal_mark=","))
    qtbot.addWidget(chart)
    assert " ozt" in chart.read_out.text()
    # NIST Handbook 44, Appendix C: a troy ounce is 31.103 476 8 g.
    assert chart.figures.total[0] == pytest.approx(
        chart.figures.series.total_g[0] / 31.1034768, rel=1e-12
    )
    axis = chart.plot.getPlotItem().getAxis("left")
    assert axis.words_of(2.5, 0.5) == "2,5 ozt"


def test_the_legend_names_metal_forms_and_lines(stack: StackedArea) -> None:
    assert stack.legend.accessibleName() == (
        "Ag silver, bars, buttons, slag, spent cupels, total ± u, as known then"
    )


def test_what_was_never_known_otherwise_has_no_key(qtbot: QtBot) -> None:
    chart = BandChart(chart_samples.residue_series(), LIGHT)
    qtbot.addWidget(chart)
    assert chart.legend.accessibleName() == (
        "Ag silver, as now believed, ± one standard uncertainty"
    )


# --- colours at known places ----------------------------------------------------------------------


def grabbed(chart: SeriesChart) -> QImage:
    return chart.grab().toImage()


def colour_at(chart: SeriesChart, image: QImage, place: int, mass: float) -> QColor:
    assert chart.drawing is not None
    scale = chart.drawing.scale_now()
    at = QPointF(
        float(scale.x(chart.figures.days[[place]])[0]), float(scale.y(np.array([mass]))[0])
    )
    inside = chart.plot.mapFromScene(chart._box.mapToScene(at))
    on_chart = chart.plot.viewport().mapTo(chart, inside)
    return image.pixelColor(on_chart)


def flat_series() -> Series:
    """Bars 100 g, slag 100 g, from day to day the same."""
    days = tuple(date(2031, 1, 1) + timedelta(days=day) for day in range(60))
    hundred = tuple(100.0 for _ in days)
    return Series(
        "Ag",
        days,
        ("bar", "slag"),
        (False, True),
        (hundred, hundred),
        tuple(200.0 for _ in days),
        tuple(10.0 for _ in days),
    )


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
def test_solid_is_measured_and_hatched_is_residue(qtbot: QtBot, look: Look) -> None:
    maker = shown(qtbot, StackedArea(flat_series(), look))
    chart = next(maker)
    chart.setFocus()
    chart.clearFocus()
    image = grabbed(chart)
    solid = {colour_at(chart, image, place, 50).name() for place in range(10, 40)}
    hatched = {colour_at(chart, image, place, 150).name() for place in range(10, 40)}
    assert solid == {colours_of(chart.figures.series, look)[0].name()}
    assert len(hatched) > 3
    # Above the band there is nothing but the card.
    assert colour_at(chart, image, 30, 224).name() == look.card.name()
    # Within the band the ground is darkened, below and above the total's line.
    assert colour_at(chart, image, 30, 206).name() != look.card.name()
    next(maker, None)


def test_charts_are_imported_only_when_one_is_shown() -> None:
    import subprocess  # noqa: PLC0415  only this test starts a program
    import sys  # noqa: PLC0415  the same

    code = "import sys, vault.screens.charts; print('pyqtgraph' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
