"""Fields for what is said of metals: a fineness, and the contents of one thing."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.core.daybook import Said
from vault.core.errors import VaultError
from vault.core.fineness import Fineness, typed_fineness
from vault.core.metals import ALL_SYMBOLS, SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import metal_name
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Field
from vault.screens.widgets.labels import label

_HINT = "‰, %, kt or g/t"
_FIRST_METALS = ("Ag", "Au")


class FinenessField(Field):
    """Takes the fineness of one metal with its ± where one is typed; empty says nothing."""

    def __init__(self, metal: str, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(f"fineness of {metal_name(metal)}", _HINT, parent)
        self._style = style
        self._metal = metal

    @property
    def metal(self) -> str:
        """The metal of which it says something."""
        return self._metal

    @metal.setter
    def metal(self, metal: str) -> None:
        self._metal = metal
        self.line.setAccessibleName(f"fineness of {metal_name(metal)}")

    def said(self) -> Said | None:
        """Give what is said; None where nothing is, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    def write_said(self, said: Said | None) -> None:
        """Write what is said, to all its digits, in the number style in use."""
        self.write("" if said is None else self.told(said.fineness, said.u))

    def told(self, fineness: Fineness, u: Fineness | None) -> str:
        """Give the text that reads back as exactly this."""
        value, *doubt = [
            one.to_text().replace(".", self._style.numbers.decimal_mark)
            for one in (fineness, u)
            if one is not None
        ]
        return f"{value} ± {doubt[0]} ‰" if doubt else f"{value} ‰"

    @override
    def read(self) -> Said | None:
        if not self.text:
            return None
        mark = self._style.numbers.decimal_mark
        return Said(self._metal, *typed_fineness(self.text, decimal_mark=mark))


class ContentsField(QWidget):
    """Takes what is said of each metal of one thing: a row for each, and more where wanted.

    Signals:
        edited: something was typed, or a metal added or changed.
        taken: Enter in the last row, and nothing is wrong with it.
    """

    edited = Signal()
    taken = Signal()

    def __init__(
        self,
        style: HouseStyle,
        metals: Sequence[str] = _FIRST_METALS,
        *,
        across: int = 2,
        parent: QWidget | None = None,
    ) -> None:
        """Build the field with a row for each of the `metals`, so many of them `across`."""
        super().__init__(parent)
        self._style = style
        self._across = across
        self._rows: list[MetalRow] = []
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(4)
        self.add_button = QPushButton("Add a metal")
        self.add_button.setProperty("kind", "link")
        self.add_button.clicked.connect(self._on_add_button_clicked)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(self._grid)
        column.addWidget(self.add_button, 0, Qt.AlignmentFlag.AlignLeft)
        for metal in metals:
            self.add(metal)
        self.setFocusProxy(self._rows[0].field)

    @property
    def fields(self) -> tuple[FinenessField, ...]:
        """The fields of the metals, in order."""
        return tuple(row.field for row in self._rows)

    def contents(self) -> tuple[Said, ...]:
        """Give what is said and can be read."""
        return tuple(said for row in self._rows if (said := row.field.said()) is not None)

    def trouble(self) -> str:
        """Say what is wrong with the first metal that is not clear; empty where nothing is."""
        return next((told for row in self._rows if (told := row.field.trouble())), "")

    def first_unclear(self) -> FinenessField:
        """Give the first field that cannot be read; the first of all where every one can."""
        fields = self.fields
        return next((one for one in fields if one.trouble()), fields[0])

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for row in self._rows:
            row.field.look()

    def write(self, contents: Sequence[Said]) -> None:
        """Write what is said, with rows for all its metals."""
        for said in contents:
            if all(row.field.metal != said.metal for row in self._rows):
                self.add(said.metal)
        told = {said.metal: said for said in contents}
        for row in self._rows:
            row.field.write_said(told.get(row.field.metal))

    def texts(self) -> tuple[tuple[str, str], ...]:
        """Give each metal with what was typed, as a draft keeps it."""
        return tuple((row.field.metal, row.field.text) for row in self._rows if row.field.text)

    def write_texts(self, texts: Sequence[tuple[str, str]]) -> None:
        """Write what a draft kept, as it was typed."""
        for metal, text in texts:
            row = next((one for one in self._rows if one.field.metal == metal), None)
            (row or self.add(metal)).field.write(text)

    def add(self, metal: str) -> MetalRow:
        """Add a row for a metal."""
        row = MetalRow(metal, self._style)
        row.field.edited.connect(self.edited)
        row.field.taken.connect(partial(self._on_row_taken, row))
        row.metal_chosen.connect(self._on_metal_chosen)
        self._rows.append(row)
        self._arrange()
        return row

    def arrange(self, across: int) -> None:
        """Put so many metals beside each other."""
        if across != self._across:
            self._across = across
            self._arrange()

    def _arrange(self) -> None:
        for place, row in enumerate(self._rows):
            self._grid.addWidget(row, *divmod(place, self._across))
            # A layout shows what it is given only later, and the hand goes there at once.
            row.setVisible(True)
        used = {row.field.metal for row in self._rows}
        for row in self._rows:
            row.offer([one for one in ALL_SYMBOLS if one not in used or one == row.field.metal])
        self.add_button.setVisible(len(used) < len(ALL_SYMBOLS))

    def _on_add_button_clicked(self) -> None:
        used = {row.field.metal for row in self._rows}
        row = self.add(next(one for one in (*SYMBOLS, *ALL_SYMBOLS) if one not in used))
        row.field.line.setFocus()
        self.edited.emit()

    def _on_metal_chosen(self) -> None:
        self._arrange()
        self.edited.emit()

    def _on_row_taken(self, row: MetalRow) -> None:
        place = self._rows.index(row) + 1
        if place < len(self._rows):
            self._rows[place].field.line.setFocus()
        else:
            self.taken.emit()


class MetalRow(QWidget):
    """One metal, which can be changed while nothing is typed, and its fineness.

    Signals:
        metal_chosen: another metal was chosen.
    """

    metal_chosen = Signal()

    def __init__(self, metal: str, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = FinenessField(metal, style)
        self.choice = Choice("Metal", [(metal, metal)])
        self.choice.setProperty("kind", "metal")
        self.choice.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.choice.chosen.connect(self._on_choice_chosen)
        self.name = label(metal_name(metal), size=Size.SMALL, kind="soft")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.addWidget(self.choice, 0, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(self.field, 0, 1)
        grid.setColumnStretch(1, 1)

    def offer(self, metals: Sequence[str]) -> None:
        """Offer these metals, of which the one in use is one."""
        self.choice.offer([(one, one) for one in metals])
        self.choice.choose(self.field.metal)

    def _on_choice_chosen(self, metal: object) -> None:
        self.field.metal = str(metal)
        self.field.look()
        self.metal_chosen.emit()
