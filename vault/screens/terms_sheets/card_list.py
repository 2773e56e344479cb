"""Cards of one kind, one below the other, with a button that adds another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, Generic, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from vault.screens.look import GAP
from vault.screens.terms_sheets.field_card import RemovableCard

C = TypeVar("C", bound=RemovableCard)


class CardList(QWidget, Generic[C]):
    """Holds the cards; a sheet may need at least so many.

    Signals:
        edited: something was typed, or a card added or taken away.
        finished: Enter on the last field of the last card.
    """

    edited = Signal()
    finished = Signal()

    def __init__(
        self, make: Callable[[], C], add_words: str, *, least: int, parent: QWidget | None = None
    ) -> None:
        """Build the list; `make` makes a card, `add_words` stand on the button."""
        super().__init__(parent)
        self._make = make
        self._least = least
        self._currency = ""
        self._is_wide = True
        self.cards: list[C] = []
        self.add_button = QPushButton(add_words)
        self.add_button.setProperty("kind", "link")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(GAP - 4)
        self._column.addWidget(self.add_button, 0, Qt.AlignmentFlag.AlignLeft)

    def texts(self) -> list[dict[str, str]]:
        """Give what stands in every card."""
        return [one.texts() for one in self.cards]

    def write(self, texts: Sequence[Mapping[str, Any]]) -> None:
        """Show these, and no others, without telling anybody."""
        while len(self.cards) > len(texts):
            self._let_go(self.cards[-1])
        while len(self.cards) < len(texts):
            self._append()
        for card, one in zip(self.cards, texts, strict=True):
            card.write(one)
        self._show_crosses()

    def add(self, texts: Mapping[str, Any]) -> C:
        """Add a card below the last, and tell."""
        card = self._append()
        card.write(texts)
        self._show_crosses()
        self.edited.emit()
        return card

    def use_currency(self, currency: str) -> None:
        """Take amounts to be in this currency."""
        self._currency = currency
        for one in self.cards:
            one.use_currency(currency)

    def arrange(self, *, wide: bool) -> None:
        """Fit to a width."""
        self._is_wide = wide
        for one in self.cards:
            one.arrange(wide=wide)

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for one in self.cards:
            one.look()

    def _append(self) -> C:
        card = self._make()
        card.use_currency(self._currency)
        card.arrange(wide=self._is_wide)
        card.edited.connect(self.edited)
        card.finished.connect(partial(self._on_card_finished, card))
        card.removal_wanted.connect(partial(self._on_removal_wanted, card))
        self.cards.append(card)
        self._column.insertWidget(self._column.count() - 1, card)
        # A layout shows what it is given only later, and the hand goes there at once.
        card.setVisible(True)
        return card

    def _let_go(self, card: C) -> None:
        self.cards.remove(card)
        self._column.removeWidget(card)
        card.hide()
        card.setParent(None)
        card.deleteLater()

    def _show_crosses(self) -> None:
        for one in self.cards:
            one.remove.setVisible(len(self.cards) > self._least)

    def _on_card_finished(self, card: C) -> None:
        place = self.cards.index(card) + 1
        if place < len(self.cards):
            self.cards[place].setFocus()
        else:
            self.finished.emit()

    def _on_removal_wanted(self, card: C) -> None:
        place = self.cards.index(card)
        self._let_go(card)
        self._show_crosses()
        if self.cards:
            self.cards[min(place, len(self.cards) - 1)].setFocus()
        else:
            self.add_button.setFocus()
        self.edited.emit()
