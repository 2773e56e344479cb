"""The page of the settings on which the owner says what a choice about residues goes by."""

from __future__ import annotations

from fractions import Fraction

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QFrame, QGridLayout, QScrollArea, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.circumstances import ASK_THE_LAW, CircumstancesToSet
from vault.core.circumstances import ASKED, SAMPLING, WORKING, OwnCircumstances
from vault.core.errors import TextNotUnderstood
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.forms import RESIDUE_FORMS
from vault.core.makeup import Makeup, makeup_from_text, makeup_to_text
from vault.core.turnover import TurnoverRule
from vault.core.words import tidied
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.settings.value_field import ValueField
from vault.screens.widgets.amount_fields import PartField, part_text
from vault.screens.widgets.cards import Note
from vault.screens.widgets.fields import TROUBLE, Captioned, Field
from vault.screens.widgets.labels import label
from vault.screens.words import forms

_MEANING = (
    "What is left empty is the program's own guess; whether a drum is worth sending hangs on it, "
    "so put in your own figures."
)
_TURNOVER_MEANING = (
    "Each class of residues, such as spent cupels and slag, by itself: so much of what was there "
    "on 1 January is to be moved on by 31 December. The program only counts; local codes and "
    "licensed practice come first."
)
_MAKEUP_MEANING = (
    "Refineries may go by the dry weight and charge for lead, arsenic and the like. The book does "
    "not know them: say here what a refinery's paper or an assay told you. It is taken as exact."
)
_MAKEUP_EXAMPLE = "dry 98 %, Pb 55 %, As 0.1 %"
_SIZE = (560, 480)
_ACROSS = 2


