"""The row of cards at the top of the Safe."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QWidget
from typing_extensions import override

from vault.application.queries.answers.safe import Safe
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.safe.metal_card import MetalCardView, is_sure
from vault.screens.safe.worth_card import WorthCard
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label

_MOST_SHARES = 5


class CardRow(QScrollArea):
    """One card for each metal and one for the worth; more metals than fit are scrolled to.

    Signals:
        findings_wanted: the reader wants to see what does not add up.
    """

    findings_wanted = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def show_safe(self, safe: Safe) -> None:
        """Show the cards of an answer."""
        inside = QWidget()
        row = QHBoxLayout(inside)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        if safe.figures_of is None:
            row.addWidget(_figures_due_card(safe), _MOST_SHARES)
        for place, card in enumerate(one for one in safe.cards if is_sure(one)):
            row.addWidget(MetalCardView(card, self._style), max(3, _MOST_SHARES - place))
        if safe.figures_of is not None:
            worth = WorthCard(safe, self._style)
            worth.findings_wanted.connect(self.findings_wanted)
            row.addWidget(worth, 3)
        # The area frees what it showed before.
        self.setWidget(inside)
        self._fit()

    def _fit(self) -> None:
        """Be as high as the cards, and higher by the scroll bar where one is needed."""
        inside = self.widget()
        if inside is not None:
            is_wider = inside.minimumSizeHint().width() > self.width()
            bar = self.horizontalScrollBar().sizeHint().height() if is_wider else 0
            self.setFixedHeight(inside.minimumSizeHint().height() + bar)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()


def _figures_due_card(safe: Safe) -> Card:
    card = Card()
    card.column.addWidget(label("The figures are not worked out yet", size=Size.HEADING, bold=True))
    card.column.addWidget(
        label(
            f"The daybook holds {safe.last_entry} entries. What scale, assays and people said "
            "is shown below; what follows from it all appears here as soon as it is worked out.",
            kind="soft",
            wrap=True,
        )
    )
    return card
