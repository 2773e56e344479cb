"""A card of fields on a grid, in fewer rows where there is room, kept and shown as texts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QToolButton, QWidget

from vault.screens.look import FIELD_HEIGHT
from vault.screens.widgets.cards import Card
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import TROUBLE, Captioned, Field

_COLUMNS = 12
_PADDING, _SPACE = 14, 10
# Row, column, and over how many of twelve columns.
Place = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Part:
    """One field of a card.

    Attributes:
        caption: what stands above it.
        field: a `Field`, or a `Choice` whose values are words.
        wide, narrow: where it stands.
        tip: what it means, when pointed at.
    """

    caption: str
    field: Field | Choice
    wide: Place
    narrow: Place
    tip: str = ""


class FieldCard(Card):
    """Fields by name; Enter leads from one to the next.

    Signals:
        edited: something was typed or chosen.
        finished: Enter on the last field.
    """

    edited = Signal()
    finished = Signal()

    def __init__(self, parts: Mapping[str, Part], parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=_PADDING)
        self.column.setContentsMargins(_PADDING, _PADDING - 4, _PADDING - _SPACE, _PADDING - 4)
        self._named = dict(parts)
        self._captioned = {
            name: Captioned(one.caption, one.field) for name, one in self._named.items()
        }
        for captioned in self._captioned.values():
            # A long caption is cut rather than that the card grows beyond its place, and the
            # fields of cards below each other stand in the same columns.
            captioned.caption.setMinimumWidth(1)
            captioned.setContentsMargins(0, 0, _SPACE, 0)
        self._is_wide: bool | None = None
        self.grid = QGridLayout()
        self.grid.setContentsMargins(0, 0, 0, 0)
        # Qt leaves the space beside columns out in which nothing begins, so that cards with other
        # fields would stand in other columns; the space is within the columns instead.
        self.grid.setHorizontalSpacing(0)
        self.grid.setVerticalSpacing(6)
        for column in range(_COLUMNS):
            self.grid.setColumnStretch(column, 1)
            self.grid.setColumnMinimumWidth(column, 1)
        self.column.addLayout(self.grid)
        for name, one in self._named.items():
            self._prepare(name, one)
        self.arrange(wide=True)
        self.setFocusProxy(self.fields()[0])

    def field(self, name: str) -> Field | Choice:
        """Give the field of a name."""
        return self._named[name].field

    def fields(self) -> list[Field]:
        """Give the fields that are typed in, in the order in which Enter leads through them."""
        return [one.field for one in self._named.values() if isinstance(one.field, Field)]

    def texts(self) -> dict[str, str]:
        """Give what stands in every field."""
        return {
            name: one.field.text if isinstance(one.field, Field) else str(one.field.value)
            for name, one in self._named.items()
        }

    def write(self, texts: Mapping[str, Any]) -> None:
        """Put texts into the fields without telling anybody."""
        for name, one in self._named.items():
            text = str(texts.get(name, ""))
            if isinstance(one.field, Field):
                one.field.write(text)
            else:
                one.field.choose(text)

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for one in self.fields():
            one.look()

    def say(self, name: str, sentence: str) -> QWidget:
        """Say under a field what is wrong with it; gives the field."""
        part = self._named.get(name)
        field = self.fields()[0] if part is None else part.field
        if isinstance(field, Field):
            field.said_of_it.say(sentence, TROUBLE)
        return field

    def arrange(self, *, wide: bool) -> None:
        """Stand in few rows where there is room, in more where there is not."""
        if wide is self._is_wide:
            return
        self._is_wide = wide
        for name, one in self._named.items():
            row, column, over = one.wide if wide else one.narrow
            self.grid.addWidget(self._captioned[name], row, column, 1, over)

    def caption(self, name: str) -> Captioned:
        """Give a field with its caption."""
        return self._captioned[name]

    def _prepare(self, name: str, one: Part) -> None:
        field = one.field
        field.setToolTip(one.tip)
        self._captioned[name].caption.setToolTip(one.tip)
        if isinstance(field, Field):
            field.edited.connect(self.edited)
            field.taken.connect(partial(self._on_taken, field))
        else:
            field.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
            field.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            field.setFixedHeight(FIELD_HEIGHT)
            field.chosen.connect(self._on_chosen)

    def _on_taken(self, field: Field) -> None:
        way = [one for one in self.fields() if one.isVisibleTo(self)]
        place = way.index(field) + 1
        if place < len(way):
            way[place].setFocus()
        else:
            self.finished.emit()

    def _on_chosen(self, _value: object) -> None:
        self.edited.emit()


class RemovableCard(FieldCard):
    """A card of which there may be several, with a cross that takes it away.

    Signals:
        removal_wanted: the cross was pressed.
    """

    removal_wanted = Signal()

    def __init__(self, parts: Mapping[str, Part], parent: QWidget | None = None) -> None:
        super().__init__(parts, parent)
        self.remove = QToolButton()
        self.remove.setText("×")
        self.remove.setProperty("kind", "remove")
        self.remove.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.remove.clicked.connect(self.removal_wanted)
        # Beside the first row, behind all its fields.
        corner = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight
        self.grid.addWidget(self.remove, 0, _COLUMNS, corner)

    def use_currency(self, currency: str) -> None:
        """Take amounts to be in this currency."""
        raise NotImplementedError
