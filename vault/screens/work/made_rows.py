"""What came out: items with a form, a tag, a place, and a weight where they were weighed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QToolButton, QWidget
from typing_extensions import override

from vault.application.operations.work_draft import MadeThing
from vault.application.queries.answers.bench import KnownNames
from vault.application.queries.answers.work import Gravity, WorkFinding
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.layouts import FlowLayout
from vault.screens.widgets.named_field import NamedField
from vault.screens.words import NO_PLACE
from vault.screens.work.processes import BEAD, BEAD_LOOKS
from vault.screens.work.rows import Row, WeightFactory, fill_weight, weight_sheet
from vault.screens.work.sheet import MadeSheet


class MadeRow(Row):
    """One thing that came out; unfolded, its form, tag, place and note."""

    def __init__(
        self,
        style: HouseStyle,
        weights: WeightFactory,
        known: KnownNames,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._style = style
        self._known = known
        self._proposed_tag = ""
        self._is_place_own = False
        self._is_touched = False
        self.weight = weights("weight of what came out", "not weighed")
        self._put(self.weight)
        self.form = NamedField("form", "bar, slag …", completes=True)
        self.place = NamedField("place", NO_PLACE, new_words="new place", completes=True)
        self.tag = Field("tag", "the next one")
        self.note = Field("note", "anything")
        self.looks = BeadLooks()
        self.unfold_button.setToolTip("Form, place, tag and note (F2)")
        self.remove_button.setToolTip("Nothing of this came out (Ctrl+Delete)")
        self._lay_out_fold()
        self._connect()
        self.form.offer(known.forms)
        self.place.offer(known.places)

    @property
    def tag_shown(self) -> str:
        """The tag that it gets: the one typed, or the one proposed."""
        return self.tag.text or self._proposed_tag

    @property
    def wants_tag(self) -> bool:
        """Whether a tag has to be proposed."""
        return not self.tag.text and bool(self.form.name())

    @property
    def is_touched(self) -> bool:
        """Whether the reader wrote anything in it."""
        return self._is_touched

    def know(self, known: KnownNames) -> None:
        """Offer these names from now on, and propose a place where none was chosen."""
        self._known = known
        self.form.offer(known.forms)
        self.place.offer(known.places)
        if not self._is_place_own:
            self.place.write(known.place_of.get(self.form.name(), ""))
        self._tell()

    def begin(self, form: str) -> None:
        """Begin with a form, and the place where things of it went the last time."""
        self.form.write(form)
        self.place.write(self._known.place_of.get(form, ""))
        self._tell()

    def propose_tag(self, tag: str) -> None:
        """Show the tag that it gets where none is typed."""
        self._proposed_tag = tag
        self._tell()

    def thing(self) -> MadeThing:
        """Give it as the draft of the work has it."""
        note = [*self.looks.chosen, self.note.text]
        return MadeThing(
            tag=self.tag_shown,
            form=self.form.name(),
            gross=self.weight.mass(),
            gross_u=self.weight.mass_u,
            place=self.place.name(),
            note=", ".join(one for one in note if one),
            scale=self.weight.scale_name,
            steady=self.weight.was_steady,
        )

    def sheet(self) -> MadeSheet:
        """Give what was typed."""
        return MadeSheet(
            form=self.form.text,
            weight=weight_sheet(self.weight),
            tag=self.tag.text,
            place=self.place.text,
            looks=self.looks.chosen,
            note=self.note.text,
        )

    def fill(self, sheet: MadeSheet) -> None:
        """Write what a draft kept."""
        self.form.write(sheet.form)
        fill_weight(self.weight, sheet.weight)
        self.tag.write(sheet.tag)
        self.place.write(sheet.place)
        self.looks.choose(sheet.looks)
        self.note.write(sheet.note)
        self._is_place_own = self._is_touched = True
        self._tell()

    def trouble(self) -> str:
        """Say what cannot be read in it; empty where all can."""
        fields = (self.weight, self.form, self.place, self.tag)
        return next((told for one in fields if (told := one.trouble())), "")

    def _lay_out_fold(self) -> None:
        grid = self._grid()
        grid.addWidget(Captioned("what it is", self.form), 0, 0)
        grid.addWidget(Captioned("goes to", self.place), 0, 1)
        grid.addWidget(Captioned("tag", self.tag), 1, 0)
        grid.addWidget(Captioned("note", self.note), 1, 1)
        self.column.insertWidget(1, self.looks)

    def _connect(self) -> None:
        for field in (self.form, self.place, self.tag, self.note, self.weight):
            field.edited.connect(self._on_edited)
        self.form.named.connect(self._on_form_named)
        self.place.edited.connect(self._on_place_edited)
        self.form.taken.connect(self.place.setFocus)
        for field in (self.place, self.tag, self.note):
            field.taken.connect(self.weight.setFocus)
        self.weight.taken.connect(self.taken)
        self.looks.changed.connect(self._on_edited)

    def _tell(self) -> None:
        form = self.form.name()
        self.name.setText(self.tag_shown or "…")
        self.title.setText(form or "something else")
        told = [f"to: {self.place.name() or NO_PLACE}", self.note.text]
        self.details.setText(" · ".join(one for one in told if one))
        self.weight.line.setAccessibleName(f"weight of {form} {self.tag_shown}".strip())
        self.looks.setVisible(form == BEAD)

    def _on_edited(self) -> None:
        self._is_touched = True
        self._tell()
        self.changed.emit()

    def _on_form_named(self, form: str) -> None:
        if not self._is_place_own:
            self.place.write(self._known.place_of.get(form, ""))
        self._tell()
        self.changed.emit()

    def _on_place_edited(self) -> None:
        self._is_place_own = True

    @override
    def say(self, findings: Sequence[WorkFinding]) -> None:
        # An empty field says by itself that it is not weighed; until then nobody came to it yet.
        told = [one for one in findings if self.weight.text or not _is_of_no_weight(one)]
        super().say(told)

    @override
    def stops(self) -> list[QWidget]:
        fields = (self.weight, self.form, self.place, self.tag, self.note)
        return [*(field.line for field in fields), *self.looks.chips]

    @override
    def go_in(self) -> None:
        if self.form.name():
            self.weight.setFocus()
        else:
            self.unfold(on=True)

    @override
    def _unfolded(self, *, on: bool) -> None:
        if on:
            # Where things of a known form go is asked the first time; else the form is changed.
            lacks_place = bool(self.form.name()) and not self.place.text
            (self.place if lacks_place else self.form).setFocus()


def _is_of_no_weight(finding: WorkFinding) -> bool:
    return finding.gravity is Gravity.WARNS and finding.field == "gross"


class BeadLooks(QWidget):
    """How the bead looks; several words may hold.

    Signals:
        changed: another word holds.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = FlowLayout(self)
        self._chips: dict[str, QToolButton] = {}
        for look in BEAD_LOOKS:
            chip = QToolButton()
            chip.setProperty("kind", "chip")
            chip.setText(look)
            chip.setCheckable(True)
            chip.setAccessibleName(f"the bead looks {look}")
            chip.clicked.connect(self._on_chip_clicked)
            row.addWidget(chip)
            self._chips[look] = chip
        self.hide()

    @property
    def chips(self) -> tuple[QToolButton, ...]:
        """The chips, in order."""
        return tuple(self._chips.values())

    @property
    def chosen(self) -> tuple[str, ...]:
        """The words that hold, in their own order."""
        return tuple(look for look, chip in self._chips.items() if chip.isChecked())

    def choose(self, looks: Sequence[str]) -> None:
        """Let these words hold."""
        for look, chip in self._chips.items():
            chip.setChecked(look in looks)

    def _on_chip_clicked(self) -> None:
        self.changed.emit()
