"""The parts of the chosen item's pane, each about one thing that is known of it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.items import MetalOfItem, OriginShare
from vault.core.knowledge import Figure, How
from vault.screens.house_style import HouseStyle
from vault.screens.hues import LotHues
from vault.screens.look import Size
from vault.screens.numbers import NOTHING, day, metal_name
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import Mark
from vault.screens.widgets.shares import ShareBar

_KEY_SIZE = 10
_WIDEST_LOT = 110
# What would read “0.0 %” is counted and not listed.
_LEAST_SHARE = 0.0005


class ContentPart(QWidget):
    """How much of the metal the item holds, and how that is known."""

    def __init__(self, metal: MetalOfItem, style: HouseStyle) -> None:
        super().__init__()
        numbers = style.numbers
        value, doubt = numbers.fine_and_doubt(metal.figure.fine_ug, metal.figure.u_ug)
        known = metal.figure.fine_ug is not None
        told = f"{value} {numbers.unit} {metal.metal}" if known else f"{metal.metal} {value}"
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Mark(style, metal.figure.how), 0, Qt.AlignmentFlag.AlignVCenter)
        amount = label(told, size=Size.HEADING, bold=True)
        amount.setToolTip(f"Fine metal, {metal.figure.how.value}")
        row.addWidget(amount)
        if doubt:
            with_doubt = label(f"± {doubt} {numbers.unit}", kind="soft")
            with_doubt.setToolTip("One standard uncertainty; in 19 of 20 cases it lies within two")
            row.addWidget(with_doubt)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(row)
        for words in _known_words(metal, style):
            column.addWidget(label(words, size=Size.SMALL, kind="soft", wrap=True))


def _known_words(metal: MetalOfItem, style: HouseStyle) -> list[str]:
    numbers = style.numbers
    told = [metal.known_from or metal.figure.how.value]
    if metal.fineness_ppb is not None:
        told.append(f"fineness {numbers.permille(metal.fineness_ppb)}")
    if metal.reported_fine_ug is not None and metal.reported_on is not None:
        before = numbers.fine(metal.reported_fine_ug, metal.reported_u_ug)
        now = numbers.figure(metal.figure)
        told.append(
            f"reported on {day(metal.reported_on)} as {before} {numbers.unit}, "
            f"now believed {now} {numbers.unit}"
        )
    if metal.noticeable_ug is not None:
        least = numbers.roughly(metal.noticeable_ug)
        told.append(f"an error of {least} or more in its record would be noticed")
    return [words for words in told if words]


class ColourKey(QWidget):
    """The colour by which a lot is known in the bar above."""

    def __init__(self, lot: str, lots: Sequence[str], style: HouseStyle) -> None:
        super().__init__()
        self._lot = lot
        self._lots = lots
        self._style = style
        self.setFixedSize(_KEY_SIZE, _KEY_SIZE)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        colour = LotHues(self._lots, self._style.look).of(self._lot)
        QPainter(self).fillRect(self.rect(), colour)


class OriginsPart(QWidget):
    """Which lots the item's metal came from, as a bar and as a table.

    Signals:
        lot_wanted: the name of a lot to be traced.
    """

    lot_wanted = Signal(str)

    def __init__(self, metal: MetalOfItem, style: HouseStyle) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(
            label(f"Where its {metal_name(metal.metal)} came from", size=Size.SMALL, kind="soft")
        )
        shown = [one for one in metal.origins if one.share is None or one.share >= _LEAST_SHARE]
        column.addWidget(ShareBar([(one.share or 0.0, one.lot) for one in shown], style))
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(2, 1)
        lots = [one.lot for one in shown]
        for row, origin in enumerate(shown):
            grid.addWidget(ColourKey(origin.lot, lots, style), row, 0)
            self._add_row(grid, row, origin, style)
        column.addLayout(grid)
        more = metal.more_origins + len(metal.origins) - len(shown)
        if more:
            told = f"and {style.numbers.count(more)} more; trace it to see all"
            column.addWidget(label(told, size=Size.SMALL, kind="soft"))

    def _add_row(self, grid: QGridLayout, row: int, origin: OriginShare, style: HouseStyle) -> None:
        numbers = style.numbers
        if origin.words == origin.lot:
            # Silver that was added, or a thing found: it is no lot and leads nowhere.
            grid.addWidget(ElidedLabel(origin.words, size=Size.SECOND), row, 1, 1, 2)
        else:
            grid.addWidget(self._lot_button(origin.lot), row, 1)
            grid.addWidget(ElidedLabel(origin.words, size=Size.SECOND), row, 2)
        amount = numbers.figure_with_unit(Figure(origin.fine_ug, origin.u_ug, How.WORKED_OUT))
        share = NOTHING if origin.share is None else numbers.share(origin.share)
        for place, words in ((3, amount), (4, share)):
            grid.addWidget(label(words, size=Size.SECOND), row, place, Qt.AlignmentFlag.AlignRight)

    def _lot_button(self, lot: str) -> QPushButton:
        button = QPushButton(lot)
        button.setProperty("kind", "link")
        button.setToolTip(f"Trace where {lot} went")
        button.setMaximumWidth(_WIDEST_LOT)
        button.clicked.connect(lambda: self.lot_wanted.emit(lot))
        return button
