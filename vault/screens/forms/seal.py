"""Seals: a numbered one is put on an item or a container, looked at, or broken."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.forms import ContainerFacts, ItemFacts
from vault.application.queries.answers.seals import SealFacts
from vault.core.daybook import Role
from vault.screens.forms.form import Form
from vault.screens.forms.item_form import words_of
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.labels import label
from vault.screens.widgets.seals import seal_words
from vault.screens.words import items as items_words

_ROLES = (
    (Role.APPLIED, "put on"),
    (Role.CHECKED, "looked at, whole"),
    (Role.BROKEN, "broken"),
)
_DONE = {Role.APPLIED: "put on", Role.CHECKED: "looked at on", Role.BROKEN: "broken on"}
_BREAKING = (
    "Once it is recorded as broken, what it keeps shut can be taken out, put in and worked again."
)


class SealForm(Form):
    """Takes the number of a seal, what was done with it, and who saw it."""

    name = "seal"

    def __init__(self, kit: FormKit, thing: str, parent: QWidget | None = None) -> None:
        super().__init__(kit, f"Seal on {thing}", parent)
        self._thing = thing
        self._on_it: SealFacts | None = None
        self.now = label(size=Size.SECOND, kind="soft", wrap=True)
        self.role = Choice("What was done", list(_ROLES))
        self.role.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.number = Field("number", "as it stands on the seal")
        self.witness = Field("witness", "the second person who saw it")
        self.now.setToolTip("What was said last of the seal that still holds")
        self.witness.setToolTip("Two names make a seal worth something")
        self.show_subject(thing, "…")
        self.body.addWidget(self.now)
        self.body.addWidget(Captioned("What was done", self.role))
        self.put("Number of the seal", self.number)
        self.put("Seen by, besides you", self.witness)
        self.role.chosen.connect(self._on_role_chosen)
        self.put_last()
        self.ask_for_subject()

    def ask_for_subject(self) -> None:
        """Ask for the item that the seal is on."""
        self.ask(partial(self.kit.questions.item, self.kit.book, self._thing), self._on_item)

    @property
    def wanted(self) -> Role:
        """What was done with the seal."""
        return Role(self.role.value)

    @override
    def subject(self) -> str:
        return self._thing

    @override
    def content(self) -> dict[str, object]:
        return {
            "role": self.wanted.value,
            "number": self.number.text,
            "witness": self.witness.text,
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.role.choose(Role(str(content.get("role", Role.APPLIED.value))))
        self.number.write(str(content.get("number", "")))
        self.witness.write(str(content.get("witness", "")))

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.number.text:
            return "Read the number off the seal and type it.", self.number
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.seal,
            name=self._thing,
            number=self.number.text,
            role=self.wanted,
            witness=self.witness.text,
            note=self.note.text,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        return f"Seal {self.number.text} {_DONE[self.wanted]} {self._thing}"

    def _on_item(self, facts: ItemFacts) -> None:
        words = words_of(facts.brief, self.kit.style.numbers)
        self.show_subject(facts.brief.tag, words, facts.cautions)
        if facts.brief.trouble:
            self.refuse(facts.brief.trouble)
        own = [one for one in facts.seals if one.name == self._thing]
        self.show_seal(own[0] if own else None)

    def show_seal(self, seal: SealFacts | None) -> None:
        """Show which seal is on it in the book."""
        self._on_it = seal
        if seal is None:
            self.now.setText("There is no seal on it in the book.")
            return
        self.now.setText(f"On it: {seal_words(seal, of=self._thing)}.")
        if self.wanted is Role.APPLIED and not self.number.text:
            self.role.choose(Role.CHECKED)
            self._on_role_chosen()

    def _on_role_chosen(self) -> None:
        # A number read off the seal proves something; one filled in by the program does not.
        self.say_finding(_BREAKING if self.wanted is Role.BROKEN else "")
        self.on_edited()


class SealContainerForm(SealForm):
    """The same of a container."""

    @override
    def ask_for_subject(self) -> None:
        kit = self.kit
        self.ask(partial(kit.questions.container, kit.book, self.subject()), self._on_container)

    def _on_container(self, facts: ContainerFacts) -> None:
        told = [f"in {facts.lies_in}" if facts.lies_in else "", items_words(len(facts.tags))]
        what = " · ".join(one for one in told if one)
        self.show_subject(facts.name, what, facts.cautions)
        self.show_seal(facts.seal)
