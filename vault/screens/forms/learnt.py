"""What an entry taught: what the items around it hold, before and after."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from vault.application.changes import Changes
from vault.application.queries.answers.forms import KnownContents
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.numbers import NOT_KNOWN
from vault.screens.widgets.labels import label
from vault.screens.widgets.marks import Mark

_WAITING = "Recorded. What it changes is being worked out …"
_NOTHING_CHANGED = "Recorded. It changes nothing of what was believed."
_MOST = 12


class LearntPart(QWidget):
    """Waits for the figures and then shows, item by item, what is believed otherwise."""

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kit = kit
        self._before: KnownContents = {}
        self._asker = kit.background.asker(self)
        self.words = label(wrap=True)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(6)
        self._grid.setColumnStretch(4, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.words)
        column.addLayout(self._grid)
        column.addStretch(1)

    def wait(self, before: KnownContents) -> None:
        """Wait for the figures that follow from what was recorded just now."""
        self._before = before
        self.words.setText(_WAITING)
        self._kit.announcer.changed.connect(self._on_announcer_changed)

    def _on_announcer_changed(self, changes: object) -> None:
        if isinstance(changes, Changes) and changes.figures:
            self._kit.announcer.changed.disconnect(self._on_announcer_changed)
            kit = self._kit
            self._asker.ask(
                partial(kit.questions.known, kit.book, tuple(self._before)), self._on_known
            )

    def _on_known(self, after: KnownContents) -> None:
        learnt = self._kit.questions.learnt(self._before, after)
        self.words.setText("Recorded. What it changes:" if learnt else _NOTHING_CHANGED)
        numbers, style = self._kit.style.numbers, self._kit.style
        last = ""
        for row, one in enumerate(learnt[:_MOST]):
            before = NOT_KNOWN if one.before is None else numbers.figure_with_unit(one.before)
            if one.tag != last:
                self._grid.addWidget(label(one.tag, bold=True), row, 0)
            last = one.tag
            self._grid.addWidget(label(one.metal, size=Size.SECOND), row, 1)
            right = Qt.AlignmentFlag.AlignRight
            self._grid.addWidget(label(f"{before}  →", kind="soft"), row, 2, right)
            self._grid.addWidget(Mark(style, one.after.how), row, 3)
            after_words = numbers.figure_with_unit(one.after)
            self._grid.addWidget(label(after_words, bold=True), row, 4)
        if len(learnt) > _MOST:
            told = f"and {len(learnt) - _MOST} more"
            self._grid.addWidget(label(told, kind="soft"), _MOST, 0, 1, 4)
