"""The form of a receipt: the lot above, its bags below, in one column that scrolls."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.operations.receipt_draft import ReceiptDraft
from vault.application.queries.answers.receive import ReceiptFinding, ReceiptHelp, ReceiptPreview
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.receive.bag_card import Weights
from vault.screens.receive.bag_list import BagList
from vault.screens.receive.lot_card import LotCard
from vault.screens.widgets.hand_area import HandArea

_ROOM_AROUND = 90


class ReceiveForm(HandArea):
    """Everything that is typed of a lot.

    Signals:
        edited: something was typed or chosen.
        finished: Enter after the last bag; nothing is left to type.
    """

    edited = Signal()
    finished = Signal()

    def __init__(
        self,
        style: HouseStyle,
        weights: Weights,
        now: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(_ROOM_AROUND, parent)
        self.lot = LotCard(now)
        self.bags = BagList(style, weights)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(GAP - 2)
        column.addWidget(self.lot)
        column.addWidget(self.bags)
        column.addStretch(1)
        self.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.lot.edited.connect(self.edited)
        self.lot.finished.connect(self._go_to_first_bag)
        self.bags.edited.connect(self.edited)
        self.bags.finished.connect(self.finished)
        self.setFocusProxy(self.lot)

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed or chosen yet."""
        return self.lot.is_blank and all(card.is_blank for card in self.bags.cards)

    def begin(self) -> None:
        """Empty the form."""
        self.lot.restore({})
        self.bags.begin()
        self.verticalScrollBar().setValue(0)

    def offer(self, known: ReceiptHelp) -> None:
        """Know the names of the book."""
        self.lot.offer(known)
        self.bags.offer(known)

    def draft(self) -> ReceiptDraft:
        """Give what stands in the form, as far as it can be read."""
        return replace(self.lot.draft(), bags=self.bags.drafts())

    def take_preview(self, preview: ReceiptPreview) -> bool:
        """Show what was worked out; tells whether the form changed by that."""
        self.bags.show_previews(preview.bags)
        return self.lot.take_preview(preview)

    def trouble(self) -> tuple[QWidget, str] | None:
        """Give the first field that cannot be read, and why; None where all can."""
        cards = (card.trouble() for card in self.bags.counted())
        return self.lot.trouble() or next((told for told in cards if told), None)

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        self.lot.look()
        for card in self.bags.counted():
            card.look()

    def go_to(self, finding: ReceiptFinding) -> None:
        """Put the hand into the field that a finding is about."""
        if finding.bag is None:
            part = self.lot.part_named(finding.field) if finding.field else self.bags.cards[0]
        else:
            part = self.bags.counted()[finding.bag].part_named(finding.field)
        part.setFocus()

    def content(self) -> dict[str, object]:
        """Give what was typed, as a draft keeps it."""
        return self.lot.content() | {"bags": [card.content() for card in self.bags.counted()]}

    def restore(self, content: Mapping[str, Any]) -> None:
        """Write what a draft kept."""
        self.lot.restore(content)
        self.bags.begin(content.get("bags", ()))

    def _go_to_first_bag(self) -> None:
        self.bags.cards[0].setFocus()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.bags.arrange(self.viewport().width())
