"""Recording an assay: metals with their ±, by which method, whose, and what it changes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.bench import KnownNames
from vault.application.queries.answers.forms import ItemFacts, KnownContents
from vault.core.knowledge import METHODS, SETTLEMENT
from vault.screens.forms.form import Form
from vault.screens.forms.items_field import ItemsField
from vault.screens.forms.kit import FormKit
from vault.screens.forms.learnt import LearntPart
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.named_field import NamedField
from vault.screens.words import items as items_words

# A settlement is recorded with its shipment, not here.
_METHODS = [(one, one) for one in METHODS if one != SETTLEMENT]


class AssayForm(Form):
    """Takes what an assay says of one item, or of several alike, and shows what it changed."""

    name = "assay"

    def __init__(self, kit: FormKit, tags: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(kit, "Record an assay", parent)
        self._first = ",".join(tags)
        self._parts: dict[str, str] = {}
        self._related: set[str] = set()
        self._before: KnownContents = {}
        self.show_subject("Record an assay", "Of which item, what it says, and how that was found")
        self.items = ItemsField(kit)
        self.contents = ContentsField(kit.style)
        self.method = Choice("Method", _METHODS)
        self.party = NamedField("whose assay", "ours, or who made it", new_words="a new name")
        self.certificate = Field("certificate", "its number")
        self.portion = kit.weight_field("assay weight", "of the portion assayed")
        self.learnt = LearntPart(kit)
        self._build()
        self.put_last()
        self._begin(tags)

    @override
    def subject(self) -> str:
        return self._first

    @override
    def content(self) -> dict[str, object]:
        return {
            "tags": list(self.items.tags),
            "contents": [list(one) for one in self.contents.texts()],
            "method": self.method.value,
            "party": self.party.text,
            "certificate": self.certificate.text,
            "portion": self.portion.text,
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.items.take([str(one) for one in content.get("tags", ())])
        self.contents.write_texts([(str(a), str(b)) for a, b in content.get("contents", ())])
        self.method.choose(content.get("method"))
        self.party.write(str(content.get("party", "")))
        self.certificate.write(str(content.get("certificate", "")))
        self.portion.write(str(content.get("portion", "")))

    @override
    def take_scan(self, text: str) -> bool:
        self.items.take_scan(text)
        return True

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.items.tags:
            return "Which item was assayed? Scan or type its tag.", self.items
        trouble = self.contents.trouble()
        if trouble:
            return trouble, self.contents
        if not self.contents.contents():
            return "There is no fineness yet; type one, such as 925 ± 0.5 ‰.", self.contents
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.assay,
            tags=self.items.tags,
            contents=self.contents.contents(),
            how=str(self.method.value),
            party=self.party.name(),
            ref=self.certificate.text,
            note=self._note(),
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        tags = self.items.tags
        what = tags[0] if len(tags) == 1 else items_words(len(tags))
        return f"{what} assayed by {self.method.value}"

    @override
    def after_recording(self, changes: Changes) -> None:
        """Stay, and show what it changed once the figures are worked out."""
        for part in (self._fields_part, self.note.parentWidget(), self.when.parentWidget()):
            if part is not None:
                part.hide()
        self.say_finding("")
        self.record_button.hide()
        self.leave_button.setText("Close")
        self.leave_button.setEnabled(True)
        self.show_subject(self.told(), f"Entry {changes.entries[-1]}")
        self.learnt.wait(self._before)
        self.learnt.show()
        self.leave_button.setFocus()

    # --- its own --------------------------------------------------------------------------------

    def _build(self) -> None:
        self.method.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.method.setToolTip("How it was found; the daybook names it beside every figure")
        self.contents.setToolTip(
            "What the assay says, with its ± where the certificate gives one: 925 ± 0.5 ‰"
        )
        self.portion.setToolTip("The portion that was assayed, not the item; it goes into the note")
        self.certificate.setToolTip("By this number the paper is found again")
        self._fields_part = QWidget()
        column = QVBoxLayout(self._fields_part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.items)
        column.addWidget(Captioned("What it says", self.contents))
        column.addLayout(_beside(Captioned("Method", self.method), Captioned("Whose", self.party)))
        column.addLayout(
            _beside(
                Captioned("Certificate", self.certificate),
                Captioned("Assay weight", self.portion),
            )
        )
        self.body.addWidget(self._fields_part)
        self.body.addWidget(self.learnt)
        self.learnt.hide()
        for one in (self.party, self.certificate, self.portion):
            self.follow(one)
        self.items.taken.connect(self.contents.setFocus)
        self.items.edited.connect(self._on_items_edited)
        self.contents.edited.connect(self.on_edited)
        self.contents.taken.connect(self.record)
        self.method.chosen.connect(lambda _: self.on_edited())

    def _begin(self, tags: Sequence[str]) -> None:
        kit = self.kit
        kit.background.asker(self).ask(partial(kit.questions.names, kit.book), self._on_names)
        if tags:
            self.items.take(tags)
            self.contents.setFocus()
        else:
            self.items.setFocus()

    def _note(self) -> str:
        weight = self.portion.mass()
        said = "" if weight is None else f"assay weight {self.kit.style.numbers.mass(weight)}"
        return ", ".join(one for one in (said, self.note.text) if one)

    def _on_names(self, names: KnownNames) -> None:
        self.party.offer(names.parties)

    def _on_items_edited(self) -> None:
        kit = self.kit
        for tag in self.items.tags:
            if tag not in self._parts:
                self._parts[tag] = ""
                kit.background.asker(self).ask(
                    partial(kit.questions.item, kit.book, tag), self._on_item
                )
        self._say_parts()
        self._ask_what_is_known()
        self.on_edited()

    def _on_item(self, facts: ItemFacts) -> None:
        part = facts.taken_from
        if part is not None:
            self._parts[facts.brief.tag] = f"{facts.brief.tag} is a part. {part.words}"
            self._related |= {*part.wholes, *part.others}
            self._say_parts()
            self._ask_what_is_known()

    def _say_parts(self) -> None:
        told = [words for tag in self.items.tags if (words := self._parts.get(tag))]
        self.say_finding("\n".join(told))

    def _ask_what_is_known(self) -> None:
        kit, tags = self.kit, tuple(dict.fromkeys((*self.items.tags, *sorted(self._related))))
        self.ask(partial(kit.questions.known, kit.book, tags), self._on_known)

    def _on_known(self, known: KnownContents) -> None:
        self._before = known


def _beside(*parts: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(12)
    for part in parts:
        row.addWidget(part, 1)
    return row
