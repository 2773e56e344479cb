"""Moving: one item, several, or a whole container with all that lies in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.bench import KnownNames
from vault.application.queries.answers.forms import ContainerFacts
from vault.screens.forms.form import Form
from vault.screens.forms.items_field import ItemsField
from vault.screens.forms.kit import FormKit
from vault.screens.widgets.named_field import NamedField
from vault.screens.words import items as items_words


class PlaceForm(Form):
    """A form that asks for a place among those that the book knows."""

    def put_place(self) -> None:
        """Put the field for the place into the body."""
        kit = self.kit
        self.place = NamedField(
            "place", "scan a place, or type its name", new_words="a new place", completes=True
        )
        self.put("To", self.place)
        kit.background.asker(self).ask(partial(kit.questions.names, kit.book), self._on_names)

    def lacks_place(self) -> tuple[str, QWidget] | None:
        """Say that no place is given, or None."""
        if not self.place.name():
            return "Where does it go? Scan the place, or type its name.", self.place
        return None

    def take_place(self, text: str) -> None:
        """Take a place that was scanned."""
        self.place.write(text)
        self.record_button.setFocus()
        self.on_edited()

    def _on_names(self, names: KnownNames) -> None:
        self.place.offer(names.places)


def _is_place(field: NamedField, text: str) -> bool:
    return any(text.casefold() == one.casefold() for one in field.names_offered())


class MoveForm(PlaceForm):
    """Puts items into a place."""

    name = "move"

    def __init__(self, kit: FormKit, tags: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(kit, "Move", parent)
        self._first = ",".join(tags)
        self.show_subject("Move", "What goes, and where to")
        self.items = ItemsField(kit)
        self.body.addWidget(self.items)
        self.put_place()
        self.items.edited.connect(self._on_items_edited)
        self.items.taken.connect(self.place.setFocus)
        self.put_last()
        if tags:
            self.items.take(tags)
        else:
            self.items.setFocus()

    @override
    def subject(self) -> str:
        return self._first

    @override
    def content(self) -> dict[str, object]:
        return {"tags": list(self.items.tags), "place": self.place.text}

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.items.take([str(one) for one in content.get("tags", ())])
        self.place.write(str(content.get("place", "")))

    @override
    def take_scan(self, text: str) -> bool:
        if _is_place(self.place, text):
            self.take_place(text)
        else:
            self.items.take_scan(text)
        return True

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.items.tags:
            return "Nothing is in the list yet; scan or type the tag of what goes.", self.items
        return self.lacks_place()

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.move,
            tags=self.items.tags,
            place=self.place.name(),
            note=self.note.text,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        tags = self.items.tags
        what = tags[0] if len(tags) == 1 else items_words(len(tags))
        return f"{what} moved to {self.place.name()}"

    def _on_items_edited(self) -> None:
        same = [one.tag for one in self.items.briefs if one.place == self.place.name()]
        self.say_finding(f"{same[0]} lies there already." if same else "")
        self.on_edited()


class MoveContainerForm(PlaceForm):
    """Puts a container into another place, with all that lies in it."""

    name = "move container"

    def __init__(self, kit: FormKit, container: str, parent: QWidget | None = None) -> None:
        super().__init__(kit, f"Move {container} and all in it", parent)
        self._container = container
        self.show_subject(f"Move {container} and all in it", "…")
        self.put_place()
        self.put_last()
        self.ask(partial(kit.questions.container, kit.book, container), self._on_container)

    @override
    def subject(self) -> str:
        return self._container

    @override
    def content(self) -> dict[str, object]:
        return {"place": self.place.text}

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.place.write(str(content.get("place", "")))

    @override
    def take_scan(self, text: str) -> bool:
        self.take_place(text)
        return True

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        return self.lacks_place()

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.move,
            tags=(self._container,),
            place=self.place.name(),
            note=self.note.text,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        return f"{self._container} and all in it moved to {self.place.name()}"

    def _on_container(self, facts: ContainerFacts) -> None:
        told = [
            f"in {facts.lies_in}" if facts.lies_in else "",
            items_words(len(facts.tags)),
            self.kit.style.numbers.total_weight(facts.gross_ug) if facts.gross_ug else "",
            f"seal {facts.seal.number}" if facts.seal is not None else "",
        ]
        what = " · ".join(one for one in told if one)
        self.show_subject(f"Move {facts.name} and all in it", what, facts.cautions)
