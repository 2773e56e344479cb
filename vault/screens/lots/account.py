"""The account of one metal of a lot: as a bar and as a small table that adds up."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.lots import LotAccount
from vault.core.knowledge import Figure
from vault.screens.house_style import HouseStyle
from vault.screens.look import Look, Size
from vault.screens.numbers import NOTHING, Numbers, metal_name
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.widgets.labels import ElidedLabel, label, line
from vault.screens.widgets.marks import Mark

_BAR_HEIGHT = 18
_KEY_SIZE = 11


@dataclass(frozen=True, slots=True)
class AccountPart:
    """One part of what became of a metal.

    Attributes:
        shade: the step of its metal's hues; None where it is what nobody can account for.
    """

    words: str
    figure: Figure
    shade: int | None
    is_hatched: bool = False

    def segment(self, metal: str, look: Look) -> Segment:
        """Give its part of the bar; less than nothing takes no room."""
        colour = look.attention if self.shade is None else look.shade(metal, self.shade)
        return Segment(max(0.0, float(self.figure.fine_ug or 0)), colour, self.is_hatched)

    def told(self, numbers: Numbers) -> str:
        """Give its figure; what nobody can account for may be a gain and lie below zero."""
        if self.shade is None:
            return numbers.uncut_with_unit(self.figure)
        return numbers.figure_with_unit(self.figure)


def parts_of(account: LotAccount) -> list[AccountPart]:
    """Give the parts that a received metal is in now."""
    return [
        AccountPart("on hand", account.on_hand, 0),
        AccountPart("in residues", account.in_residues, 1, is_hatched=True),
        AccountPart("out of the shop", account.out, 2),
        AccountPart("unaccounted", account.unaccounted, None, is_hatched=True),
    ]


class AccountPartView(QWidget):
    """Shows the account of one metal."""

    def __init__(self, account: LotAccount, style: HouseStyle) -> None:
        super().__init__()
        self._style = style
        parts = parts_of(account)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        name = metal_name(account.metal)
        column.addWidget(label(f"What became of its {name}", size=Size.SMALL, kind="soft"))
        column.addWidget(AccountBar(account.metal, parts, style))
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(5)
        grid.setColumnStretch(1, 1)
        received = style.numbers.figure_with_unit(account.received)
        self._add_row(grid, 0, "received", account.received, received, bold=True)
        for row, part in enumerate(parts, start=1):
            grid.addWidget(AccountKey(account.metal, part, style), row, 0)
            self._add_row(grid, row, part.words, part.figure, part.told(style.numbers))
        grid.addWidget(line(), len(parts) + 1, 0, 1, 4)
        share = account.yield_share
        told = NOTHING if share is None else style.numbers.share(share)
        at = len(parts) + 2
        grid.addWidget(label("yield", size=Size.SECOND, bold=True), at, 0, 1, 2)
        grid.addWidget(label(told, size=Size.SECOND, bold=True), at, 3, Qt.AlignmentFlag.AlignRight)
        column.addLayout(grid)
        column.addWidget(
            label(
                "Yield: what is on hand outside residues or went out, over what was received.",
                size=Size.SMALL,
                kind="soft",
                wrap=True,
            )
        )

    def _add_row(
        self,
        grid: QGridLayout,
        row: int,
        words: str,
        figure: Figure,
        told: str,
        *,
        bold: bool = False,
    ) -> None:
        first = 0 if bold else 1
        grid.addWidget(ElidedLabel(words, size=Size.SECOND, bold=bold), row, first, 1, 2 - first)
        if figure.fine_ug != 0:
            grid.addWidget(Mark(self._style, figure.how), row, 2)
        grid.addWidget(
            label(told, size=Size.SECOND, bold=bold), row, 3, Qt.AlignmentFlag.AlignRight
        )


class AccountBar(QWidget):
    """All of the received metal as one bar."""

    def __init__(self, metal: str, parts: list[AccountPart], style: HouseStyle) -> None:
        super().__init__()
        self._metal = metal
        self._parts = parts
        self._style = style
        self.setFixedHeight(_BAR_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        told = [f"{one.words} {one.told(style.numbers)}" for one in parts]
        self.setToolTip("\n".join(told))
        self.setAccessibleName(", ".join(told))

    @override
    def sizeHint(self) -> QSize:
        return QSize(200, _BAR_HEIGHT)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        look = self._style.look
        segments = [one.segment(self._metal, look) for one in self._parts]
        paint_bar(QPainter(self), QRectF(self.rect()), segments, look.band)


class AccountKey(QWidget):
    """The colour by which a part is known in the bar."""

    def __init__(self, metal: str, part: AccountPart, style: HouseStyle) -> None:
        super().__init__()
        self._metal = metal
        self._part = part
        self._style = style
        self.setFixedSize(_KEY_SIZE, _KEY_SIZE)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        look = self._style.look
        shown = self._part.segment(self._metal, look)
        ground: QColor = look.band
        painter = QPainter(self)
        paint_bar(
            painter,
            QRectF(self.rect()),
            [Segment(1.0, shown.colour, shown.is_hatched)],
            ground,
        )
