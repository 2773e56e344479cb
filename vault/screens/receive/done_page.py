"""After a lot was received: what was recorded, its papers, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.core.daybook import Process
from vault.screens.look import Size
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label
from vault.screens.widgets.lettered import give_letter
from vault.screens.words import FIRST_WORKS

_WIDTH = 620


@dataclass(frozen=True, slots=True)
class ReceivedLot:
    """A lot that was just recorded.

    Attributes:
        lot: its number.
        sentence: what was recorded.
        tags: of its bags, in order.
        is_held: whether it must not be worked yet.
        entry: the number of its entry.
    """

    lot: str
    sentence: str
    tags: tuple[str, ...]
    is_held: bool
    entry: int


class DonePage(QWidget):
    """Says what was recorded and leads on.

    Signals:
        another_wanted: the next lot.
        receipt_wanted, tags_wanted: on paper once more.
        lot_wanted: to be looked at.
        work_wanted: a `Process` with all of the lot.
    """

    another_wanted = Signal()
    receipt_wanted = Signal()
    tags_wanted = Signal()
    lot_wanted = Signal()
    work_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = label(size=Size.HEADING, bold=True, wrap=True)
        self.sentence = label(size=Size.TITLE, wrap=True)
        self.held = label(kind="soft", wrap=True)
        self.another = _button("Receive another lot", first=True)
        self.receipt = _button("Receipt …")
        self.tags = _button("Tags …")
        self.lot = _button("Show the lot")
        self.works = [_button() for _ in FIRST_WORKS]
        self._next = QWidget()
        self._lay_out()
        self._connect()

    def show_lot(self, received: ReceivedLot) -> None:
        """Say what was recorded."""
        self.heading.setText(f"Lot {received.lot} is in the book")
        self.sentence.setText(received.sentence)
        number = len(received.tags)
        self.tags.setText("Its tag …" if number == 1 else f"Its {number} tags …")
        self._next.setVisible(not received.is_held)
        self.held.setVisible(received.is_held)
        self.another.setFocus()

    def offer_papers(self, *, receipt: bool, tags: bool) -> None:
        """Offer what can be printed."""
        self.receipt.setVisible(receipt)
        self.tags.setVisible(tags)

    def offer_works(self, *, on: bool) -> None:
        """Offer to begin a work with the lot."""
        for button in self.works:
            button.setEnabled(on)

    def _lay_out(self) -> None:
        card = Card(padding=28)
        card.setFixedWidth(_WIDTH)
        card.column.setSpacing(14)
        card.column.addWidget(self.heading)
        card.column.addWidget(self.sentence)
        card.column.addLayout(_row([self.another, self.receipt, self.tags, self.lot]))
        inside = QVBoxLayout(self._next)
        inside.setContentsMargins(0, 10, 0, 0)
        inside.setSpacing(8)
        inside.addWidget(label("Next, with all of it", bold=True))
        inside.addLayout(_row(self.works))
        card.column.addWidget(self._next)
        self.held.setText("It is held: the book takes no work on it before that day.")
        card.column.addWidget(self.held)
        middle = QHBoxLayout()
        middle.addStretch(1)
        middle.addWidget(card)
        middle.addStretch(1)
        column = QVBoxLayout(self)
        column.addStretch(1)
        column.addLayout(middle)
        column.addStretch(2)

    def _connect(self) -> None:
        self.another.clicked.connect(self.another_wanted)
        self.receipt.clicked.connect(self.receipt_wanted)
        self.tags.clicked.connect(self.tags_wanted)
        self.lot.clicked.connect(self.lot_wanted)
        for (process, words), button in zip(FIRST_WORKS, self.works, strict=True):
            button.setToolTip(f"Begin it with all of the lot (Alt+{give_letter(button, words)})")
            button.clicked.connect(partial(self.work_wanted.emit, Process(process)))


def _button(words: str = "", *, first: bool = False) -> QPushButton:
    made = QPushButton(words)
    made.setAutoDefault(True)
    made.setProperty("kind", "first" if first else "")
    made.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    return made


def _row(buttons: Sequence[QPushButton]) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    for button in buttons:
        row.addWidget(button)
    row.addStretch(1)
    return row
