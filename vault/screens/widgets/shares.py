"""Shares of a whole: a bar of named parts, and what the doubt about a figure comes from."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget
from typing_extensions import override

from vault.application.queries.answers.items import BudgetShare
from vault.screens.house_style import HouseStyle
from vault.screens.hues import LotHues
from vault.screens.look import Size, face
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.widgets.labels import ElidedLabel, label

_BAR_HEIGHT = 18
_LEAST_NAMED = 44


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
    """A bar of shares in the colours of their lots; each carries its name where there is room."""

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
        hues = LotHues([name for _, name in self._shares], look)
        return [Segment(share, hues.of(name)) for share, name in self._shares]

    @override
    def sizeHint(self) -> QSize:
        return QSize(70 if self._of_whole else 200, self.height())

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        places = paint_bar(painter, QRectF(self.rect()), self._segments(), self._style.look.band)
        painter.setFont(face(Size.SMALL))
        painter.setPen(self._style.look.ink)
        for place, (_, name) in zip(places, self._shares, strict=False):
            if name and place.width() >= _LEAST_NAMED:
                shown = painter.fontMetrics().elidedText(
                    name, Qt.TextElideMode.ElideRight, int(place.width()) - 6
                )
                painter.drawText(place, Qt.AlignmentFlag.AlignCenter, shown)
