"""The rows of a settlement: what was found, what was paid and charged, what metal came back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Generic, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.operations.settlement_draft import AgreedDraft, BackDraft
from vault.core.money import Money
from vault.screens.forms.kit import FormKit
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.widgets.amount_fields import MoneyField, money_text
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.labels import label
from vault.screens.widgets.named_field import NamedField

_PAID, _CHARGED = "paid", "charged"
_KIND_WIDTH = 132


class Row(QWidget):
    """One row; kinds of it say what stands in it.

    Signals:
        edited: something was typed.
    """

    edited = Signal()

    def trouble(self) -> tuple[str, QWidget] | None:
        """Say what cannot be read and where, or None."""
        return None

    def texts(self) -> dict[str, Any]:
        """Give what was typed, as a draft keeps it."""
        raise NotImplementedError

    def write_texts(self, texts: Mapping[str, Any]) -> None:
        """Write what a draft kept."""
        raise NotImplementedError


R = TypeVar("R", bound=Row)


class AgreedRow(Row):
    """What was found of the whole, of a container, or of an item."""

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.of = NamedField("of what", "the whole shipment", completes=True)
        self.of.setToolTip("Empty for the whole, or for the rest of it; or a container, or a tag")
        self.weight = kit.weight_field("weight of it", "as received")
        self.contents = ContentsField(kit.style)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        for caption, field, share in (
            ("Found of", self.of, 3),
            ("Its weight", self.weight, 2),
            ("Grade, with ± where they give one", self.contents, 5),
        ):
            row.addWidget(Captioned(caption, field), share)
        for one in (self.of, self.weight, self.contents):
            one.edited.connect(self.edited)
        self.of.taken.connect(self.weight.setFocus)
        self.weight.taken.connect(self.contents.setFocus)

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
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        row.addWidget(self.kind, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 3)
        row.addWidget(self.money, 1)
        for one in (self.words, self.money):
            one.edited.connect(self.edited)
        self.kind.chosen.connect(lambda _: self.edited.emit())
        self.words.taken.connect(self.money.setFocus)

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
    """A piece of metal that came back, which becomes an item."""

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tag = Field("tag", "its tag")
        self.form = NamedField("form", "bar, grain …", completes=True)
        self.weight = kit.weight_field("weight", f"in {kit.style.numbers.unit}")
        self.place = NamedField("place", "where it lies", new_words="a new place", completes=True)
        self.contents = ContentsField(kit.style)
        self.form.write("bar")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
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
        for one in (self.tag, self.form, self.weight, self.place, self.contents):
            one.edited.connect(self.edited)
        self.tag.taken.connect(self.form.setFocus)
        self.form.taken.connect(self.weight.setFocus)
        self.weight.taken.connect(self.place.setFocus)
        self.place.taken.connect(self.contents.setFocus)

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
        return None

    @override
    def texts(self) -> dict[str, Any]:
        return {
            "tag": self.tag.text,
            "form": self.form.text,
            "weight": self.weight.text,
            "place": self.place.text,
            "contents": [list(one) for one in self.contents.texts()],
        }

    @override
    def write_texts(self, texts: Mapping[str, Any]) -> None:
        for name in ("tag", "form", "weight", "place"):
            field: Field = getattr(self, name)
            field.write(str(texts.get(name, "")))
        self.contents.write_texts([(str(a), str(b)) for a, b in texts.get("contents", ())])


class Rows(QWidget, Generic[R]):
    """Rows of one kind, and the way to one more.

    Signals:
        edited: something was typed, or a row added.
        added: a row, just made.
    """

    edited = Signal()
    added = Signal(object)

    def __init__(
        self,
        caption: str,
        more: str,
        make: Callable[[], R],
        *,
        first: int = 0,
        parent: QWidget | None = None,
    ) -> None:
        """Build it; `more` stands on the button, and so many rows are there from the `first`."""
        super().__init__(parent)
        self._make = make
        self.rows: list[R] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        self.more = QPushButton(more)
        self.more.setProperty("kind", "link")
        self.more.setAutoDefault(False)
        self.more.clicked.connect(self._on_more_clicked)
        self.tools = QHBoxLayout()
        self.tools.setSpacing(16)
        self.tools.addWidget(self.more)
        self.tools.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(4)
        if caption:
            outer.addWidget(label(caption, size=Size.SECOND, kind="soft"))
        outer.addLayout(self._column)
        outer.addLayout(self.tools)
        for _ in range(first):
            self.add()

    def add(self) -> R:
        """Add a row."""
        row = self._make()
        self.rows.append(row)
        self._column.addWidget(row)
        # A layout shows what it is given only later, and the hand goes there at once.
        row.show()
        row.edited.connect(self.edited)
        self.added.emit(row)
        return row

    def trouble(self) -> tuple[str, QWidget] | None:
        """Say what cannot be read first and where, or None."""
        return next((told for row in self.rows if (told := row.trouble()) is not None), None)

    def texts(self) -> list[dict[str, Any]]:
        """Give what was typed, row by row."""
        return [row.texts() for row in self.rows]

    def write_texts(self, texts: Sequence[Mapping[str, Any]]) -> None:
        """Write what a draft kept."""
        for at, one in enumerate(texts):
            row = self.rows[at] if at < len(self.rows) else self.add()
            row.write_texts(one)

    def _on_more_clicked(self) -> None:
        row = self.add()
        first = row.findChild(Field)
        if first is not None:
            first.setFocus()
        self.edited.emit()
