"""The head of a terms sheet: what it is called, whose it is, when it holds, what comes back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.days import day_to_text
from vault.core.errors import TextNotUnderstood
from vault.core.terms_sheets import Comes, Takes
from vault.screens.terms_sheets.field_card import FieldCard, Part
from vault.screens.widgets.amount_fields import CountField, CurrencyField
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.day_fields import DayField
from vault.screens.widgets.fields import Field
from vault.screens.widgets.named_field import NamedField

_TAKES = tuple((one.value, one.value[0].upper() + one.value[1:]) for one in Takes)
_RETURNS = ((Comes.MONEY.value, "Money"), (Comes.METAL.value, "Metal"))


class QuietDayField(DayField):
    """Says which day was typed only where that is not plain already."""

    @override
    def remark(self) -> str:
        day = self.day()
        return "" if day is not None and day_to_text(day) == self.text else super().remark()


class FirstDayField(QuietDayField):
    """Takes the day from which a sheet is valid; it cannot be left open."""

    def first(self) -> date:
        """Give the day.

        Raises:
            TextNotUnderstood: when none is typed, or it cannot be read.
        """
        day = super().read()
        if day is None:
            raise TextNotUnderstood("Type the day from which the sheet is valid.")
        return day

    @override
    def read(self) -> date | None:
        return self.first()


class HeadCard(FieldCard):
    """What is typed of the sheet as a whole; name and refinery stay those of a sheet kept."""

    def __init__(self, today: Callable[[], date], parent: QWidget | None = None) -> None:
        self.name = Field("name of the sheet", "as on its paper")
        self.party = NamedField(
            "refinery", "whose terms these are", new_words="A new name.", completes=True
        )
        self.currency = CurrencyField("currency", "EUR")
        self.valid_from = FirstDayField("valid from", today, "needed")
        self.valid_until = QuietDayField("valid until", today, "open")
        self.takes = Choice("what it is for", list(_TAKES))
        self.returns = Choice("what comes back", list(_RETURNS))
        self.days = CountField("days to settlement", "none")
        super().__init__(
            {
                "party": Part("Refinery", self.party, (0, 0, 7), (0, 0, 12)),
                "name": Part("Sheet", self.name, (0, 7, 5), (1, 0, 12)),
                "takes": Part(
                    "Takes",
                    self.takes,
                    (2, 0, 12),
                    (4, 0, 12),
                    "What may be sent under it; nothing else is reckoned with it",
                ),
                "valid_from": Part("Valid from", self.valid_from, (1, 0, 3), (2, 0, 6)),
                "valid_until": Part(
                    "Valid until",
                    self.valid_until,
                    (1, 3, 3),
                    (2, 6, 6),
                    "Its last day; empty where the paper names none",
                ),
                "returns": Part("Comes back", self.returns, (1, 6, 2), (3, 0, 4)),
                "days_to_settle": Part(
                    "In days",
                    self.days,
                    (1, 8, 2),
                    (3, 4, 4),
                    "Days from dispatch until money or metal is there",
                ),
                "currency": Part("Currency", self.currency, (1, 10, 2), (3, 8, 4)),
            },
            parent,
        )

    def bind(self, *, is_kept: bool) -> None:
        """Ask for name and refinery of a sheet that is not kept yet; a kept one keeps its own."""
        for name in ("party", "name"):
            self.caption(name).setVisible(not is_kept)
        self.setFocusProxy(self.valid_from if is_kept else self.party)
