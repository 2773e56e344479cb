"""Taking down a settlement: what the refinery found, paid and charged, and the metal it gave."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.operations.settlement_draft import SettlementDraft
from vault.application.queries.answers.settlements import SettlementHelp, SettlementPreview
from vault.core.money import Money
from vault.core.words import tidied
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.forms.previews import Previews
from vault.screens.shipments.row_list import Rows
from vault.screens.shipments.settled_cards import AgainstCard, DisputeCard, SheetCard
from vault.screens.shipments.settled_rows import AgreedRow, AmountRow, BackRow
from vault.screens.widgets.day_fields import DayField
from vault.screens.widgets.fields import Captioned
from vault.screens.words import items as items_words

_WIDTH = 900
_CENT = 10_000


class SettleForm(Form):
    """Takes what their paper says, and holds it against the own estimate and the terms."""

    name = "settle"

    def __init__(self, kit: FormKit, ref: str, parent: QWidget | None = None) -> None:
        super().__init__(kit, "Settle a shipment", parent)
        self._ref = ref
        self._help: SettlementHelp | None = None
        # So many rows of metal back were ever put in: each asks for a tag of its own.
        self._backs = 0
        self._previews = Previews(
            kit.background, self._preview_wanted, self._show, self._on_failed, self
        )
        self.received = kit.weight_field("weight received", "as it came to them")
        self.dry = kit.weight_field("dry weight", "if they dried it")
        self.priced = DayField(
            "day of their prices",
            lambda: kit.questions.now(kit.book).date(),
            "today, or as they say",
        )
        self.priced.setToolTip("The sheet is tried at the prices last set here by that day")
        self.agreed: Rows[AgreedRow] = Rows(
            "", "One more line: a container, or an item", lambda: AgreedRow(kit), least=1
        )
        self.amounts: Rows[AmountRow] = Rows(
            "Money, line by line as on their paper",
            "One more line of money",
            lambda: AmountRow(kit.style),
            least=1,
        )
        self.back: Rows[BackRow] = Rows("", "Metal came back …", lambda: BackRow(kit))
        self.by_sheet = QPushButton("Take the lines of the terms sheet")
        self.against = AgainstCard(kit.style)
        self.sheet = SheetCard(kit.style)
        self.dispute = DisputeCard()
        self.show_subject(f"Settle {ref}", "")
        self._lay_out_fields()
        self.setMinimumWidth(_WIDTH)
        self.put_last()
        self._begin()

    # --- what the frame asks for ----------------------------------------------------------------

    @override
    def subject(self) -> str:
        return self._ref

    @override
    def content(self) -> dict[str, object]:
        return {
            "received": self.received.text,
            "dry": self.dry.text,
            "priced": self.priced.text,
            "agreed": self.agreed.texts(),
            "amounts": self.amounts.texts(),
            "back": self.back.texts(),
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.received.write(str(content.get("received", "")))
        self.dry.write(str(content.get("dry", "")))
        self.priced.write(str(content.get("priced", "")))
        self.agreed.write_texts(content.get("agreed", ()))
        self.amounts.write_texts(content.get("amounts", ()))
        self.back.write_texts(content.get("back", ()))
        self._previews.look_again()

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        for field in (self.received, self.dry, self.priced):
            if told := field.trouble():
                return told, field
        for rows in (self.agreed, self.amounts, self.back):
            if (trouble := rows.trouble()) is not None:
                return trouble
        draft = self.draft()
        if not draft.agreed and not draft.amounts:
            told = "Nothing is settled yet; type a grade they found, or a line of money."
            return told, self.agreed.rows[0].contents
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(self.kit.acts.settle_shipment, settlement=self.draft(), key=key)

    @override
    def told(self) -> str:
        return f"Shipment {self._ref} settled"

    # --- the draft and its preview --------------------------------------------------------------

    def draft(self) -> SettlementDraft:
        """Give what stands in the form."""
        row = None if self._help is None else self._help.row
        tags = () if self._help is None else self._help.tags
        containers = () if row is None else row.containers
        agreed = (one.draft(containers, tags) for one in self.agreed.rows)
        amounts = (one.amount() for one in self.amounts.rows)
        return SettlementDraft(
            ref=self._ref,
            party="" if row is None else row.party,
            received=self.received.mass(),
            dry=self.dry.mass(),
            priced_on=self.priced.day(),
            agreed=tuple(one for one in agreed if one.contents),
            amounts=tuple(one for one in amounts if one is not None),
            back=tuple(one.draft() for one in self.back.rows if not one.is_empty),
            note=tidied(self.note.text),
            when=self.when.when() if not self.when.trouble() else None,
        )

    @override
    def on_edited(self) -> None:
        super().on_edited()
        self._previews.look_again()

    def _preview_wanted(self) -> Callable[[], SettlementPreview]:
        kit = self.kit
        return partial(kit.questions.settlement_preview, kit.book, self.draft(), kit.style.numbers)

    def _show(self, preview: SettlementPreview) -> None:
        self.against.show_preview(preview)
        self.sheet.show_preview(preview)
        self.dispute.show_dispute(preview.dispute)
        self.by_sheet.setEnabled(preview.by_sheet is not None)
        draft = self.draft()
        if draft.agreed or draft.amounts:
            self.refuse("\n".join(preview.refused))

    # --- its own --------------------------------------------------------------------------------

    def _lay_out_fields(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(Captioned("Weight received", self.received), 1)
        head.addWidget(Captioned("Dry weight", self.dry), 1)
        head.addWidget(Captioned("Prices of the day", self.priced), 1)
        self.by_sheet.setProperty("kind", "link")
        self.by_sheet.setAutoDefault(False)
        self.by_sheet.setEnabled(False)
        self.by_sheet.setToolTip("Write the lines that the sheet would have; then correct them")
        self.amounts.tools.insertWidget(1, self.by_sheet)
        self.body.addLayout(head)
        for part in (self.agreed, self.against, self.amounts, self.sheet, self.dispute, self.back):
            self.body.addWidget(part)

    def _begin(self) -> None:
        kit = self.kit
        for field, following in (
            (self.received, self.dry.setFocus),
            (self.dry, self.priced.setFocus),
            (self.priced, self.agreed.go_in),
        ):
            field.edited.connect(self.on_edited)
            field.taken.connect(following)
        for rows in (self.agreed, self.amounts, self.back):
            rows.edited.connect(self.on_edited)
        self.agreed.added.connect(self._on_agreed_added)
        self.amounts.added.connect(self._on_amount_added)
        self.back.added.connect(self._on_back_added)
        self.dispute.print_wanted.connect(self._on_print_wanted)
        self.by_sheet.clicked.connect(self._on_by_sheet_clicked)
        self.agreed.ended.connect(self.amounts.go_in)
        self.amounts.ended.connect(self._on_amounts_ended)
        self.back.ended.connect(self.go_to_button)
        self.ask(partial(kit.questions.settlement_help, kit.book, self._ref), self._on_help)
        self.received.setFocus()

    def _on_help(self, helped: SettlementHelp) -> None:
        self._help = helped
        row, numbers = helped.row, self.kit.style.numbers
        many = items_words(row.items, numbers.count(row.items))
        told = [row.party, row.terms, many, numbers.total_weight(row.weight_ug)]
        self.show_subject(f"Settle {self._ref}", " · ".join(one for one in told if one))
        for agreed in self.agreed.rows:
            self._on_agreed_added(agreed)
        for amount in self.amounts.rows:
            self._on_amount_added(amount)
        if helped.returns_metal and not self.back.rows:
            self.back.add()
        self._previews.look_again()

    def _on_agreed_added(self, row: AgreedRow) -> None:
        if self._help is not None:
            row.of.offer((*self._help.row.containers, *self._help.tags))

    def _on_amount_added(self, row: AmountRow) -> None:
        if self._help is not None:
            row.money.currency = self._help.currency
            row.money.line.setPlaceholderText(self._help.currency)

    def _on_back_added(self, row: BackRow) -> None:
        if self._help is None:
            return
        row.form.offer(self._help.forms)
        row.place.offer(self._help.places)
        kit, owner = self.kit, f"settle-{self._ref}-{self._backs}"
        self._backs += 1
        self.ask(
            partial(kit.questions.tags, kit.book, owner, ["bar"]),
            lambda tags: row.propose_tag(tags[0]) if row in self.back.rows else None,
        )

    def _on_amounts_ended(self) -> None:
        if not self.back.go_in():
            self.go_to_button()

    def _on_print_wanted(self, letter: str) -> None:
        self.kit.print_letter(self.kit.book, f"The settlement of shipment {self._ref}", letter)

    def _on_by_sheet_clicked(self) -> None:
        preview = self._previews.last
        found = None if preview is None else preview.by_sheet
        if found is None:
            return
        mark, currency = self.kit.style.numbers.decimal_mark, found.sheet.currency
        empty = [row for row in self.amounts.rows if not row.money.text and not row.words.text]
        for words, amount in found.proposed:
            row = empty.pop(0) if empty else self.amounts.add()
            money = Money(round(amount * 100) * _CENT, currency)
            row.write_amount(words, money, mark)
        self.on_edited()
