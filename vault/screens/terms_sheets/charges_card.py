"""What a refinery takes for its work: treatment, fees, freight."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from vault.core.money import Money
from vault.core.terms_sheets import USUAL_DRUM, Basis, Fees, Treatment
from vault.screens.house_style import HouseStyle
from vault.screens.scale.parts import PlateField
from vault.screens.terms_sheets.field_card import FieldCard, Part
from vault.screens.terms_sheets.texts import FEES, mass_text
from vault.screens.widgets.amount_fields import MoneyField
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Field

_BASIS = ((Basis.RECEIVED.value, "As received"), (Basis.DRY.value, "Dry"))
_PLACES = {
    "per_kg": ("Treatment, for 1 kg", (0, 0, 4), (0, 0, 6), "/ lb and / t are understood"),
    "least": ("Least for a lot", (0, 4, 4), (0, 6, 6), "The treatment charge is never below it"),
    "basis": ("Weight", (0, 8, 4), (1, 0, 6), "What charges by the kilogram and grades go by"),
    "assay": ("Assay, each metal", (1, 0, 3), (1, 6, 6), "For each metal that is looked for"),
    "sampling": ("Sampling, a lot", (1, 3, 3), (2, 0, 6), ""),
    "umpire": (
        "Umpire, each metal",
        (1, 6, 3),
        (2, 6, 6),
        "Paid by whose assay was further from the umpire's; not in the net",
    ),
    "manifest": ("Transport papers", (1, 9, 3), (3, 0, 6), "Manifest, notification, permits"),
    "freight": ("Freight, a shipment", (2, 0, 3), (3, 6, 6), ""),
    "freight_per_kg": ("Freight, for 1 kg", (2, 3, 3), (4, 0, 6), ""),
    "drum": ("A drum", (2, 6, 3), (4, 6, 6), "For each drum that is needed"),
    "drum_holds": ("A drum holds", (2, 9, 3), (5, 0, 6), "What goes into one drum"),
}


class ChargesCard(FieldCard):
    """Everything that is charged but penalties."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        mark = style.numbers.decimal_mark
        self.basis = Choice("weight that charges go by", list(_BASIS))
        self.drum_holds = PlateField("what a drum holds", mass_text(USUAL_DRUM, mark), style, None)
        self.money = {
            name: MoneyField(
                caption, style, per="kg" if name.endswith("per_kg") else "", hint="none"
            )
            for name, (caption, *_) in _PLACES.items()
            if name not in {"basis", "drum_holds"}
        }
        fields: dict[str, Field | Choice] = {
            **self.money,
            "basis": self.basis,
            "drum_holds": self.drum_holds,
        }
        super().__init__(
            {
                name: Part(caption, fields[name], wide, narrow, tip)
                for name, (caption, wide, narrow, tip) in _PLACES.items()
            },
            parent,
        )

    def use_currency(self, currency: str) -> None:
        """Take amounts to be in this currency."""
        for one in self.money.values():
            one.currency = currency

    def treatment(self, currency: str) -> Treatment:
        """Give the charge for working a parcel.

        Raises:
            TextNotUnderstood: when a field cannot be read.
        """
        return Treatment(
            self._money("per_kg", currency),
            self._money("least", currency),
            Basis(self.basis.value),
        )

    def fees(self, currency: str) -> Fees:
        """Give the other charges.

        Raises:
            TextNotUnderstood: when a field cannot be read.
        """
        holds = self.drum_holds.read()
        return Fees(
            **{name: self._money(name, currency) for name in FEES},
            drum_holds=USUAL_DRUM if holds is None else holds,
        )

    def _money(self, name: str, currency: str) -> Money:
        return self.money[name].read() or Money(0, currency)
