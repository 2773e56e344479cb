"""What is charged for one element that disturbs the refinery."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.errors import TextNotUnderstood
from vault.core.fineness import Fineness
from vault.core.money import Money
from vault.core.terms_sheets import Penalty
from vault.core.words import tidied
from vault.screens.house_style import HouseStyle
from vault.screens.terms_sheets.field_card import Part, RemovableCard
from vault.screens.terms_sheets.texts import PART_STEPS, WHOLE_STEPS
from vault.screens.widgets.amount_fields import MoneyField, PartField
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Field

_STEPS = ((WHOLE_STEPS, "Whole"), (PART_STEPS, "In part"))


class StepField(PartField):
    """The size of a step, without which no penalty can be reckoned."""

    @override
    def read(self) -> Fineness:
        step = super().read()
        if step is None:
            raise TextNotUnderstood("Type how large a step is, such as 0.1 %.")
        return step


class ChargeField(MoneyField):
    """A charge that cannot be left out."""

    @override
    def read(self) -> Money:
        money = super().read()
        if money is None:
            raise TextNotUnderstood("Type what each step costs, such as 0.05.")
        return money


class PenaltyCard(RemovableCard):
    """The penalty for one element."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        self.element = Field("element", "Pb, As …")
        self.free = PartField("free up to", style)
        self.step = StepField("size of a step", style, hint="needed")
        self.steps = Choice("a step that is only begun", list(_STEPS))
        self.per_kg = ChargeField("charge for a step and kilogram", style, per="kg", hint="needed")
        super().__init__(
            {
                "element": Part("Element", self.element, (0, 0, 3), (0, 0, 6)),
                "free": Part(
                    "Free up to",
                    self.free,
                    (0, 3, 2),
                    (0, 6, 6),
                    "Grade up to which nothing is charged",
                ),
                "step": Part("Each step of", self.step, (0, 5, 2), (1, 0, 6), "Above what is free"),
                "steps": Part(
                    "A step begun",
                    self.steps,
                    (0, 7, 2),
                    (1, 6, 6),
                    "Counts whole, or for the part of it that is reached",
                ),
                "per_kg": Part(
                    "Costs, for 1 kg",
                    self.per_kg,
                    (0, 9, 3),
                    (2, 0, 12),
                    "For each step and kilogram of the parcel",
                ),
            },
            parent,
        )
        self.remove.setAccessibleName("Leave this penalty out")

    @override
    def use_currency(self, currency: str) -> None:
        self.per_kg.currency = currency

    def penalty(self) -> Penalty:
        """Give the penalty.

        Raises:
            TextNotUnderstood: when a field cannot be read.
        """
        return Penalty(
            element=tidied(self.element.text),
            free=self.free.read() or Fineness(0),
            step=self.step.read(),
            per_kg=self.per_kg.read(),
            whole_steps=self.steps.value == WHOLE_STEPS,
        )
