"""Charts against the approved pictures."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

import chart_samples
from pictures.comparing import Pictures
from vault.application.queries.answers.series import Series
from vault.screens.charts.band import BandChart
from vault.screens.charts.chart import SeriesChart
from vault.screens.charts.ranges import Range, RangesChart
from vault.screens.charts.stacked_area import StackedArea
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look, face, load_face
from vault.screens.numbers import Numbers


@pytest.mark.parametrize(
    ("name", "kind", "series", "look"),
    [
        ("stock", StackedArea, chart_samples.stock_series(), LIGHT),
        ("stock_dark", StackedArea, chart_samples.stock_series(), DARK),
        ("stock_of_one_day", StackedArea, chart_samples.stock_series(1, metal="Au"), LIGHT),
        ("residues", BandChart, chart_samples.residue_series(), LIGHT),
    ],
)
def test_a_chart_looks_as_approved(
    qtbot: QtBot, name: str, kind: type[SeriesChart], series: Series, look: Look, pictures: Pictures
) -> None:
    load_face()
    QApplication.setFont(face())
    chart = kind(series, look)
    qtbot.addWidget(chart)
    chart.setStyleSheet(f"QWidget {{ background: {look.card.name()}; color: {look.ink.name()}; }}")
    chart.resize(820, 280)
    chart.show()
    if len(series.days) > 1:
        chart.stand_on(len(series.days) // 2)
    # The axis learns how wide its words are when it first paints, and the plot gives way then.
    chart.grab()
    QApplication.sendPostedEvents()
    qtbot.waitUntil(lambda: chart.drawing is not None and not chart.drawing.is_rough)
    pictures.compare(name, chart.grab().toImage())


@pytest.mark.parametrize(("name", "look"), [("choices", LIGHT), ("choices_dark", DARK)])
def test_choices_look_as_approved(qtbot: QtBot, name: str, look: Look, pictures: Pictures) -> None:
    load_face()
    QApplication.setFont(face())
    chart = RangesChart(HouseStyle(look))
    qtbot.addWidget(chart)
    chart.setStyleSheet(f"background: {look.card.name()}")
    chart.resize(780, 200)
    rows = (
        Range("Send drum C now, terms “by the kilo”", 310, 220, 400, "310 ± 90"),
        Range("Wait 7 weeks, then send by the kilo", 395, 280, 510, "395 ± 115", is_best=True),
        Range("Crush and smelt it here", 140, -20, 300, "140 ± 160"),
        Range("Keep it, decide next quarter", 0, 0, 0, "0"),
    )
    chart.show_rows(rows, Numbers().money)
    chart.show()
    pictures.compare(name, chart.grab().toImage())
