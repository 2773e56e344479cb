"""A form about one item: its tag, what it is, where it lies, and the cautions that go with it."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QWidget

from vault.application.queries.answers.bench import ItemBrief
from vault.application.queries.answers.forms import ItemFacts
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.numbers import Numbers, day
from vault.screens.words import NO_PLACE


class ItemForm(Form):
    """Asks for its item when it is opened and shows it at its head."""

    verb = ""  # what is done, as the title says it: `Weigh`

    def __init__(self, kit: FormKit, tag: str, parent: QWidget | None = None) -> None:
        super().__init__(kit, f"{self.verb} {tag}", parent)
        self.tag = tag
        self.facts: ItemFacts | None = None
        self.show_subject(tag, "…")
        self.build()
        self.put_last()
        self.ask(partial(kit.questions.item, kit.book, tag), self._on_item_answered)

    def build(self) -> None:
        """Put the form's own fields into its body."""
        raise NotImplementedError

    def show_item(self, facts: ItemFacts) -> None:
        """Show what is known of the item, once that is there."""

    def subject(self) -> str:
        """The form is about its item."""
        return self.tag

    def _on_item_answered(self, facts: ItemFacts) -> None:
        self.facts = facts
        words = words_of(facts.brief, self.kit.style.numbers)
        self.show_subject(facts.brief.tag, words, facts.cautions)
        if facts.brief.trouble:
            self.refuse(facts.brief.trouble)
        self.show_item(facts)


def words_of(brief: ItemBrief, numbers: Numbers) -> str:
    """Say what an item is, where it lies, what it weighs, whose it is and how long it is held."""
    weight = "never weighed" if brief.gross_ug is None else numbers.weight(brief.gross_ug)
    held = "" if brief.hold_until is None else f"held until {day(brief.hold_until)}"
    told = [brief.form, brief.place or NO_PLACE, weight, brief.party, held]
    return " · ".join(one for one in told if one)
