"""What was recorded just now: told in one sentence, with its tags, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton

from vault.application.operations.work_draft import WorkDraft
from vault.core.daybook import Process
from vault.screens.look import Size
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import FlowLayout, empty
from vault.screens.words import forms
from vault.screens.words import sentence_of as joined
from vault.screens.work.processes import next_steps

_MOST_STEPS, _MOST_NAMED = 4, 3


@dataclass(frozen=True, slots=True)
class Step:
    """What could be done next: a process, and the tags that go in."""

    process: Process
    tags: tuple[str, ...]
    words: str


def sentence_of(work: WorkDraft) -> str:
    """Tell in one sentence what was recorded."""
    process = work.process.value if work.process is not None else "work"
    used = ", ".join(one.tag for one in work.used[:4])
    more = f" and {len(work.used) - 4} more" if len(work.used) > 4 else ""
    told = joined([f"{one.form} {one.tag}" for one in work.made])
    parts = [one for one in work.used if one.part is not None]
    first = "".join(
        f" {one.tag} was divided first; {one.part.rest_tag} is what is left of it."
        for one in parts
        if one.part is not None
    )
    return f"Recorded: {process} of {used}{more} gave {told}.{first}"


def steps_after(work: WorkDraft) -> list[Step]:
    """Give what is mostly done next with what came out, things of one form together.

    What was sorted is worked apart.
    """
    if work.process is None:
        return []
    alike: dict[tuple[str, str], list[str]] = {}
    for one in work.made:
        apart = one.tag if work.process is Process.SORT else ""
        alike.setdefault((one.form, apart), []).append(one.tag)
    return [
        Step(process, tuple(tags), f"{process.value} {_in_words(form, tags)}")
        for (form, _), tags in alike.items()
        for process in next_steps(work.process, form)
    ][:_MOST_STEPS]


def _in_words(form: str, tags: Sequence[str]) -> str:
    """Name things of one form: `the beads K-0001 and K-0003`, `the beads, all 6`."""
    what = form if len(tags) == 1 else forms(form)
    if len(tags) > _MOST_NAMED:
        return f"the {what}, all {len(tags)}"
    return f"the {what} {joined(list(tags))}"


class RecordedCard(Card):
    """Shows what was recorded; hidden until something is.

    Signals:
        step_wanted: a `Step` that is begun next.
        print_wanted: the tags to be printed (again).
        closed: the reader has read it.
    """

    step_wanted = Signal(object)
    print_wanted = Signal(object)
    closed = Signal()

    def __init__(self, *, prints: bool = False) -> None:
        super().__init__()
        self._prints = prints
        self._buttons: list[QPushButton] = []
        self._leads_on = False
        self.words = label(size=Size.TITLE, wrap=True)
        self.column.setSpacing(8)
        self.column.addWidget(self.words)
        self._flow = FlowLayout(spacing=8)
        self.column.addLayout(self._flow)
        self.hide()

    def show_work(self, work: WorkDraft, tags: Sequence[str]) -> None:
        """Show what was recorded, with the tags that it gave."""
        self.words.setText(sentence_of(work))
        self._clear()
        steps = steps_after(work)
        self._leads_on = bool(steps)
        for step in steps:
            button = self._button(f"Next: {step.words}", first=not self._buttons)
            button.clicked.connect(partial(self.step_wanted.emit, step))
        if self._prints and tags:
            told = "1 tag" if len(tags) == 1 else f"{len(tags)} tags"
            button = self._button(f"Print {told} again")
            button.clicked.connect(partial(self.print_wanted.emit, tuple(tags)))
        self._button("Done").clicked.connect(self._on_done_clicked)
        self.show()

    def go_in(self) -> None:
        """Put the hand at what comes next; where nothing does, not at what would print again."""
        if self._buttons:
            self._buttons[0 if self._leads_on else -1].setFocus()

    def _button(self, words: str, *, first: bool = False) -> QPushButton:
        button = QPushButton(words)
        button.setProperty("kind", "first" if first else "")
        button.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
        button.setAutoDefault(True)
        self._flow.addWidget(button)
        button.setVisible(True)
        self._buttons.append(button)
        return button

    def _clear(self) -> None:
        empty(self._flow)
        self._buttons.clear()

    def _on_done_clicked(self) -> None:
        self.hide()
        self.closed.emit()
