"""Making up a shipment: whole containers and single items, to a refinery, under its terms."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.operations.shipment_draft import ShipmentDraft
from vault.application.queries.answers.shipments import PackedRow, ShipmentHelp, ShipmentPreview
from vault.application.queries.answers.work import Gravity
from vault.core.words import tidied
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.forms.previews import Previews
from vault.screens.screen import Chosen
from vault.screens.shipments.drum_fields import DrumFields
from vault.screens.shipments.own_card import OwnCard
from vault.screens.shipments.packing_list import PackingList
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.named_field import NamedField
from vault.screens.words import items as items_words

_WIDTH = 900
_MOST_SAID = 5
_WHAT = "Whole containers and single items, to a refinery, to be settled later"


class ShipmentForm(Form):
    """Takes what goes, to whom and under which terms, and shows what that holds."""

    name = "shipment"

    def __init__(self, kit: FormKit, about: Chosen, parent: QWidget | None = None) -> None:
        super().__init__(kit, "Make up a shipment", parent)
        self._about = about
        self._sheets: Mapping[str, tuple[str, ...]] = {}
        self._cautioned: tuple[str, ...] = ()
        # What lay in each container when a draft of before the crash was recorded.
        self._packed_before: dict[str, tuple[str, ...]] = {}
        self._previews = Previews(
            kit.background, self._preview_wanted, self._show, self._on_failed, self
        )
        self.party = NamedField("to whom", "its name", new_words="a new name", completes=True)
        self.terms = NamedField("terms", "the terms sheet", completes=True)
        self.number = Field("shipment number", "as on the papers")
        self.packed = PackingList(kit)
        self.drum = DrumFields(kit)
        self.own = OwnCard(kit.style)
        self.number.setToolTip("The settlement that comes back names it")
        self.terms.setToolTip("The sheet by which the refinery pays; those that hold are offered")
        self.note.line.setPlaceholderText("for the carrier")
        self.show_subject("Make up a shipment", _WHAT)
        self._lay_out_fields()
        self.setMinimumWidth(_WIDTH)
        self.put_last()
        self._begin()

    # --- what the frame asks for ----------------------------------------------------------------

    @override
    def subject(self) -> str:
        return self._about.container or ",".join(self._about.tags)

    @override
    def content(self) -> dict[str, object]:
        return {
            "party": self.party.text,
            "terms": self.terms.text,
            "number": self.number.text,
            "drums": list(self.packed.drums),
            "tags": list(self.packed.tags),
            "typed": self.drum.content(),
            # As they were when it was recorded, so that a retry says the same.
            "packed": {row.name: list(row.tags) for row in self._rows() if row.is_container},
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.party.write(str(content.get("party", "")))
        self.terms.write(str(content.get("terms", "")))
        self.number.write(str(content.get("number", "")))
        self.drum.fill(content.get("typed", {}))
        self._packed_before = {
            str(name): tuple(tags) for name, tags in content.get("packed", {}).items()
        }
        self.packed.drums, self.packed.tags = [], []
        self.packed.take(drums=content.get("drums", ()), tags=content.get("tags", ()))

    @override
    def take_scan(self, text: str) -> bool:
        self.packed.take_scan(text)
        return True

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.packed.drums and not self.packed.tags:
            return "Nothing is on the list yet; scan or type what goes.", self.packed
        if not self.party.name():
            return "Who gets it? Type the refinery's name.", self.party
        if not self.number.text:
            return "Give the shipment a number, by which its settlement is found.", self.number
        for field in (self.party, self.terms):
            if told := field.trouble():
                return told, field
        name, sentence = self.drum.unread()
        if name:
            self.packed.choose(name)
            return sentence, self.drum.full
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(self.kit.acts.send_shipment, shipment=self.draft(), key=key)

    @override
    def told(self) -> str:
        many = len(self.draft().all_tags)
        told = items_words(many, self.kit.style.numbers.count(many))
        return f"Shipment {self.number.text}, {told}, sent to {self.party.name()}"

    @override
    def after_recording(self, changes: Changes) -> None:
        super().after_recording(changes)
        self.kit.print_shipment(self.kit.book, changes.entries[-1])

    # --- the draft and its preview --------------------------------------------------------------

    def draft(self) -> ShipmentDraft:
        """Give what stands in the form, with what lay in its containers when last looked at."""
        packed = dict(self._packed_before)
        packed |= {row.name: row.tags for row in self._rows() if row.tags}
        return ShipmentDraft(
            ref=tidied(self.number.text),
            party=self.party.name(),
            terms=self.terms.name(),
            drums=tuple(
                replace(self.drum.texts_of(name).draft(name), tags=packed.get(name, ()))
                for name in self.packed.drums
            ),
            tags=tuple(self.packed.tags),
            note=tidied(self.note.text),
            when=self.when.when() if not self.when.trouble() else None,
        )

    @override
    def on_edited(self) -> None:
        super().on_edited()
        self._previews.look_again()

    def _preview_wanted(self) -> Callable[[], ShipmentPreview]:
        kit = self.kit
        return partial(kit.questions.shipment_preview, kit.book, self.draft(), kit.style.numbers)

    def _show(self, preview: ShipmentPreview) -> None:
        self.packed.show_rows(preview.rows)
        self.own.show_preview(preview)
        if preview.cautions != self._cautioned:
            self._cautioned = preview.cautions
            self.show_subject("Make up a shipment", _WHAT, preview.cautions)
        self._say(preview)

    def _say(self, preview: ShipmentPreview) -> None:
        """Say what is refused, and what wants a look; what lacks is said when it is recorded."""
        refused = [one.sentence for one in preview.findings if one.gravity is Gravity.REFUSES]
        warned = [one.sentence for one in preview.findings if one.gravity is Gravity.WARNS]
        self.refuse(_shortened(refused))
        self.say_finding(_shortened(warned))

    # --- its own --------------------------------------------------------------------------------

    def _lay_out_fields(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(Captioned("To", self.party), 3)
        head.addWidget(Captioned("Terms", self.terms), 3)
        head.addWidget(Captioned("Shipment number", self.number), 2)
        self.body.addLayout(head)
        self.body.addWidget(self.packed)
        self.body.addWidget(self.drum)
        self.body.addWidget(self.own)

    def _begin(self) -> None:
        kit = self.kit
        for field, following in (
            (self.party, self.terms),
            (self.terms, self.number),
            (self.number, self.packed),
        ):
            field.edited.connect(self.on_edited)
            field.taken.connect(following.setFocus)
        self.party.named.connect(self._on_party_named)
        self.packed.edited.connect(self.on_edited)
        self.packed.taken.connect(self._on_packed_taken)
        self.packed.row_chosen.connect(self._on_row_chosen)
        self.drum.edited.connect(self.on_edited)
        self.drum.taken.connect(self.packed.setFocus)
        self.ask(partial(kit.questions.shipment_help, kit.book), self._on_help)
        drums = [self._about.container] if self._about.container else []
        self.packed.take(drums=drums, tags=self._about.tags)
        self.party.setFocus()

    def _on_help(self, helped: ShipmentHelp) -> None:
        self._sheets = helped.sheets
        self.party.offer(helped.parties)
        self.packed.offer(helped.places)
        self._offer_terms()
        if not self.number.text:
            self.number.write(helped.next_number)
        self._previews.look_again()

    def _on_party_named(self, _party: str) -> None:
        self._offer_terms()

    def _offer_terms(self) -> None:
        """Offer the sheets of this refinery; where there is one, take it."""
        offered = self._sheets.get(self.party.name(), ())
        self.terms.offer(offered)
        many = f"{len(offered)} sheets; Down shows them" if len(offered) > 1 else "the terms sheet"
        self.terms.line.setPlaceholderText(many)
        known = {name for names in self._sheets.values() for name in names}
        # What came back after a crash may be recorded already, and then says what it said.
        is_free = not self.terms.text or self.terms.name() in known
        if len(offered) == 1 and is_free and not self._packed_before:
            self.terms.write(offered[0])
            self.on_edited()

    def _on_row_chosen(self, name: str) -> None:
        self.drum.show_row(next((row for row in self._rows() if row.name == name), None))

    def _rows(self) -> Sequence[PackedRow]:
        """Give what is on the list, as it was last looked at."""
        return () if self._previews.last is None else self._previews.last.rows

    def _on_packed_taken(self) -> None:
        if self.drum.isVisibleTo(self) and not self.drum.texts_of(self.drum.name).full.text:
            self.drum.full.setFocus()
        else:
            self.go_to_button()


def _shortened(sentences: list[str]) -> str:
    told = sentences[:_MOST_SAID]
    if len(sentences) > len(told):
        told.append(f"And {len(sentences) - len(told)} more; settle these first.")
    return "\n".join(told)
