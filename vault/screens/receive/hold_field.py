"""The day until which a lot is held: as the setting says, unless the reader says otherwise."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.screens.widgets.day_fields import DayField


class HoldField(DayField):
    """Keeps to the setting's day until one is typed; a sooner one is asked about."""

    def __init__(self, today: Callable[[], date], parent: QWidget | None = None) -> None:
        super().__init__("held until", today, "not held", parent)
        self._ends: date | None = None
        self._question = ""
        self._is_own = False
        self._settled = ""
        self.edited.connect(self._on_edited)

    @property
    def is_own(self) -> bool:
        """Whether the reader typed a day, or took the setting's away."""
        return self._is_own

    @property
    def shortened_from(self) -> date | None:
        """The setting's day, where the reader confirmed a sooner one."""
        return self._ends if self._question and self._settled == self._question else None

    def restore(self, text: str, *, is_own: bool) -> None:
        """Write what a draft kept."""
        self._is_own = is_own
        self._settled = ""
        self.write(text)

    def propose(self, ends: date | None, question: str) -> bool:
        """Take the setting's day, and its question on the day here; tells if the day changed."""
        self._ends, self._question = ends, question
        changed = not self._is_own and self.day() != ends
        if changed:
            self.write_day(ends)
        else:
            self.look()
        return changed

    @override
    def trouble(self) -> str:
        return super().trouble() or self._open_question()

    @override
    def look(self) -> None:
        super().look()
        question = self._open_question()
        if question:
            self.ask(question, [("Keep the set day", self._keep), ("Yes, sooner", self._settle)])

    def _open_question(self) -> str:
        if not self._is_own or self._question == self._settled or super().trouble():
            return ""
        return self._question

    def _keep(self) -> None:
        self._is_own = False
        self._question = ""
        self.write_day(self._ends)
        self.line.setFocus()
        self.edited.emit()

    def _settle(self) -> None:
        self._settled = self._question
        self.line.setFocus()
        self.look()
        self.edited.emit()

    def _on_edited(self) -> None:
        if self.day() != self._ends or self.text == "":
            self._is_own = self.day() != self._ends
        # What was asked was of another day; the next preview asks anew.
        if self._question != self._settled:
            self._question = ""
