"""The rows of a settlement: what was found, what was paid and charged, what metal came back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.operations.settlement_draft import AgreedDraft, BackDraft
from vault.core.money import Money
from vault.screens.forms.kit import FormKit
from vault.screens.house_style import HouseStyle
from vault.screens.shipments.row_list import Row
from vault.screens.widgets.amount_fields import MoneyField, money_text
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.named_field import NamedField

_PAID, _CHARGED = "paid", "charged"
_KIND_WIDTH = 132
_NO_GRADE = "What was found of {} has no grade yet; type one, or take the line out."
_NO_AMOUNT = "“{}” has no amount yet; type it, or take the line out."


class AgreedRow(Row):
    """What was found of the whole, of a container, or of an item."""

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.of = NamedField("of what", "the whole shipment", completes=True)
        self.of.setToolTip("Empty for the whole, or for the rest of it; or a container, or a tag")
        self.weight = kit.weight_field("weight of it", "as received")
        self.contents = ContentsField(kit.style)
        row = QHBoxLayout()
        row.setSpacing(10)
        for caption, field, share in (
            ("Found of", self.of, 3),
            ("Its weight", self.weight, 2),
            ("Grade, with ± where they give one", self.contents, 5),
        ):
            row.addWidget(Captioned(caption, field), share)
        self.put_beside_cross(row, below_a_caption=True)
        self.follow(self.of, self.weight, self.contents)

    def draft(self, containers: Iterable[str], tags: Iterable[str]) -> AgreedDraft:
        """Give what stands in it; of what is no container the name is taken for a tag."""
        name = self.of.name()
        is_container = name in set(containers) and name not in set(tags)
        return AgreedDraft(
            tag="" if is_container else name,
            container=name if is_container else "",
            gross=self.weight.mass(),
            contents=self.contents.contents(),
        )

    @override
    def trouble(self) -> tuple[str, QWidget] | None:
        if told := self.weight.trouble():
            return told, self.weight
        if told := self.contents.trouble():
            return told, self.contents
        if (self.of.text or self.weight.text) and not self.contents.texts():
            return _NO_GRADE.format(self.of.name() or "the whole shipment"), self.contents
        return None

    @override
    def texts(self) -> dict[str, Any]:
        contents = [list(one) for one in self.contents.texts()]
        return {"of": self.of.text, "weight": self.weight.text, "contents": contents}

    @override
    def write_texts(self, texts: Mapping[str, Any]) -> None:
        self.of.write(str(texts.get("of", "")))
        self.weight.write(str(texts.get("weight", "")))
        self.contents.write_texts([(str(a), str(b)) for a, b in texts.get("contents", ())])


class AmountRow(Row):
    """One line of money on their paper."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.kind = Choice("Paid or charged", [(_PAID, "paid to you"), (_CHARGED, "charged")])
        self.kind.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        self.kind.setMinimumWidth(_KIND_WIDTH)
        self.words = Field("for what", "as on their paper, such as silver or treatment")
        self.money = MoneyField("amount", style)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.kind, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 3)
        row.addWidget(self.money, 1)
        self.put_beside_cross(row)
        self.follow(self.words, self.money)
        self.kind.chosen.connect(lambda _: self.edited.emit())

    def amount(self) -> tuple[str, Money] | None:
        """Give words and money, a charge below zero; None where no amount is typed."""
        money = self.money.money()
        if money is None:
            return None
        sign = -1 if self.kind.value == _CHARGED else 1
        return self.words.text, Money(sign * money.millionths, money.currency)

    def write_amount(self, words: str, money: Money, decimal_mark: str) -> None:
        """Write a line; what is below zero is a charge."""
        self.kind.choose(_CHARGED if money.millionths < 0 else _PAID)
        self.words.write(words)
        plain = Money(abs(money.millionths), money.currency)
        self.money.write(money_text(plain, decimal_mark))

    @override
    def trouble(self) -> tuple[str, QWidget] | None:
        told = self.money.trouble()
        if self.words.text and not self.money.text:
            told = _NO_AMOUNT.format(self.words.text)
        return (told, self.money) if told else None

    @override
    def texts(self) -> dict[str, Any]:
        return {
            "kind": self.kind.value,
            "words": self.words.text,
            "money": self.money.text,
        }

    @override
    def write_texts(self, texts: Mapping[str, Any]) -> None:
        self.kind.choose(texts.get("kind"))
        self.words.write(str(texts.get("words", "")))
        self.money.write(str(texts.get("money", "")))


class BackRow(Row):
    """A piece of metal that came back, which becomes an item.

    Attributes:
        proposed: the tag that the program put in.
    """

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.proposed = ""
        self.tag = Field("tag", "its tag")
        self.form = NamedField("form", "bar, grain …", completes=True)
        self.weight = kit.weight_field("weight", f"in {kit.style.numbers.unit}")
        self.place = NamedField("place", "where it lies", new_words="a new place", completes=True)
        self.contents = ContentsField(kit.style)
        self.form.write("bar")
        column = QVBoxLayout()
        column.setSpacing(4)
        row = QHBoxLayout()
        row.setSpacing(10)
        for caption, field in (
            ("Came back: tag", self.tag),
            ("Form", self.form),
            ("Weight", self.weight),
            ("Place", self.place),
        ):
            row.addWidget(Captioned(caption, field), 1)
        column.addLayout(row)
        column.addWidget(Captioned("Grade, by its stamp or their paper", self.contents))
        self.put_beside_cross(column, below_a_caption=True)
        self.follow(self.tag, self.form, self.weight, self.place, self.contents)

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it but what the program put in: then nothing came back."""
        typed = (self.weight.text, self.place.text, self.contents.texts())
        return not any(typed) and self.tag.text in {"", self.proposed}

    def propose_tag(self, tag: str) -> None:
        """Put a new tag in where none stands there."""
        if not self.tag.text:
            self.proposed = tag
            self.tag.write(tag)

    def draft(self) -> BackDraft:
        """Give what stands in it."""
        return BackDraft(
            tag=self.tag.text,
            form=self.form.name(),
            gross=self.weight.mass(),
            contents=self.contents.contents(),
            place=self.place.name(),
        )

    @override
    def trouble(self) -> tuple[str, QWidget] | None:
        for field in (self.weight, self.contents):
            if told := field.trouble():
                return told, field
        if not self.tag.text and not self.is_empty:
            return "What came back needs a tag of its own.", self.tag
        return None

    @override
    def texts(self) -> dict[str, Any]:
        return {
            "proposed": self.proposed,
            "tag": self.tag.text,
            "form": self.form.text,
            "weight": self.weight.text,
            "place": self.place.text,
            "contents": [list(one) for one in self.contents.texts()],
        }

    @override
    def write_texts(self, texts: Mapping[str, Any]) -> None:
        self.proposed = str(texts.get("proposed", ""))
        for name in ("tag", "form", "weight", "place"):
            field: Field = getattr(self, name)
            field.write(str(texts.get(name, "")))
        self.contents.write_texts([(str(a), str(b)) for a, b in texts.get("contents", ())])
