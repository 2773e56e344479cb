"""The card of what the stock is worth, of metals too unsure for a card, and of findings."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from vault.application.queries.answers.safe import MetalCard, Safe, Worth
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.safe.metal_card import HEIGHT, is_sure, line_words, told_in_full
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.words import sentence_of

# The smaller words stand on the same line as the large figure, whose letters end higher up.
_TO_BASELINE = 6


class WorthCard(Card):
    """What the stock is worth at the set prices, and a line for metals that have no card.

    Signals:
        findings_wanted: the reader wants to see what does not add up.
    """

    findings_wanted = Signal()

    def __init__(self, safe: Safe, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.setFixedHeight(HEIGHT)
        self.setMinimumWidth(180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.column.setSpacing(3)
        told = f"Worth at set prices, {safe.worth.currency}".rstrip(", ")
        self.column.addWidget(ElidedLabel(told, kind="soft"))
        self.column.addLayout(self._amount(safe.worth))
        for words in self._lines(safe.worth):
            self.column.addWidget(ElidedLabel(words, size=Size.SMALL))
        unsure = [card for card in safe.cards if not is_sure(card)]
        if unsure:
            self.column.addWidget(self._unsure_line(unsure))
        self.column.addStretch(1)
        if safe.figures_of is not None and safe.figures_of < safe.last_entry:
            told = f"figures up to entry {safe.figures_of} of {safe.last_entry}"
            self.column.addWidget(ElidedLabel(told, size=Size.SMALL, kind="soft"))
        if safe.findings:
            self.column.addWidget(self._finding_button(safe.findings))

    def _amount(self, worth: Worth) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        if worth.amount is None:
            row.addWidget(label("no price set", size=Size.HEADING, bold=True))
            return row
        amount, _, doubt = self._style.numbers.money(worth.amount, worth.u).partition(" ± ")
        row.addWidget(label(amount, size=Size.LARGE, bold=True))
        rest = ElidedLabel(f"± {doubt}" if doubt else "", kind="soft")
        rest.setContentsMargins(0, 0, 0, _TO_BASELINE)
        row.addWidget(rest, 1)
        row.setAlignment(rest, Qt.AlignmentFlag.AlignBottom)
        return row

    def _lines(self, worth: Worth) -> list[str]:
        money = self._style.numbers.money
        if worth.amount is None:
            return ["Prices come with the daybook."]
        lines = []
        if worth.ours is not None:
            lines.append(f"of it ours {money(worth.ours)}")
        if worth.locked is not None:
            lines.append(f"locked in residues {money(worth.locked, worth.locked_u)}")
        # On one line, since the card has no room for more beside a finding.
        without = f"none for {sentence_of(list(worth.unpriced))}" if worth.unpriced else ""
        of_day = f"prices of {day(worth.prices_of)}" if worth.prices_of is not None else ""
        lines.append(", ".join(words for words in (of_day, without) if words))
        return [line for line in lines if line]

    def _unsure_line(self, cards: list[MetalCard]) -> ElidedLabel:
        numbers = self._style.numbers
        words = " · ".join(line_words(card, numbers) for card in cards)
        in_full = "\n\n".join(told_in_full(card, numbers) for card in cards)
        line = ElidedLabel(words, size=Size.SMALL, kind="soft", told=in_full)
        line.setAccessibleName(in_full)
        return line

    def _finding_button(self, findings: int) -> QPushButton:
        told = "1 thing does" if findings == 1 else f"{findings} things do"
        button = QPushButton(f"{told} not add up")
        button.setProperty("kind", "alarm")
        button.clicked.connect(self.findings_wanted)
        return button
