"""The two looks: readable, and told apart by colour-blind readers."""

from __future__ import annotations

from itertools import combinations

import pytest
from PySide6.QtGui import QColor, QFontDatabase, QFontMetricsF, QRawFont
from PySide6.QtWidgets import QApplication

from vault.application.resources import resource
from vault.screens.look import DARK, FACE, LIGHT, Look, face, mixed
from vault.screens.style_sheet import style_sheet

# Linear RGB as people see it who lack the red or the green cones, and those who lack the blue:
# Viénot, Brettel and Mollon 1999 for the first two; the third from memory, common practice.
SEEN_BY = {
    "protanope": ((0.11238, 0.88762, 0.0), (0.11238, 0.88762, 0.0), (0.00401, -0.00401, 1.0)),
    "deuteranope": ((0.29275, 0.70725, 0.0), (0.29275, 0.70725, 0.0), (-0.02234, 0.02234, 1.0)),
    "tritanope": ((1.0, 0.15236, -0.15236), (0.0, 0.86717, 0.13283), (0.0, 0.86717, 0.13283)),
}


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


def lab(rgb: list[float]) -> tuple[float, float, float]:
    """CIE L*a*b* from linear sRGB, white D65."""
    x = (0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505
    y = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
    z = (0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.089
    fx, fy, fz = (
        one ** (1 / 3) if one > 0.008856 else 7.787 * one + 16 / 116
        for one in (max(x, 0), max(y, 0), max(z, 0))
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def apart(one: QColor, other: QColor, eye: str) -> float:
    def seen(colour: QColor) -> tuple[float, float, float]:
        rgb = linear(colour)
        return lab([sum(m * c for m, c in zip(row, rgb, strict=True)) for row in SEEN_BY[eye]])

    return sum((a - b) ** 2 for a, b in zip(seen(one), seen(other), strict=True)) ** 0.5


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
@pytest.mark.parametrize("eye", SEEN_BY)
def test_the_first_lots_of_a_trace_are_told_apart_by_every_eye(look: Look, eye: str) -> None:
    for one, other in combinations(look.origins[:5], 2):
        assert apart(one, other, eye) > 10, (one.name(), other.name())


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_forms_beyond_the_hues_of_a_metal_grow_paler_and_stay_apart(look: Look) -> None:
    shades = [look.shade("Ag", step).name() for step in range(5)]
    assert len(set(shades)) == 5
    assert look.metal("Xx") == look.base
    assert look.origin(0) == look.origin(len(look.origins))


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
