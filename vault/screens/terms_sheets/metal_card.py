"""What a terms sheet says of one metal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.errors import TextNotUnderstood
from vault.core.fineness import Fineness, typed_part
from vault.core.masses import Mass
from vault.core.money import Money
from vault.core.numerals import shortened
from vault.core.terms_sheets import Band, MetalTerms, Paid
from vault.screens.house_style import HouseStyle
from vault.screens.numbers import metal_name
from vault.screens.scale.parts import PlateField
from vault.screens.terms_sheets.field_card import Part, RemovableCard
from vault.screens.widgets.amount_fields import MoneyField, PartField
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Field

_PAID = (
    (Paid.AFTER_DEDUCTION.value, "Part of the rest"),
    (Paid.LESSER.value, "The lesser of both"),
)
_NONE = Fineness(0)


class NeededPart(PartField):
    """A part that a sheet cannot do without."""

    @override
    def read(self) -> Fineness:
        part = super().read()
        if part is None:
            raise TextNotUnderstood("Type the part that is paid, such as 85 %; 0 % for nothing.")
        return part


class BandsField(Field):
    """Takes payable parts of richer parcels: `5 ‰: 88 %; 1 %: 90 %`."""

    def __init__(self, name: str, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(name, "none; like 5 ‰: 88 %; 1 %: 90 %", parent)
        self._style = style

    @override
    def read(self) -> tuple[Band, ...]:
        mark = self._style.numbers.decimal_mark
        bands = []
        for told in self.text.split(";"):
            if not told.strip():
                continue
            grade, sign, payable = told.partition(":")
            if not sign:
                raise TextNotUnderstood(
                    f"“{shortened(told.strip())}” is no band; type the grade from which it holds, "
                    "a colon and the part that is paid, such as 5 ‰: 88 %."
                )
            parts = [typed_part(one, decimal_mark=mark) for one in (grade, payable)]
            bands.append(Band(*parts))
        return tuple(bands)

    @override
    def look(self) -> None:
        # The unit of one number among several cannot be asked with a button for each answer.
        trouble = self.trouble()
        if trouble:
            self.said_of_it.say(trouble, "attention")
        else:
            super().look()


class MetalCard(RemovableCard):
    """The terms of one metal.

    Signals:
        metal_chosen: it is for another metal now.
    """

    metal_chosen = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        self.metal = Choice("metal", [("Ag", "Ag")])
        self.payable = NeededPart("payable part", style, hint="needed")
        self.deduction = PartField("deduction", style)
        self.paid = Choice("how deduction and part work together", list(_PAID))
        self.refining = MoneyField("refining charge for one gram", style, per="g")
        self.least_grade = PartField("least grade", style)
        self.least_fine = PlateField("least fine metal", "none", style, None)
        self.splitting = PartField("splitting limit", style)
        self.bands = BandsField("parts of richer parcels", style)
        super().__init__(self._parts(), parent)
        self.metal.chosen.connect(self._on_metal_chosen)

    @property
    def symbol(self) -> str:
        """The metal that it is for."""
        return str(self.metal.value)

    def offer(self, metals: Sequence[str]) -> None:
        """Offer these metals, of which the one in use is one."""
        self.metal.offer([(one, one) for one in metals])
        self.metal.setToolTip(metal_name(self.symbol))
        for field, words in ((self.payable, "payable part"), (self.deduction, "deduction")):
            field.line.setAccessibleName(f"{words} of {metal_name(self.symbol)}")
        self.remove.setAccessibleName(f"Leave {metal_name(self.symbol)} out")

    @override
    def use_currency(self, currency: str) -> None:
        self.refining.currency = currency

    def terms(self, currency: str) -> MetalTerms:
        """Give the terms.

        Raises:
            TextNotUnderstood: when a field cannot be read.
        """
        least_fine = self.least_fine.read()
        return MetalTerms(
            metal=self.symbol,
            payable=self.payable.read(),
            refining=self.refining.read() or Money(0, currency),
            deduction=self.deduction.read() or _NONE,
            paid=Paid(self.paid.value),
            least_grade=self.least_grade.read() or _NONE,
            least_fine=Mass(0) if least_fine is None else least_fine,
            bands=self.bands.read(),
        )

    @override
    def write(self, texts: Mapping[str, Any]) -> None:
        metal = str(texts.get("metal", "Ag"))
        self.metal.offer([(metal, metal)])
        super().write(texts)

    def _parts(self) -> dict[str, Part]:
        return {
            "metal": Part("Metal", self.metal, (0, 0, 2), (0, 0, 4)),
            "payable": Part(
                "Payable part", self.payable, (0, 2, 2), (0, 4, 4), "Part of the metal that is paid"
            ),
            "deduction": Part(
                "Deduction",
                self.deduction,
                (0, 4, 2),
                (0, 8, 4),
                "Grade that is taken off first, of the weight of the parcel",
            ),
            "paid": Part(
                "Paid is",
                self.paid,
                (0, 6, 3),
                (1, 0, 6),
                "The payable part of what the deduction leaves, or the lesser of the payable part "
                "of all and what the deduction leaves",
            ),
            "refining": Part(
                "Refining, for 1 g",
                self.refining,
                (0, 9, 3),
                (1, 6, 6),
                "Charge for one gram of the payable fine metal; / ozt and / kg are understood",
            ),
            "least_grade": Part(
                "Least grade",
                self.least_grade,
                (1, 0, 2),
                (2, 0, 4),
                "Grade of the parcel under which nothing is paid for the metal",
            ),
            "least_fine": Part(
                "Least fine",
                self.least_fine,
                (1, 2, 2),
                (2, 4, 4),
                "Fine metal in the parcel under which nothing is paid for it",
            ),
            "splitting": Part(
                "Splitting",
                self.splitting,
                (1, 4, 2),
                (2, 8, 4),
                "How far the two assays may lie apart and still be averaged",
            ),
            "bands": Part(
                "Parts of richer parcels",
                self.bands,
                (1, 6, 6),
                (3, 0, 12),
                "Another payable part from some grade upwards",
            ),
        }

    def _on_metal_chosen(self, _metal: object) -> None:
        self.metal_chosen.emit()
