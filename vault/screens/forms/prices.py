"""Setting the prices of metals: one field for each, for a gram unless another weight is typed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QGridLayout, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.prices import PriceFacts, PricesSet
from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.money import Money, is_currency
from vault.core.rates import typed_rate
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.numbers import day, metal_name
from vault.screens.widgets.amount_fields import CurrencyField
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.labels import label

_ACROSS = 2
_WHAT = "For a gram of fine metal; for another weight write it behind, such as 29.50 / ozt."
_NONE_TYPED = "There is no price yet; type at least one, or leave without recording."


class PriceField(Field):
    """Takes the price of one metal; empty leaves it as it is."""

    def __init__(self, facts: PriceFacts, form: PricesForm) -> None:
        last = "none yet" if facts.per_gram is None else f"{facts.per_gram.to_text()} until now"
        super().__init__(f"price of {metal_name(facts.metal)}", last)
        self.metal = facts.metal
        self._form = form

    def money(self) -> Money | None:
        """Give the price of a gram; None where none is typed, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    @override
    def read(self) -> Money | None:
        if not self.text:
            return None
        mark = self._form.kit.style.numbers.decimal_mark
        money = typed_rate(self.text, self._form.currency.text.upper(), per="g", decimal_mark=mark)
        if money.millionths <= 0:
            raise TextNotUnderstood("A price is more than nothing.")
        return money

    @override
    def remark(self) -> str:
        money = self.money()
        return "" if money is None or "/" not in self.text else f"{money.to_text()} for a gram"


class PricesForm(Form):
    """Takes prices of several metals; they are one entry."""

    name = "prices"

    def __init__(self, kit: FormKit, about: object = None, parent: QWidget | None = None) -> None:
        del about
        super().__init__(kit, "Set prices", parent)
        self._before: PricesSet | None = None
        self._late: dict[str, str] = {}
        self.prices: list[PriceField] = []
        self.currency = CurrencyField("currency", "EUR")
        self.source = Field("source", "the morning paper, the refinery's sheet …")
        self.show_subject("Prices of the metals", _WHAT)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(8)
        self.body.addLayout(self._grid)
        self.put("Where they are from", self.source)
        self.put("Currency", self.currency)
        self.currency.edited.connect(self._on_currency_edited)
        self.put_last(with_note=False)
        self.ask(partial(kit.questions.prices, kit.book), self._on_prices)

    @override
    def subject(self) -> str:
        return "prices"

    @override
    def content(self) -> dict[str, object]:
        return {
            "prices": {one.metal: one.text for one in self.prices if one.text},
            "currency": self.currency.text,
            "source": self.source.text,
        }

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self._late = {str(key): str(text) for key, text in content.get("prices", {}).items()}
        self.currency.write(str(content.get("currency", "")))
        self.source.write(str(content.get("source", "")))
        self._write_late()

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not is_currency(self.currency.text.upper()):
            return "Which currency? Write its three letters, such as EUR.", self.currency
        if not self.typed() and not any(one.trouble() for one in self.prices):
            return _NONE_TYPED, self.prices[0] if self.prices else self.source
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.set_prices, prices=self.typed(), source=self.source.text, key=key
        )

    @override
    def told(self) -> str:
        return f"Prices of {', '.join(metal for metal, _ in self.typed())} set"

    def typed(self) -> list[tuple[str, Money]]:
        """Give the prices that are typed and can be read."""
        found = [(one.metal, one.money()) for one in self.prices]
        return [(metal, money) for metal, money in found if money is not None]

    def _on_prices(self, before: PricesSet) -> None:
        self._before = before
        if not self.currency.text:
            self.currency.write(before.currency)
        for at, facts in enumerate(before.metals):
            field = PriceField(facts, self)
            self.prices.append(field)
            self.follow_first(field, at)
            field.edited.connect(self._look_twice)
            row, column = divmod(at, _ACROSS)
            captioned = Captioned(f"{facts.metal} {metal_name(facts.metal)}", field)
            if facts.day is not None:
                captioned.beside_caption(label(day(facts.day), size=Size.SMALL, kind="soft"))
            self._grid.addWidget(captioned, row, column)
            # A layout shows what it is given only later, and Enter goes to what can be seen.
            captioned.show()
        self._write_late()
        if self.prices:
            self.prices[0].setFocus()

    def _on_currency_edited(self) -> None:
        for one in self.prices:
            one.look()
        self._look_twice()

    def _write_late(self) -> None:
        """Put what a draft kept into fields that came after it."""
        for one in self.prices:
            if one.metal in self._late:
                one.write(self._late.pop(one.metal))
        self._look_twice()

    def _look_twice(self) -> None:
        doubts = (
            ()
            if self._before is None
            else self.kit.questions.price_doubts(self._before, self.typed())
        )
        self.say_finding(" ".join(one.words for one in doubts))
