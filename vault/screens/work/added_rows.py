"""What was added: flux, lead, a new cupel, silver for inquarting; each may carry metal."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.operations.work_draft import AddedThing
from vault.application.queries.answers.bench import KnownThing
from vault.core.daybook import Said
from vault.core.knowledge import DECLARED
from vault.core.masses import Mass
from vault.screens.house_style import HouseStyle
from vault.screens.look import face
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.named_field import NamedField
from vault.screens.work.rows import Row, WeightFactory, fill_weight, weight_sheet
from vault.screens.work.sheet import AddedSheet


class AddedRow(Row):
    """One thing added; unfolded, what it is called and what metal it carries.

    Attributes:
        proposed: the thing for which the program put the line in, or None.
    """

    def __init__(
        self,
        style: HouseStyle,
        weights: WeightFactory,
        names: Sequence[str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._style = style
        self._is_proposed = False
        self.proposed: KnownThing | None = None
        self.weight = weights("weight added", "weigh it")
        self._put(self.weight)
        self.field = NamedField("what was added", "borax, lead …")
        self.field.offer(names)
        self.contents = ContentsField(style, ("Ag",))
        self.unfold_button.setToolTip("What it is called, and what metal it carries (F2)")
        self.remove_button.setToolTip("Nothing of this was added (Ctrl+Delete)")
        grid = self._grid()
        grid.addWidget(Captioned("what it is", self.field), 0, 0)
        grid.addWidget(Captioned("metal in it", self.contents), 1, 0)
        self.field.edited.connect(self._on_field_edited)
        self.field.named.connect(self._on_field_named)
        self.field.taken.connect(self.weight.setFocus)
        self.contents.edited.connect(self._on_contents_edited)
        self.contents.taken.connect(self.weight.setFocus)
        self.weight.edited.connect(self._on_weight_edited)
        self.weight.taken.connect(self.taken)
        self.name.hide()
        self.title.setFont(face(bold=True))

    @property
    def thing_name(self) -> str:
        """What is added."""
        return self.field.name()

    @property
    def is_only_proposed(self) -> bool:
        """Whether the reader wrote nothing in it."""
        return self._is_proposed and not self.weight.text

    @property
    def counts(self) -> bool:
        """Whether it was added: something only proposed has to be weighed for that."""
        return bool(self.thing_name) and not self.is_only_proposed

    def show_thing(self, thing: KnownThing, *, is_proposed: bool) -> None:
        """Show a thing with the metal that it carried the last time."""
        self.field.write(thing.name)
        self.contents.write(thing.contents)
        self._is_proposed = is_proposed
        self.proposed = thing if is_proposed else None
        self._tell()

    def take_weight(self, mass: Mass) -> None:
        """Write a weight that is proposed; the scale says it again when it is weighed."""
        self.weight.write_mass(mass)
        self.weight.write_out()
        self._is_proposed = False
        self._tell()

    def thing(self) -> AddedThing:
        """Give it as the draft of the work has it."""
        contents = self.contents.contents()
        return AddedThing(
            self.thing_name,
            self.weight.mass(),
            self.weight.mass_u,
            contents,
            DECLARED if contents else "",
            scale=self.weight.scale_name,
            steady=self.weight.was_steady,
        )

    def sheet(self) -> AddedSheet:
        """Give what was typed."""
        return AddedSheet(
            self.field.text, weight_sheet(self.weight), self.contents.texts(), self._is_proposed
        )

    def fill(self, sheet: AddedSheet) -> None:
        """Write what a draft kept."""
        self.field.write(sheet.name)
        fill_weight(self.weight, sheet.weight)
        self.contents.write_texts(sheet.contents)
        self._is_proposed = sheet.is_proposed
        self._tell()

    def trouble(self) -> str:
        """Say what cannot be read in it; empty where all can."""
        return self.weight.trouble() or self.field.trouble() or self.contents.trouble()

    def _tell(self) -> None:
        name = self.thing_name
        self.title.setText(name or "something")
        told = [self._metal_in_words()]
        if self.is_only_proposed:
            told.append("leave it empty if none was added")
        self.details.setText(" · ".join(one for one in told if one))
        self.details.setVisible(bool(self.details.text()))
        self.weight.line.setAccessibleName(f"weight of {name or 'what was added'}")

    def _metal_in_words(self) -> str:
        numbers = self._style.numbers
        said: tuple[Said, ...] = self.contents.contents()
        return ", ".join(f"{one.metal} {numbers.fineness(one.fineness, one.u)}" for one in said)

    def _on_field_edited(self) -> None:
        self._is_proposed = False
        self._tell()
        self.changed.emit()

    def _on_field_named(self, _name: str) -> None:
        self._tell()
        self.changed.emit()

    def _on_contents_edited(self) -> None:
        self._is_proposed = False
        self._tell()
        self.changed.emit()

    def _on_weight_edited(self) -> None:
        self._tell()
        self.changed.emit()

    @override
    def stops(self) -> list[QWidget]:
        contents = [field.line for field in self.contents.fields]
        return [self.weight.line, self.field.line, *contents, self.contents.add_button]

    @override
    def go_in(self) -> None:
        if self.thing_name:
            self.weight.setFocus()
        else:
            self.unfold(on=True)

    @override
    def _unfolded(self, *, on: bool) -> None:
        if on:
            self.field.setFocus()