class SendingPage(QScrollArea):
    """Takes what the owner sets; what is left empty is the handbook's."""

    title = "Sending out"

    def __init__(
        self, known: CircumstancesToSet, style: HouseStyle, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._known = known
        mark = style.numbers.decimal_mark
        self.fields = {
            one.path: ValueField(one, known.usual[one.path], known.currency, mark) for one in ASKED
        }
        self.works = QCheckBox("We work residues here ourselves")
        self.samples = QCheckBox("We blend and sample before a drum is sent")
        self.turnover = TurnoverPart(known.offered, style)
        self.makeup = {form: MakeupField(form, mark) for form in RESIDUE_FORMS}
        self.trouble_told = label(kind="attention", wrap=True)
        self._write()
        self._lay_out()
        self.works.toggled.connect(self._show_what_is_asked)
        self.samples.toggled.connect(self._show_what_is_asked)
        self._show_what_is_asked()

    def circumstances(self) -> OwnCircumstances:
        """Give what is set.

        Raises:
            VaultError: when a field cannot be read; the fault stands under it.
        """
        values = {path: field.read() for path, field in self.fields.items()}
        return OwnCircumstances(
            values={path: value for path, value in values.items() if value is not None},
            works=self.works.isChecked(),
            samples=self.samples.isChecked(),
            turnover=self.turnover.rule(),
            makeup={form: one.read() for form, one in self.makeup.items() if one.text},
        )

    def tell(self, sentence: str) -> None:
        """Say what is wrong, and lead to the first field that is."""
        self.trouble_told.setText(sentence)
        self.trouble_told.setVisible(bool(sentence))
        asked = (*self.fields.values(), *self.makeup.values(), *self.turnover.fields())
        unclear = [one for one in asked if one.trouble()]
        for one in unclear:
            one.look()
        if unclear:
            unclear[0].setFocus()
            self.ensureWidgetVisible(unclear[0])

    def point_at(self, path: str, sentence: str) -> None:
        """Say what is wrong under the field of a path."""
        field = self.fields.get(path) or self.turnover.field(path)
        field.said_of_it.say(sentence, TROUBLE)
        field.setFocus()
        self.ensureWidgetVisible(field)

    def _write(self) -> None:
        own = self._known.own
        for path, field in self.fields.items():
            field.write_value(own.values.get(path))
        self.works.setChecked(own.works)
        self.samples.setChecked(own.samples)
        self.turnover.write(own.turnover)
        for form, makeup in self.makeup.items():
            makeup.write_makeup(own.makeup.get(form))

    def _lay_out(self) -> None:
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMinimumSize(*_SIZE)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(4, 12, 12, 4)
        column.setSpacing(8)
        column.addWidget(label("What does sending hang on?", bold=True, size=Size.TITLE))
        column.addWidget(Note(_MEANING))
        column.addWidget(self.trouble_told)
        self.trouble_told.hide()
        self._groups: dict[str, QWidget] = {}
        for group in dict.fromkeys(one.group for one in ASKED):
            column.addWidget(label(group, bold=True))
            if group in {WORKING, SAMPLING}:
                column.addWidget(self.works if group == WORKING else self.samples)
            self._groups[group] = self._group(group)
            column.addWidget(self._groups[group])
        column.addWidget(label("What residues are made of", bold=True))
        column.addWidget(self._makeups())
        column.addWidget(label("Yearly turnover", bold=True))
        column.addWidget(self.turnover)
        column.addStretch(1)
        self.setWidget(inside)
        inside.setAutoFillBackground(False)

    def _group(self, group: str) -> QWidget:
        made = QWidget()
        grid = QGridLayout(made)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        asked = [one for one in ASKED if one.group == group]
        across = _ACROSS if len(asked) > 1 else 1
        for at, one in enumerate(asked):
            row, column = divmod(at, across)
            grid.addWidget(Captioned(one.words, self.fields[one.path]), row, column)
            grid.setColumnStretch(column, 1)
        told = f"Where the guesses are from: {self._known.sources[group]}."
        source = label(told, kind="soft", size=Size.SMALL, wrap=True)
        grid.addWidget(source, len(asked), 0, 1, across)
        return made

    def _makeups(self) -> QWidget:
        made = QWidget()
        column = QVBoxLayout(made)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(label(_MAKEUP_MEANING, kind="soft", size=Size.SECOND, wrap=True))
        for form, makeup in self.makeup.items():
            column.addWidget(Captioned(forms(form).capitalize(), makeup))
        return made

    def _show_what_is_asked(self) -> None:
        self._groups[WORKING].setVisible(self.works.isChecked())
        self._groups[SAMPLING].setVisible(self.samples.isChecked())


class MakeupField(Field):
    """Takes what residues of a form are made of; empty is nothing said."""

    def __init__(self, form: str, decimal_mark: str, parent: QWidget | None = None) -> None:
        self._mark = decimal_mark
        example = _MAKEUP_EXAMPLE.replace(".", decimal_mark)
        super().__init__(f"what {forms(form)} are made of", f"not said; such as {example}", parent)

    def write_makeup(self, makeup: Makeup | None) -> None:
        """Write what was said, or nothing."""
        self.write("" if makeup is None else makeup_to_text(makeup, decimal_mark=self._mark))

    @override
    def read(self) -> Makeup:
        return makeup_from_text(self.text, decimal_mark=self._mark)


class ShareField(PartField):
    """The share that is to be moved on, which a rule cannot do without."""

    @override
    def read(self) -> Fineness:
        share = super().read()
        if share is None:
            raise TextNotUnderstood("Type the share that is to be moved on, such as 75 %.")
        return share


class TurnoverPart(QWidget):
    """Whether residues are held to a yearly test, and to which."""

    def __init__(
        self, offered: TurnoverRule, style: HouseStyle, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._offered = offered
        self._mark = style.numbers.decimal_mark
        self.is_held = QCheckBox("Residues here are held to a yearly test")
        self.share = ShareField("share to be moved on in a year", style)
        self.place = Field("where the rule holds", "town, state or country")
        self.source = Field("who asks for it", "the law or licence that asks for it")
        self._asked = QWidget()
        self._lay_out()
        self.is_held.toggled.connect(self._asked.setVisible)

    def rule(self) -> TurnoverRule | None:
        """Give the rule; None where there is none.

        Raises:
            TextNotUnderstood: when the share cannot be read.
        """
        if not self.is_held.isChecked():
            return None
        share = Fraction(self.share.read().ppb, WHOLE_PPB)
        return TurnoverRule(share, tidied(self.place.text), tidied(self.source.text))

    def write(self, rule: TurnoverRule | None) -> None:
        """Show a rule, or one to begin with where none is set."""
        told = rule or self._offered
        share = Fineness(round(told.share * WHOLE_PPB))
        self.share.write(part_text(share, self._mark))
        self.place.write(told.place)
        self.source.write(told.source)
        self.is_held.setChecked(rule is not None)
        self._asked.setVisible(rule is not None)

    def fields(self) -> tuple[Field, ...]:
        """Give the fields that count."""
        return (self.share, self.place, self.source) if self.is_held.isChecked() else ()

    def field(self, path: str) -> Field:
        """Give the field of a path such as `turnover.place`."""
        named = {"turnover.share": self.share, "turnover.place": self.place}
        return named.get(path, self.source)

    def _lay_out(self) -> None:
        inside = QVBoxLayout(self._asked)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(6)
        inside.addWidget(label(_TURNOVER_MEANING, kind="soft", size=Size.SECOND, wrap=True))
        for caption, field in (
            ("To be moved on in a calendar year", self.share),
            ("Where the rule holds", self.place),
            ("Who asks for it", self.source),
        ):
            inside.addWidget(Captioned(caption, field))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(Note(ASK_THE_LAW))
        column.addWidget(self.is_held)
        column.addWidget(self._asked)
