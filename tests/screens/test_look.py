"""The two looks: readable, in the program's own face, with every sign."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QFontDatabase, QFontMetricsF, QRawFont
from PySide6.QtWidgets import QApplication

from vault.application.resources import resource
from vault.screens.look import DARK, FACE, LIGHT, Look, face, mixed
from vault.screens.style_sheet import style_sheet


def linear(colour: QColor) -> list[float]:
    channels = (colour.redF(), colour.greenF(), colour.blueF())
    return [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels]


def luminance(colour: QColor) -> float:
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """WCAG 2.1, “contrast ratio”."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_everything_written_is_readable(look: Look) -> None:
    for ink in (look.ink, look.soft_ink, look.accent, look.attention, look.fine):
        for ground in (look.paper, look.card):
            assert contrast(ink, ground) >= 4.5, (ink.name(), ground.name())
    assert contrast(look.on_accent, look.accent) >= 4.5
    assert contrast(look.rail_ink, look.rail) >= 4.5
    assert contrast(look.ink, look.chosen) >= 4.5
    assert contrast(look.ink, look.band) >= 4.5
    soft_on_rail = mixed(look.rail_ink, look.rail, 0.3)
    assert contrast(soft_on_rail, look.rail) >= 4.5


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_forms_beyond_the_hues_of_a_metal_grow_paler_and_stay_apart(look: Look) -> None:
    shades = [look.shade("Ag", step).name() for step in range(5)]
    assert len(set(shades)) == 5
    assert look.metal("Xx") == look.base


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_the_style_sheet_leaves_nothing_open(look: Look) -> None:
    sheet = style_sheet(look)
    assert "$" not in sheet
    assert look.accent.name() in sheet


def test_the_face_ships_with_digits_of_one_width(qapp: QApplication) -> None:
    assert FACE in QFontDatabase.families()
    for bold in (False, True):
        metrics = QFontMetricsF(face(bold=bold))
        assert len({metrics.horizontalAdvance(digit) for digit in "0123456789"}) == 1


def test_the_face_has_every_sign_that_the_screens_write() -> None:
    signs = "±‰–−·…“”’×↑↓→←≥\u202fäöüßéñøłž"
    for name in ("Regular", "Bold"):
        raw = QRawFont(str(resource(f"fonts/Lato-{name}.ttf")), 14)
        missing = [sign for sign in signs if not raw.glyphIndexesForString(sign)[0]]
        assert missing == []
