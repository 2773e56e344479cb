"""Striking an entry: what it said, what leans on it, and the reason that stays beside it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.queries.answers.daybook import EntryDetail
from vault.core.daybook import Act
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.widgets.fields import Field
from vault.screens.widgets.labels import label
from vault.screens.widgets.links import Links

_MOST_LINES = 6


class StrikeForm(Form):
    """Takes the reason; refuses while later entries lean on the one to be struck, and names them.

    Signals:
        entry_wanted: number of an entry that leans on it, to be looked at.
    """

    entry_wanted = Signal(int)

    name = "strike"

    def __init__(self, kit: FormKit, number: int, parent: QWidget | None = None) -> None:
        super().__init__(kit, f"Strike entry {number}", parent)
        self._number = number
        self._detail: EntryDetail | None = None
        self.reason = Field("reason", "what was wrong; it stays beside the entry")
        self.lines = label(size=Size.SECOND, wrap=True)
        self.record_button.setText("Strike it")
        self.record_button.setEnabled(False)
        self.show_subject(f"Strike entry {number}", "…")
        self.body.addWidget(self.lines)
        self.put("Why", self.reason)
        self.put_last(with_note=False)
        self.ask(partial(kit.questions.entry, kit.book, number, kit.style.numbers), self._on_entry)

    @override
    def subject(self) -> str:
        return str(self._number)

    @override
    def content(self) -> dict[str, object]:
        return {"reason": self.reason.text}

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.reason.write(str(content.get("reason", "")))

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        if not self.reason.text:
            return "Say why it is struck; the reason stays beside it in the daybook.", self.reason
        return None

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(self.kit.acts.strike, number=self._number, reason=self.reason.text, key=key)

    @override
    def told(self) -> str:
        return f"Entry {self._number} struck"

    def _on_entry(self, detail: EntryDetail) -> None:
        self._detail = detail
        row = detail.row
        self.show_subject(
            f"Strike entry {row.number}", f"{row.act.value} · {day(row.day)} · {row.by}"
        )
        told = [row.words, *(f"·  {one}" for one in detail.lines[:_MOST_LINES])]
        if len(detail.lines) > _MOST_LINES:
            told.append(f"and {len(detail.lines) - _MOST_LINES} lines more")
        self.lines.setText("\n".join(told))
        why_not = why_it_stays(detail)
        self.record_button.setEnabled(not why_not)
        self.refuse(why_not)
        if detail.leaned_on_by:
            links = Links([str(one) for one in detail.leaned_on_by], "Entry {name} in the daybook")
            links.wanted.connect(self._on_link_wanted)
            self.body.addWidget(links)

    def _on_link_wanted(self, number: str) -> None:
        self.entry_wanted.emit(int(number))
        self.reject()


def why_it_stays(detail: EntryDetail) -> str:
    """Say why an entry cannot be struck now; empty where it can."""
    row = detail.row
    if row.struck_by is not None:
        return f"Entry {row.number} was struck already, by entry {row.struck_by}."
    if row.act is Act.STRIKE:
        return f"Entry {row.number} is itself a strike; record the facts anew instead."
    if detail.leaned_on_by:
        which = "this one" if len(detail.leaned_on_by) == 1 else "these"
        return (
            f"Later entries lean on entry {row.number}: strike {which} first, the last one first."
        )
    return ""
