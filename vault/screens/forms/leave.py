"""Items that leave the shop for good: returned to their customer, or sold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.bench import KnownNames
from vault.core.daybook import Act
from vault.core.forms import LEADED_FORMS
from vault.screens.forms.form import Form
from vault.screens.forms.items_field import ItemsField
from vault.screens.forms.kit import FormKit
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.named_field import NamedField
from vault.screens.words import items as items_words

_HOW = ((Act.RETURN, "returned"), (Act.SELL, "sold"))
_DONE = {Act.RETURN: "returned to", Act.SELL: "sold to"}
_LEAD = (
    "Lead goes with it: spent cupels and hood dust are presumed hazardous waste until shown "
    "otherwise. Label the container, and send it by a licensed carrier to a licensed place; the "
    "law where you are comes first."
)


class LeaveForm(Form):
    """Takes which items leave, how, and to whom."""

    name = "leave"

    def __init__(self, kit: FormKit, tags: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(kit, "Return or sell", parent)
        self._first = ",".join(tags)
        self._names: tuple[str, ...] = ()
        self.items = ItemsField(kit)
        self.how = Choice("How it leaves", list(_HOW))
        self.how.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.how.setToolTip("What goes to a refinery is made up as a shipment")
        self.party = NamedField("to whom", "its name", new_words="a new name", completes=True)
        self.show_subject("Return or sell", "What leaves the shop for good, and to whom")
        self.body.addWidget(self.items)
        self.body.addWidget(Captioned("How", self.how))
        self.put("To", self.party)
        self.put_last()
        self._begin(tags)

    @property
    def act(self) -> Act:
        """How the items leave."""
        return Act(self.how.value)

    @override
    def subject(self) -> str:
        return self._first

    @override
    def content(self) -> dict[str, object]:
        return {
            "tags": list(self.items.tags),
            "how": self.act.value,
            "party": self.party.text,
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.items.take([str(one) for one in content.get("tags", ())])
        self.how.choose(next((act for act, _ in _HOW if act.value == content.get("how")), None))
        self.party.write(str(content.get("party", "")))

    @override
    def take_scan(self, text: str) -> bool:
        self.items.take_scan(text)
        return True

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.items.tags:
            return "Nothing is in the list yet; scan or type the tag of what leaves.", self.items
        if not self.party.name():
            return "Who gets it? Type the name.", self.party
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        acts = self.kit.acts
        return partial(
            acts.return_ if self.act is Act.RETURN else acts.sell,
            tags=self.items.tags,
            party=self.party.name(),
            note=self.note.text,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        tags = self.items.tags
        what = tags[0] if len(tags) == 1 else items_words(len(tags))
        return f"{what} {_DONE[self.act]} {self.party.name()}"

    def _begin(self, tags: Sequence[str]) -> None:
        kit = self.kit
        self.items.edited.connect(self._on_items_edited)
        self.items.taken.connect(self.party.setFocus)
        self.how.chosen.connect(self._on_items_edited)
        kit.background.asker(self).ask(partial(kit.questions.names, kit.book), self._on_names)
        if tags:
            self.items.take(tags)
            self.party.setFocus()
        else:
            self.items.setFocus()

    def _on_names(self, names: KnownNames) -> None:
        self.party.offer(names.parties)

    def _on_items_edited(self) -> None:
        briefs = self.items.briefs
        owners = {one.party for one in briefs if one.party}
        told = []
        if any(one.form in LEADED_FORMS for one in briefs):
            told.append(_LEAD)
        if self.act is Act.RETURN and len(owners) == 1 and not self.party.text:
            self.party.write(next(iter(owners)))
        if self.act is Act.RETURN and len(owners) > 1:
            told.append(f"These came from {len(owners)} customers: {', '.join(sorted(owners))}.")
        self.say_finding("\n".join(told))
        self.on_edited()
