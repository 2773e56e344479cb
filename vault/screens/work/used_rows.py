"""What went in: items on hand, whole or in part."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.operations.work_draft import PartTaken, UsedThing
from vault.application.queries.answers.bench import ItemBrief
from vault.application.queries.answers.work import WorkFinding
from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT, Size
from vault.screens.numbers import Numbers, day
from vault.screens.widgets.fields import HINT, TROUBLE, Captioned
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.words import NO_PLACE
from vault.screens.work.rows import Row, WeightFactory, fill_weight, weight_sheet
from vault.screens.work.sheet import UsedSheet

# From so many lots besides the named ones on, how many they are tells more than two names.
_MANY_LOTS = 8


class UsedRow(Row):
    """One item that goes in; unfolded, a part of it by weight, which is divided off first."""

    def __init__(
        self, tag: str, style: HouseStyle, weights: WeightFactory, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.tag = tag
        self.brief: ItemBrief | None = None
        # Whether the book has answered what it is.
        self.is_told = False
        self.part_tags = ("", "")
        self._style = style
        self.name.setText(tag)
        self.whole = ElidedLabel("…", bold=True)
        self.whole.setFixedHeight(FIELD_HEIGHT)
        self.whole.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._put(self.whole)
        self._put_details_below()
        self.unfold_button.setToolTip("Take only a part of it (F2)")
        self.unfold_button.setText("part")
        self.remove_button.setToolTip(f"Leave {tag} out (Ctrl+Delete)")
        self.part = weights(f"part taken of {tag}", "weigh it")
        self.rest = weights(f"rest of {tag}", "not weighed")
        self.part_words = label(size=Size.SMALL, kind="soft", wrap=True)
        self._lay_out_fold()

    @property
    def form(self) -> str:
        """What the item is; empty until that is known."""
        return "" if self.brief is None else self.brief.form

    def show_brief(self, brief: ItemBrief | None) -> None:
        """Show what the book says of it; None where the tag names nothing."""
        self.brief, self.is_told = brief, True
        numbers = self._style.numbers
        if brief is None:
            self.title.setText("not in this book")
            self.details.setText("")
            self.whole.setText("")
            return
        self.title.setText(brief.form)
        self.details.setText(brief_in_words(brief, numbers))
        self.whole.setText(numbers.weight(brief.gross_ug))
        told = brief.trouble or held_in_words(brief)
        self.said_of_it.say(told, TROUBLE if told else HINT)
        self._tell_part()

    def show_part_tags(self, part: str, rest: str) -> None:
        """Show the tags proposed for the part that goes in and for the rest."""
        self.part_tags = (part, rest)
        self._tell_part()

    def thing(self) -> UsedThing:
        """Give it as the draft of the work has it."""
        if not self.is_unfolded:
            return UsedThing(self.tag, self.form)
        part, rest = self.part_tags
        place = "" if self.brief is None else self.brief.place
        taken = PartTaken(
            part, self.part.mass(), self.part.mass_u, rest, self.rest.mass(), rest_place=place
        )
        return UsedThing(self.tag, self.form, taken)

    def sheet(self) -> UsedSheet:
        """Give what was typed."""
        return UsedSheet(
            self.tag,
            is_part=self.is_unfolded,
            part_weight=weight_sheet(self.part),
            rest_weight=weight_sheet(self.rest),
        )

    def fill(self, sheet: UsedSheet) -> None:
        """Write what a draft kept."""
        fill_weight(self.part, sheet.part_weight)
        fill_weight(self.rest, sheet.rest_weight)
        self.unfold(on=sheet.is_part)

    def _lay_out_fold(self) -> None:
        grid = self._grid()
        grid.addWidget(Captioned("taken of it", self.part), 0, 0)
        grid.addWidget(Captioned("what is left", self.rest), 0, 1)
        grid.addWidget(self.part_words, 1, 0, 1, 2)
        for one in (self.part, self.rest):
            one.edited.connect(self.changed)
        self.part.taken.connect(self.rest.setFocus)
        self.rest.taken.connect(self.taken)

    def _tell_part(self) -> None:
        part, rest = self.part_tags
        if part:
            self.part_words.setText(
                f"Divided first: {part} goes in, {rest} stays; both get tags of their own."
            )

    @override
    def say(self, findings: Sequence[WorkFinding]) -> None:
        super().say(findings)
        if not findings and self.brief is not None and self.brief.trouble:
            self.said_of_it.say(self.brief.trouble, TROUBLE)

    @override
    def stops(self) -> list[QWidget]:
        return [self.part.line, self.rest.line]

    @override
    def go_in(self) -> None:
        if self.is_unfolded:
            self.part.setFocus()

    @override
    def _unfolded(self, *, on: bool) -> None:
        if on:
            self.part.setFocus()
        self.changed.emit()


def brief_in_words(brief: ItemBrief, numbers: Numbers) -> str:
    """Say in a line which lots an item is of, what it holds, where it lies and until when."""
    told = [_lots_in_words(brief, numbers) or brief.party]
    told += [
        f"{metal} {numbers.figure_with_unit(figure)}"
        for metal, figure in brief.contents.items()
        if figure.fine_ug != 0 and figure.how is not How.NOT_KNOWN
    ]
    told += [
        f"{metal} not known" for metal, one in brief.contents.items() if one.how is How.NOT_KNOWN
    ]
    if brief.place != brief.tag:
        told.append(brief.place or NO_PLACE)
    if brief.hold_until is not None:
        told.append(f"held until {day(brief.hold_until)}")
    return " · ".join(one for one in told if one)


def _lots_in_words(brief: ItemBrief, numbers: Numbers) -> str:
    if brief.more_lots >= _MANY_LOTS:
        return f"{numbers.count(len(brief.lots) + brief.more_lots)} lots"
    lots = ", ".join(brief.lots)
    return f"{lots} +{brief.more_lots}" if brief.more_lots else lots


def held_in_words(brief: ItemBrief) -> str:
    """Say that an item is held and what that means; empty where it is not."""
    if brief.hold_until is None:
        return ""
    return f"{brief.tag} is held until {day(brief.hold_until)}; no work may begin before that day."


def offered_words(brief: ItemBrief, numbers: Numbers) -> str:
    """Say in a line what an item is, for the list under the scan field."""
    weight = numbers.weight(brief.gross_ug)
    return f"{brief.tag}   {brief.form}, {weight} · {brief_in_words(brief, numbers)}"
