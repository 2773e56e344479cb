"""All of one form that lies in a container, as one line of what goes in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.operations.work_draft import UsedThing
from vault.application.queries.answers.bench import ContainerBrief, ItemBrief
from vault.screens.house_style import HouseStyle
from vault.screens.numbers import Numbers
from vault.screens.words import forms
from vault.screens.work.rows import WeightFactory
from vault.screens.work.sheet import UsedSheet
from vault.screens.work.used_rows import UsedRow, brief_in_words

_EMPTY = "Nothing of it lies there any more; remove the line."


class DrumRow(UsedRow):
    """One line for everything of a form in a container: `drum C`, 64 spent cupels."""

    def __init__(
        self,
        place: str,
        form: str,
        style: HouseStyle,
        weights: WeightFactory,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(place, style, weights, parent)
        self._form = form
        self.held: tuple[str, ...] = ()
        self.title.setText(forms(form))
        # All of it or none: a part of a container is a container of its own.
        self.unfold_button.setCheckable(False)
        self.unfold_button.hide()
        self.remove_button.setToolTip(f"Leave {place} out (Ctrl+Delete)")

    @property
    def key(self) -> tuple[str, str]:
        """Which container, and which form in it."""
        return (self.tag, self._form)

    @property
    @override
    def form(self) -> str:
        return self._form

    def show_held(self, found: Sequence[ContainerBrief]) -> None:
        """Show what lies there now, of all that the container holds."""
        mine = next((one for one in found if one.brief.form == self._form), None)
        self.held = () if mine is None else mine.tags
        self.show_brief(None if mine is None else mine.brief)
        if mine is not None:
            numbers = self._style.numbers
            self.title.setText(f"{numbers.count(len(mine.tags))} {forms(self._form)}")
            if mine.not_weighed:
                self.whole.setText(f"{numbers.count(mine.not_weighed)} not weighed")

    @override
    def show_brief(self, brief: ItemBrief | None) -> None:
        super().show_brief(brief)
        if brief is None:
            self.title.setText(_EMPTY)

    @override
    def thing(self) -> UsedThing:
        return UsedThing(self.tag, self._form, held=self.held)

    @override
    def sheet(self) -> UsedSheet:
        return UsedSheet(self.tag, form=self._form)


def drum_in_words(found: ContainerBrief, numbers: Numbers) -> str:
    """Say how many things of a form: `64 spent cupels`, and how many were never weighed."""
    count = len(found.tags)
    told = f"{numbers.count(count)} {forms(found.brief.form)}"
    if found.not_weighed:
        told += f", {numbers.count(found.not_weighed)} not weighed"
    return told


def offered_drum_words(found: ContainerBrief, numbers: Numbers) -> str:
    """Say in a line what lies in a container, for the list under the scan field."""
    weight = numbers.weight(found.brief.gross_ug)
    told = brief_in_words(found.brief, numbers)
    return f"{found.brief.tag}   {drum_in_words(found, numbers)}, {weight} · {told}"
