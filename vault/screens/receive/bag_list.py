"""The bags of a receipt, one below the other; a new one comes when the last is through."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from vault.application.operations.receipt_draft import BagDraft
from vault.application.queries.answers.receive import BagPreview, ReceiptHelp
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.receive.bag_card import BagCard, Weights

_WIDE_FROM = 720


class BagList(QWidget):
    """Holds the cards of the bags; there is always one.

    Signals:
        edited: something was typed, or a bag added or removed.
        finished: the hand is through with the last bag and wants no other.
        tags_wanted: something stands in bags that want a tag now; the names of their owners.
        tag_free: a bag that wanted a tag was removed; its owner's name.
        photo_wanted: a photo is to be chosen for a `BagCard`.
    """

    edited = Signal()
    finished = Signal()
    tags_wanted = Signal(object)
    tag_free = Signal(str)
    photo_wanted = Signal(object)

    def __init__(self, style: HouseStyle, weights: Weights, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._weights = weights
        self._help: ReceiptHelp | None = None
        self._numbers = itertools.count(1)
        self._owners: dict[BagCard, str] = {}
        self._tagged: set[str] = set()
        self._cards: list[BagCard] = []
        # Off where nobody could choose a picture.
        self.takes_photos = True
        self.add_button = QPushButton("Add a bag")
        self.add_button.clicked.connect(self._on_add_button_clicked)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(GAP - 2)
        self._column.addWidget(self.add_button)

    @property
    def cards(self) -> tuple[BagCard, ...]:
        """The cards, from the top."""
        return tuple(self._cards)

    def counted(self) -> tuple[BagCard, ...]:
        """Give the cards that belong to the receipt: blank ones do not, but for a lone one."""
        return tuple(card for card in self._cards if not card.is_blank) or tuple(self._cards[:1])

    def drafts(self) -> tuple[BagDraft, ...]:
        """Give what stands in the cards that count."""
        return tuple(card.draft() for card in self.counted())

    def begin(self, contents: Sequence[Mapping[str, Any]] = ()) -> None:
        """Begin with one empty bag, or with those of a draft."""
        for card in self._cards:
            self._let_go(card)
        self._cards = []
        for content in contents:
            self.add().restore(content)
        self._want_tags(self._cards)
        if not self._cards:
            self.add()

    def add(self) -> BagCard:
        """Add a bag below the last; it goes to the place of the one before."""
        card = BagCard(self._style, self._weights)
        owner = f"receive {next(self._numbers)}"
        before = self._cards[-1].place.name() if self._cards else ""
        self._cards.append(card)
        self._owners[card] = owner
        if self._help is not None:
            card.offer(self._help.forms, self._help.places, self._help.place_of)
        card.propose_place(before)
        card.edited.connect(partial(self._on_card_edited, card))
        card.finished.connect(partial(self._on_card_finished, card))
        card.removal_wanted.connect(partial(self.remove, card))
        card.photo_wanted.connect(partial(self.photo_wanted.emit, card))
        card.photo.setVisible(self.takes_photos)
        self._column.insertWidget(self._column.count() - 1, card)
        card.arrange(wide=self.width() >= _WIDE_FROM)
        # A layout shows what it is given only later, and the hand goes there at once.
        card.setVisible(True)
        self._number()
        return card

    def remove(self, card: BagCard) -> None:
        """Leave a bag out; the last one that is left stays."""
        if len(self._cards) == 1:
            return
        place = self._cards.index(card)
        self._cards.remove(card)
        self._let_go(card)
        self._number()
        self._cards[min(place, len(self._cards) - 1)].setFocus()
        self.edited.emit()

    def take_scan(self, tag: str) -> None:
        """Put a tag that was scanned on the bag in which the hand is, or on the last one."""
        hand = QApplication.focusWidget()
        under = [one for one in self._cards if hand is not None and one.isAncestorOf(hand)]
        card = under[0] if under else self._cards[-1]
        card.tag.write(tag)
        if not under:
            card.setFocus()
        self._on_card_edited(card)

    def take_tag(self, owner: str, tag: str) -> None:
        """Hand a proposed tag to the bag that wanted it."""
        for card, name in self._owners.items():
            if name == owner:
                card.propose_tag(tag)

    def offer(self, known: ReceiptHelp) -> None:
        """Know the names of the book."""
        self._help = known
        for card in self._cards:
            card.offer(known.forms, known.places, known.place_of)

    def show_previews(self, previews: Sequence[BagPreview]) -> None:
        """Show what each bag weighs."""
        for card, preview in zip(self.counted(), previews, strict=False):
            card.show_preview(preview)

    def arrange(self, width: int) -> None:
        """Fit the cards to a width."""
        for card in self._cards:
            card.arrange(wide=width >= _WIDE_FROM)

    def _want_tags(self, cards: Sequence[BagCard]) -> None:
        """Want tags once something stands in bags: of one left blank no number is lost."""
        owners = [self._owners[card] for card in cards if not card.is_blank]
        new = tuple(owner for owner in owners if owner not in self._tagged)
        if new:
            self._tagged.update(new)
            self.tags_wanted.emit(new)

    def _let_go(self, card: BagCard) -> None:
        owner = self._owners.pop(card)
        if owner in self._tagged:
            self._tagged.remove(owner)
            self.tag_free.emit(owner)
        self._column.removeWidget(card)
        card.hide()
        card.deleteLater()

    def _number(self) -> None:
        for place, card in enumerate(self._cards):
            card.number(place, alone=len(self._cards) == 1)

    def _on_card_edited(self, card: BagCard) -> None:
        self._want_tags([card])
        self.edited.emit()

    def _on_card_finished(self, card: BagCard) -> None:
        place = self._cards.index(card) + 1
        if place < len(self._cards):
            self._cards[place].setFocus()
        elif card.is_blank:
            # It stays: a blank last bag does not count, and the hand may come back to it.
            self.finished.emit()
        else:
            self.add().setFocus()
            self.edited.emit()

    def _on_add_button_clicked(self) -> None:
        self.add().setFocus()
        self.edited.emit()
