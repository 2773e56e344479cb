"""The head of a receipt: the number of the lot, whose it is, where from, how long it is held."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from vault.application.operations.receipt_draft import ReceiptDraft
from vault.application.queries.answers.receive import ReceiptHelp, ReceiptPreview
from vault.core.daybook import Terms
from vault.core.words import tidied
from vault.screens.receive.hold_field import HoldField
from vault.screens.receive.terms_field import TermsField
from vault.screens.widgets.cards import Card
from vault.screens.widgets.day_fields import WhenField
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.named_field import NamedField


class LotCard(Card):
    """What is typed of the lot as a whole.

    Signals:
        edited: something was typed or chosen.
        finished: Enter on its last field.
    """

    edited = Signal()
    finished = Signal()

    def __init__(self, now: Callable[[], datetime], parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._proposed_lot = ""
        self.lot = NamedField("lot number", "number")
        self.party = NamedField("customer", "who brought it", new_words="A new customer.")
        self.when = WhenField(now)
        self.terms = TermsField()
        self.origin = Field("where it comes from", "in the customer's words; what to look out for")
        self.hold = HoldField(lambda: now().date())
        self._parts: dict[str, QWidget] = {
            "lot": Captioned("Lot", self.lot),
            "party": Captioned("Customer", self.party),
            "when": Captioned("When", self.when),
            "terms": Captioned("Whose metal is it?", self.terms),
            "origin": Captioned("Where it comes from", self.origin),
            "hold": Captioned("Held until", self.hold),
        }
        self._lay_out()
        self._connect()

    def draft(self) -> ReceiptDraft:
        """Give what stands here, as far as it can be read; the bags are told elsewhere."""
        return ReceiptDraft(
            lot=self.lot.name(),
            party=self.party.name(),
            terms=self.terms.terms,
            origin=tidied(self.origin.text),
            hold_until=self.hold.day(),
            hold_set=self.hold.shortened_from,
            when=self.when.when(),
        )

    def offer(self, known: ReceiptHelp) -> None:
        """Know the names of the book, and propose a number for the lot."""
        self.party.offer(known.parties)
        if self.lot.text in {"", self._proposed_lot}:
            self.lot.write(known.next_lot)
        self._proposed_lot = known.next_lot

    def take_preview(self, preview: ReceiptPreview) -> bool:
        """Take the hold that is set; tells whether the day here changed by that."""
        return self.hold.propose(preview.hold_ends, preview.hold_question)

    def trouble(self) -> tuple[QWidget, str] | None:
        """Give the first field that cannot be read, and why; None where all can."""
        for field in (self.lot, self.party, self.when, self.hold):
            if told := field.trouble():
                return field, told
        return None

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for field in (self.lot, self.party, self.when, self.origin, self.hold):
            field.look()

    def part_named(self, field: str) -> QWidget:
        """Give the part that a finding is about."""
        found = getattr(self, field, None) if field in self._parts else None
        return found if isinstance(found, QWidget) else self.party

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed or chosen here yet."""
        own_lot = self.lot.text not in {"", self._proposed_lot}
        typed = (self.party.text, self.when.text, self.origin.text, self.terms.terms)
        return not (own_lot or any(typed) or self.hold.is_own)

    def content(self) -> dict[str, object]:
        """Give what was typed, as a draft keeps it."""
        return {
            "lot": self.lot.text if self.lot.text != self._proposed_lot else "",
            "party": self.party.text,
            "when": self.when.text,
            "terms": "" if self.terms.terms is None else self.terms.terms.value,
            "origin": self.origin.text,
            "hold": self.hold.text,
            "hold_is_own": self.hold.is_own,
        }

    def restore(self, content: Mapping[str, Any]) -> None:
        """Write what a draft kept, or nothing."""
        self.lot.write(str(content.get("lot", "")) or self._proposed_lot)
        self.party.write(str(content.get("party", "")))
        self.when.write(str(content.get("when", "")))
        terms = str(content.get("terms", ""))
        self.terms.write(Terms(terms) if terms else None)
        self.origin.write(str(content.get("origin", "")))
        self.hold.restore(
            str(content.get("hold", "")), is_own=bool(content.get("hold_is_own", False))
        )
        self._offer_party()

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(8)
        for column in range(12):
            grid.setColumnStretch(column, 1)
            grid.setColumnMinimumWidth(column, 1)
        grid.addWidget(self._parts["lot"], 0, 0, 1, 3)
        grid.addWidget(self._parts["party"], 0, 3, 1, 6)
        grid.addWidget(self._parts["when"], 0, 9, 1, 3)
        grid.addWidget(self._parts["terms"], 1, 0, 1, 12)
        grid.addWidget(self._parts["origin"], 2, 0, 1, 8)
        grid.addWidget(self._parts["hold"], 2, 8, 1, 4)
        self.column.addLayout(grid)
        self.setFocusProxy(self.party)

    def _connect(self) -> None:
        for field in (self.lot, self.party, self.when, self.origin, self.hold):
            field.edited.connect(self.edited)
        self.terms.edited.connect(self._on_terms_edited)
        self.lot.taken.connect(self.party.setFocus)
        self.party.taken.connect(self.terms.setFocus)
        self.when.taken.connect(self.terms.setFocus)
        self.terms.taken.connect(self.origin.setFocus)
        self.origin.taken.connect(self.finished)
        self.hold.taken.connect(self.finished)

    def _offer_party(self) -> None:
        is_own = self.terms.terms is Terms.OWN
        self.party.setEnabled(not is_own)
        self.party.line.setPlaceholderText("nobody: our own" if is_own else "who brought it")
        if is_own:
            self.party.write("")

    def _on_terms_edited(self) -> None:
        self._offer_party()
        self.edited.emit()
