"""The picture of a trace against the approved one."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

import trace_samples
from pictures.comparing import PART_OF_PIXELS, Pictures, part_that_differs
from vault.application.queries.answers.trace import Trace
from vault.screens.look import DARK, LIGHT, Look, load_face
from vault.screens.numbers import Numbers
from vault.screens.trace.layout import Measures
from vault.screens.trace.view import TraceScene
from vault.screens.trace.wording import Wording, set_of


def painted(trace: Trace, look: Look) -> QImage:
    load_face()
    wording = Wording(trace, Numbers())
    made = set_of(wording)
    layout = made.laid_out(Measures())
    scene = TraceScene(wording, made, layout, look)
    image = QImage(round(layout.width), round(layout.height), QImage.Format.Format_RGB32)
    image.fill(look.card)
    painter = QPainter(image)
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    scene.render(painter)
    painter.end()
    return image


@pytest.mark.parametrize(
    ("name", "sample", "look"),
    [
        ("trace_of_a_bar", trace_samples.bar_trace, LIGHT),
        ("trace_of_a_bar_dark", trace_samples.bar_trace, DARK),
        ("trace_folded", trace_samples.folded_trace, LIGHT),
        ("trace_of_one_item", trace_samples.lone_trace, LIGHT),
    ],
)
def test_the_trace_looks_as_approved(
    qapp: QApplication, name: str, sample: Callable[[], Trace], look: Look, pictures: Pictures
) -> None:
    pictures.compare(name, painted(sample(), look))


def test_the_comparison_sees_a_missing_line(qapp: QApplication) -> None:
    whole = painted(trace_samples.bar_trace(), LIGHT)
    changed = whole.copy()
    painter = QPainter(changed)
    painter.fillRect(60, 60, 120, 90, Qt.GlobalColor.white)
    painter.end()
    assert part_that_differs(whole, whole) == 0
    assert part_that_differs(whole, changed) > PART_OF_PIXELS
