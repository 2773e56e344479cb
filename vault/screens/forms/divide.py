"""Dividing an item: cut, drilled or riffled into parts that are alike; the rest is worked out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QToolButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.bench import KnownNames
from vault.application.queries.answers.forms import ItemFacts
from vault.core.daybook import Line, Role
from vault.core.masses import Mass
from vault.screens.forms.item_form import ItemForm
from vault.screens.forms.kit import FormKit
from vault.screens.look import FIELD_HEIGHT
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import label
from vault.screens.widgets.named_field import NamedField

_WAYS = (("cut", "cut"), ("drilled", "drilled"), ("riffled", "riffled"), ("split", "split"))
_SAMPLE = "sample"
_MOST_PARTS = 8
_FORM_WIDTH = 112
_WIDTH = 720


class PartRow(QWidget):
    """One part: its tag, what it is, what it weighs, where it goes.

    Signals:
        edited: something of it changed.
        form_chosen: it became something else, which wants another tag.
        dropped: it is not wanted after all.
    """

    edited = Signal()
    form_chosen = Signal()
    dropped = Signal()

    def __init__(self, kit: FormKit, forms: Sequence[str], *, is_rest: bool = False) -> None:
        super().__init__()
        self.is_rest = is_rest
        self.tag = ""
        self.tag_label = label("…", bold=True)
        self.tag_label.setMinimumWidth(70)
        self.form = Choice("Form", [(one, one) for one in dict.fromkeys(forms)])
        self.weight = kit.weight_field(
            "weight of the rest" if is_rest else "weight",
            "the rest, or weigh it" if is_rest else "weight",
        )
        self.place = NamedField("place", "place", completes=True)
        self.cross = QToolButton()
        self.cross.setText("×")
        self.cross.setProperty("kind", "plain")
        self.cross.setToolTip("Leave this part out")
        self.cross.setFixedSize(FIELD_HEIGHT, FIELD_HEIGHT)
        room = self.cross.sizePolicy()
        room.setRetainSizeWhenHidden(True)
        self.cross.setSizePolicy(room)
        self.cross.setVisible(not is_rest)
        self.form.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.form.setFixedWidth(_FORM_WIDTH)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self.tag_label.setFixedHeight(FIELD_HEIGHT)
        for part, share in (
            (self.tag_label, 0),
            (self.form, 0),
            (self.weight, 3),
            (self.place, 3),
            (self.cross, 0),
        ):
            row.addWidget(part, share, Qt.AlignmentFlag.AlignTop)
        self.form.chosen.connect(lambda _: self.form_chosen.emit())
        self.cross.clicked.connect(self.dropped)
        for field in (self.weight, self.place):
            field.edited.connect(self.edited)

    def show_tag(self, tag: str) -> None:
        """Give it its tag."""
        self.tag = tag
        self.tag_label.setText(tag)

    def line(self) -> Line:
        """Give it as a line of the entry."""
        return Line(
            Role.MADE,
            self.tag,
            str(self.form.value),
            place=self.place.name(),
            gross=self.weight.mass(),
            gross_u=self.weight.mass_u,
            scale=self.weight.source(),
        )


class DivideForm(ItemForm):
    """Takes the parts of one item."""

    name = "divide"
    verb = "Divide"

    @override
    def build(self) -> None:
        self.setMinimumWidth(_WIDTH)
        self.way = Choice("How", list(_WAYS))
        self.way.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.way.setToolTip("However it was done, its parts are taken to be alike")
        self.add_button = QPushButton("Another part")
        self.add_button.setToolTip("One part more, with a tag of its own")
        self.rest_words = label(bold=True)
        self.rest_words.setToolTip(
            "What the item weighed before, less the parts. It is not recorded as weighed unless "
            "you weigh it."
        )
        self.rows: list[PartRow] = []
        self._names = KnownNames()
        head = QHBoxLayout()
        head.addWidget(label("It was", kind="soft"))
        head.addWidget(self.way)
        head.addStretch(1)
        head.addWidget(self.add_button)
        self._parts = QVBoxLayout()
        self._parts.setSpacing(8)
        self.body.addLayout(head)
        self.body.addLayout(self._parts)
        self.body.addWidget(self.rest_words)
        self.add_button.clicked.connect(self._on_add_clicked)
        self.way.chosen.connect(lambda _: self.on_edited())
        kit = self.kit
        kit.background.asker(self).ask(partial(kit.questions.names, kit.book), self._on_names)
        self._tags_asker = kit.background.asker(self)

    @override
    def show_item(self, facts: ItemFacts) -> None:
        if not self.rows:
            self._add()
            self._add(is_rest=True)
            self.rows[0].weight.setFocus()
        self._work_out_rest()

    @override
    def content(self) -> dict[str, object]:
        return {
            "way": self.way.value,
            "parts": [[str(one.form.value), one.weight.text, one.place.text] for one in self.rows],
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.way.choose(content.get("way"))
        told = list(content.get("parts", ()))
        while len(self.rows) < min(len(told), _MOST_PARTS):
            self._add()
        for row, (form, weight, place) in zip(self.rows, told, strict=False):
            row.form.choose(str(form))
            row.weight.write(str(weight))
            row.place.write(str(place))
        self._ask_for_tags()
        self._work_out_rest()

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if self.facts is None or not all(one.tag for one in self.rows):
            return "One moment: the tags are still being looked up.", self
        for row in self.rows:
            trouble = row.weight.trouble() or row.place.trouble()
            if trouble:
                return trouble, row.weight
            if not row.is_rest and row.weight.mass() is None:
                told = f"What does {row.tag} weigh? Only the rest can be worked out."
                return told, row.weight
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        note = ", ".join(one for one in (str(self.way.value), self.note.text) if one)
        return partial(
            self.kit.acts.divide,
            tag=self.tag,
            parts=[row.line() for row in self.rows],
            note=note,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        tags = [row.tag for row in self.rows]
        return f"{self.tag} {self.way.value} into {', '.join(tags[:-1])} and {tags[-1]}"

    @override
    def done(self, result: int) -> None:
        kit = self.kit
        kit.background.ask(
            partial(kit.questions.let_tags_go, kit.book, self._owner()), lambda _: None
        )
        super().done(result)

    # --- its own --------------------------------------------------------------------------------

    def _owner(self) -> str:
        return f"divide {self.tag}"

    def _add(self, *, is_rest: bool = False) -> None:
        form = "" if self.facts is None else self.facts.brief.form
        forms = [form, _SAMPLE] if is_rest else [_SAMPLE, form]
        row = PartRow(self.kit, [one for one in forms if one], is_rest=is_rest)
        row.place.offer(self._names.places)
        if is_rest and self.facts is not None:
            row.place.write(self.facts.brief.place)
        row.edited.connect(self._on_row_edited)
        row.form_chosen.connect(self._ask_for_tags)
        row.dropped.connect(partial(self._drop, row))
        place = len(self.rows) if is_rest else max(0, len(self.rows) - 1)
        if not is_rest and not self.rows:
            place = 0
        self.rows.insert(place, row)
        self._parts.insertWidget(place, row)
        # A layout shows what it is given only later, and the hand goes there at once.
        row.setVisible(True)
        row.weight.taken.connect(partial(self._on_weight_taken, row))
        row.place.taken.connect(self.record)
        self.add_button.setEnabled(len(self.rows) < _MOST_PARTS)
        self._ask_for_tags()

    def _drop(self, row: PartRow) -> None:
        if len(self.rows) > 2:
            self.rows.remove(row)
            self._parts.removeWidget(row)
            row.hide()
            row.deleteLater()
            self._ask_for_tags()
            self._on_row_edited()

    def _ask_for_tags(self) -> None:
        kit = self.kit
        forms = tuple(str(row.form.value) for row in self.rows)
        self._tags_asker.ask(
            partial(kit.questions.tags, kit.book, self._owner(), forms), self._on_tags
        )

    def _on_tags(self, tags: Sequence[str]) -> None:
        for row, tag in zip(self.rows, tags, strict=False):
            row.show_tag(tag)

    def _on_names(self, names: KnownNames) -> None:
        self._names = names
        for row in self.rows:
            row.place.offer(names.places)

    def _on_add_clicked(self) -> None:
        self._add()
        self.rows[-2].weight.setFocus()

    def _on_row_edited(self) -> None:
        self._work_out_rest()
        self.on_edited()

    def _on_weight_taken(self, row: PartRow) -> None:
        place = self.rows.index(row) + 1
        if place < len(self.rows):
            self.rows[place].weight.setFocus()
        else:
            self.record()

    def _work_out_rest(self) -> None:
        if self.facts is None:
            return
        numbers = self.kit.style.numbers
        weights = [mass for row in self.rows if (mass := row.weight.mass()) is not None]
        told = self.kit.questions.rest(self.tag, self.facts.weighed, weights, numbers)
        self.say_finding(told.trouble)
        if told.rest_ug is None:
            self.rest_words.setText(f"{self.tag} was never weighed; the rest stays not weighed.")
        elif not told.trouble:
            is_all_weighed = all(row.weight.mass() is not None for row in self.rows)
            what = "Left over, dust of the cut" if is_all_weighed else "The rest"
            self.rest_words.setText(f"{what}: {numbers.mass(Mass(told.rest_ug))}")
        else:
            self.rest_words.clear()
