"""Weighing an item again: the weight before, the difference, and whether that can be."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.forms import ItemFacts, WeightVerdict
from vault.core.masses import Mass
from vault.screens.forms.item_form import ItemForm
from vault.screens.look import Size
from vault.screens.numbers import MINUS, Numbers, day
from vault.screens.widgets.labels import label


class WeighForm(ItemForm):
    """Takes what the scale says of one item."""

    name = "weigh"
    verb = "Weigh"

    @override
    def build(self) -> None:
        self.weight = self.kit.weight_field("weight", "put it on the scale, or type it")
        self.before = label(size=Size.SECOND, kind="soft", wrap=True)
        self.difference = label(bold=True)
        self.put("Weight", self.weight)
        self.difference.setToolTip(
            "Against the weight before. Two weighings of an unchanged thing lie within three "
            "standard uncertainties of each other, but for one in 370."
        )
        self.body.addWidget(self.before)
        self.body.addWidget(self.difference)
        self.weight.edited.connect(self._compare)

    @override
    def show_item(self, facts: ItemFacts) -> None:
        weighed = facts.weighed
        numbers = self.kit.style.numbers
        self.before.setText(
            "It was never weighed before."
            if weighed is None
            else f"Before: {numbers.weight(weighed.gross_ug)}, {day(weighed.day)} by {weighed.by} "
            f"(entry {weighed.entry})."
        )
        self._compare()

    @override
    def content(self) -> dict[str, object]:
        return {"weight": self.weight.text}

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.weight.write(str(content.get("weight", "")))
        self._compare()

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if self.weight.mass() is None and not self.weight.trouble():
            return "There is no weight yet: put it on the scale, or type it.", self.weight
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.weigh,
            tag=self.tag,
            gross=self.weight.mass(),
            gross_u=self.weight.mass_u,
            scale=self.weight.source(),
            note=self.note.text,
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        weight = self.weight.mass()
        said = "" if weight is None else f", {self.kit.style.numbers.mass(weight)}"
        return f"{self.tag} weighed{said}"

    def _compare(self) -> None:
        weight, numbers = self.weight.mass(), self.kit.style.numbers
        if weight is None or self.facts is None or self.facts.weighed is None:
            self.difference.clear()
            self.say_finding("")
            return
        weighed = self.facts.weighed
        u = self.weight.mass_u
        verdict = self.kit.questions.compare(self.tag, weighed, weight, u, numbers)
        self.difference.setText(difference_words(verdict, numbers))
        self.say_finding(verdict.warning)


def difference_words(verdict: WeightVerdict, numbers: Numbers) -> str:
    """Say how far a weight lies from the one before: `+ 0.02 g, within what two weighings do`."""
    if verdict.difference_ug == 0:
        return "The same as before."
    sign = MINUS if verdict.difference_ug < 0 else "+"
    told = f"{sign} {numbers.mass(Mass(abs(verdict.difference_ug)))}"
    return told if verdict.warning else f"{told}, within what two weighings differ"
