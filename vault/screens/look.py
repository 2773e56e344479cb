"""How the program looks: its colours in the light and the dark look, its face, its measures.

A metal is always named by its symbol as well as its hue; solid is measured, hatched is worked
out; red is only for what needs attention.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontDatabase, QGuiApplication

from vault.application.resources import resource

FACE = "Lato"
_FACE_FILES = ("fonts/Lato-Regular.ttf", "fonts/Lato-Bold.ttf")


class Size(Enum):
    """Sizes of type, in pixels of a 100 % screen."""

    SMALL = 12
    SECOND = 13
    BODY = 14
    TITLE = 16
    HEADING = 20
    LARGE = 30


# Measures in pixels of a 100 % screen. Rows and buttons are high enough for a gloved hand.
GAP = 14
CARD_RADIUS = 8
CARD_PADDING = 16
ROW_HEIGHT = 30
BUTTON_HEIGHT = 38
# On forms of recording, which are used with gloves on.
FIELD_HEIGHT = 44
ANSWER_HEIGHT = 34
RAIL_WIDTH = 132


@dataclass(frozen=True, slots=True)
class Look:
    """The colours of one look.

    Attributes:
        name: `light` or `dark`.
        paper, card: the ground of the window and of what lies on it.
        ink, soft_ink: what is read first, and what is read second.
        line: thin lines and frames.
        band: headings of groups and quiet notes.
        chosen: the ground of the chosen row.
        rail, rail_ink, rail_chosen, rail_mark: the rail on the left.
        accent, on_accent: the one accent, and what is written on it.
        attention: only for what needs attention.
        fine: what is in order.
        base: base metals.
        metals: hues of each metal, darkest (first form) to lightest.
    """

    name: str
    paper: QColor
    card: QColor
    ink: QColor
    soft_ink: QColor
    line: QColor
    band: QColor
    chosen: QColor
    rail: QColor
    rail_ink: QColor
    rail_chosen: QColor
    rail_mark: QColor
    accent: QColor
    on_accent: QColor
    attention: QColor
    fine: QColor
    base: QColor
    metals: Mapping[str, tuple[QColor, ...]]

    @property
    def is_dark(self) -> bool:
        """Whether this is the look for a dark workshop."""
        return self.name == "dark"

    def metal(self, symbol: str) -> QColor:
        """Give the hue by which a metal is known; always write its symbol as well."""
        return self.metals.get(symbol, (self.base,))[0]

    def shade(self, symbol: str, step: int) -> QColor:
        """Give the hue of the form at `step` of a stack of forms, darkest first."""
        hues = self.metals.get(symbol, (self.base,))
        if step < len(hues):
            return hues[step]
        return mixed(hues[-1], self.card, min(0.65, 0.25 * (step - len(hues) + 1)))


def _hues(*names: str) -> tuple[QColor, ...]:
    return tuple(QColor(name) for name in names)


LIGHT = Look(
    name="light",
    paper=QColor("#F5F2EC"),
    card=QColor("#FFFDF9"),
    ink=QColor("#26241F"),
    soft_ink=QColor("#6F6A60"),
    line=QColor("#DDD6C9"),
    band=QColor("#EFEADF"),
    chosen=QColor("#E3EEEA"),
    rail=QColor("#2F3A3C"),
    rail_ink=QColor("#E9E4D8"),
    rail_chosen=QColor("#3F4C4E"),
    rail_mark=QColor("#E0B04A"),
    accent=QColor("#0E6B6B"),
    on_accent=QColor("#FFFFFF"),
    attention=QColor("#A63D2F"),
    fine=QColor("#3F7A4E"),
    base=QColor("#B5533C"),
    metals={
        "Ag": _hues("#4F7492", "#7A9BB5", "#A9C0D1"),
        "Au": _hues("#A06C10", "#C98A1B", "#E0B566"),
        "Pt": _hues("#5E7F6B", "#86A391", "#AFC4B7"),
        "Pd": _hues("#8A4A68", "#A0627F", "#C296AC"),
    },
)

DARK = Look(
    name="dark",
    paper=QColor("#1B1E1D"),
    card=QColor("#252927"),
    ink=QColor("#EDE8DC"),
    soft_ink=QColor("#ABA598"),
    line=QColor("#3D423F"),
    band=QColor("#303532"),
    chosen=QColor("#21403E"),
    rail=QColor("#121615"),
    rail_ink=QColor("#E9E4D8"),
    rail_chosen=QColor("#2A3130"),
    rail_mark=QColor("#E0B04A"),
    accent=QColor("#4FB3AB"),
    on_accent=QColor("#0B2322"),
    attention=QColor("#EE8E80"),
    fine=QColor("#84C795"),
    base=QColor("#D98871"),
    metals={
        "Ag": _hues("#7FA6C4", "#5F86A4", "#47677F"),
        "Au": _hues("#DBA23A", "#B17F25", "#83601F"),
        "Pt": _hues("#8FB59E", "#6C917B", "#516D5C"),
        "Pd": _hues("#C98BA8", "#A56884", "#7C4E63"),
    },
)


def look_named(name: str) -> Look:
    """Give the look that a setting asks for: `light`, `dark`, or what the system prefers."""
    if name == "system":
        hints = QGuiApplication.styleHints()
        return DARK if hints.colorScheme() is Qt.ColorScheme.Dark else LIGHT
    return DARK if name == "dark" else LIGHT


@cache
def load_face() -> None:
    """Bring the program's own face in, once, so that every machine draws the same page."""
    for name in _FACE_FILES:
        QFontDatabase.addApplicationFont(str(resource(name)))


def face(size: Size = Size.BODY, *, bold: bool = False) -> QFont:
    """Give the program's face in one of its sizes, with digits of equal width."""
    font = QFont(FACE)
    font.setPixelSize(size.value)
    font.setBold(bold)
    font.setFeature(QFont.Tag("tnum"), 1)
    # A PDF's “tt” and “fi” drawn as one sign cannot be searched or copied as letters.
    font.setFeature(QFont.Tag("liga"), 0)
    return font


def mixed(one: QColor, other: QColor, part: float) -> QColor:
    """Give the colour that holds `part` of the other one, 0 to 1."""
    keep = 1 - part
    return QColor.fromRgbF(
        one.redF() * keep + other.redF() * part,
        one.greenF() * keep + other.greenF() * part,
        one.blueF() * keep + other.blueF() * part,
    )


def hatched(colour: QColor) -> QBrush:
    """Give the brush of what is worked out rather than measured; draw it over a paler ground."""
    return QBrush(colour, Qt.BrushStyle.BDiagPattern)
