"""The parts of the chosen item's pane, each about one thing that is known of it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers import BudgetShare, HistoryLine, MetalOfItem, OriginShare
from vault.core.knowledge import Figure, How
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face
from vault.screens.numbers import NOTHING, day, metal_name
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import Mark

_BAR_HEIGHT = 18
_LEAST_NAMED = 44
_KEY_SIZE = 10
# Below this lightness a colour is written on in white.
_DARK = 0.55


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
        row.addWidget(label(told, size=Size.HEADING, bold=True))
        if doubt:
            row.addWidget(label(f"± {doubt} {numbers.unit}", kind="soft"))
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(row)
        for words in _known_words(metal, style):
            column.addWidget(label(words, size=Size.SMALL, kind="soft", wrap=True))


def _known_words(metal: MetalOfItem, style: HouseStyle) -> list[str]:
    numbers = style.numbers
    told = [f"{metal.figure.how.value}: {metal.known_from}" if metal.known_from else ""]
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
        least = numbers.fine(metal.noticeable_ug, None)
        told.append(f"an error of {least} {numbers.unit} or more in its record would be noticed")
    return [words for words in told if words]


class BudgetPart(QWidget):
    """What the doubt about a figure comes from, largest first."""

    def __init__(self, budget: Sequence[BudgetShare], style: HouseStyle) -> None:
        super().__init__()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(0, 1)
        for row, share in enumerate(budget):
            grid.addWidget(ElidedLabel(share.words, size=Size.SECOND), row, 0)
            grid.addWidget(ShareBar([(share.share, "")], style, of_whole=True), row, 1)
            told = label(style.numbers.rough_share(share.share), size=Size.SECOND)
            grid.addWidget(told, row, 2, Qt.AlignmentFlag.AlignRight)


class ShareBar(QWidget):
    """A bar of shares; each part carries its name where there is room for it."""

    def __init__(
        self,
        shares: Sequence[tuple[float, str]],
        style: HouseStyle,
        *,
        of_whole: bool = False,
    ) -> None:
        """Take (share, name) of each part; `of_whole` leaves what is missing to one blank."""
        super().__init__()
        self._shares = shares
        self._style = style
        self._of_whole = of_whole
        self.setFixedHeight(8 if of_whole else _BAR_HEIGHT)
        if of_whole:
            self.setFixedWidth(70)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def _segments(self) -> list[Segment]:
        look = self._style.look
        if self._of_whole:
            share = self._shares[0][0]
            return [Segment(share, look.soft_ink), Segment(max(0.0, 1 - share), look.band)]
        return [Segment(share, look.origin(at)) for at, (share, _) in enumerate(self._shares)]

    @override
    def sizeHint(self) -> QSize:
        return QSize(70 if self._of_whole else 200, self.height())

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        places = paint_bar(painter, QRectF(self.rect()), self._segments(), self._style.look.band)
        painter.setFont(face(Size.SMALL))
        for place, (_, name) in zip(places, self._shares, strict=False):
            if name and place.width() >= _LEAST_NAMED:
                dark = self._segments()[places.index(place)].colour.lightnessF() < _DARK
                painter.setPen(Qt.GlobalColor.white if dark else Qt.GlobalColor.black)
                shown = painter.fontMetrics().elidedText(
                    name, Qt.TextElideMode.ElideRight, int(place.width()) - 6
                )
                painter.drawText(place, Qt.AlignmentFlag.AlignCenter, shown)


class ColourKey(QWidget):
    """The colour by which a lot is known in the bar above."""

    def __init__(self, place: int, style: HouseStyle) -> None:
        super().__init__()
        self._place = place
        self._style = style
        self.setFixedSize(_KEY_SIZE, _KEY_SIZE)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        QPainter(self).fillRect(self.rect(), self._style.look.origin(self._place))


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
        column.addWidget(ShareBar([(one.share or 0.0, one.lot) for one in metal.origins], style))
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(2, 1)
        for row, origin in enumerate(metal.origins):
            self._add_row(grid, row, origin, style)
        column.addLayout(grid)
        if metal.more_origins:
            told = f"and {style.numbers.count(metal.more_origins)} more; trace it to see all"
            column.addWidget(label(told, size=Size.SMALL, kind="soft"))

    def _add_row(self, grid: QGridLayout, row: int, origin: OriginShare, style: HouseStyle) -> None:
        numbers = style.numbers
        lot = QPushButton(origin.lot)
        lot.setProperty("kind", "link")
        lot.setToolTip(f"Trace where {origin.lot} went")
        lot.clicked.connect(lambda: self.lot_wanted.emit(origin.lot))
        grid.addWidget(ColourKey(row, style), row, 0)
        grid.addWidget(lot, row, 1)
        grid.addWidget(ElidedLabel(origin.words, size=Size.SECOND), row, 2)
        amount = numbers.figure_with_unit(Figure(origin.fine_ug, origin.u_ug, How.WORKED_OUT))
        share = NOTHING if origin.share is None else numbers.share(origin.share)
        for place, words in ((3, amount), (4, share)):
            grid.addWidget(label(words, size=Size.SECOND), row, place, Qt.AlignmentFlag.AlignRight)


class HistoryPart(QWidget):
    """What was done to the item, oldest first.

    Signals:
        entry_wanted: the number of an entry to be shown in the daybook.
    """

    entry_wanted = Signal(int)

    def __init__(self, history: Sequence[HistoryLine]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(label("What was done", size=Size.SMALL, kind="soft"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for row, one in enumerate(history):
            button = QPushButton(day(one.day))
            button.setProperty("kind", "link")
            button.setToolTip(f"Entry {one.entry} of the daybook")
            button.clicked.connect(lambda _=False, entry=one.entry: self.entry_wanted.emit(entry))
            grid.addWidget(button, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(label(one.words, size=Size.SECOND, wrap=True), row, 1)
        column.addLayout(grid)
