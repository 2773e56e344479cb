"""One terms sheet: what it is, its form, and what is done with what is typed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.terms_sheets import SheetRow
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.terms_sheets.form import SheetForm
from vault.screens.widgets.cards import Caution, Note
from vault.screens.widgets.labels import ElidedLabel

_READ_ONLY = "This book is shown for reading only; sheets can be looked at and not changed."


class SheetPage(QWidget):
    """The form with its heading above and its buttons below, always in sight."""

    def __init__(
        self, style: HouseStyle, today: Callable[[], date], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.heading = ElidedLabel(size=Size.HEADING, bold=True)
        self.standing = ElidedLabel(kind="soft")
        self.form = SheetForm(style, today)
        self.note = Note()
        self.refusal = Caution("")
        self.save_button = QPushButton("Save the sheet")
        self.leave_button = QPushButton("Leave it as it was")
        self.copy_button = QPushButton("Copy it")
        self.save_button.setProperty("kind", "first")
        self.save_button.setToolTip("Keep what stands here (Ctrl+Enter)")
        self.leave_button.setToolTip("Forget what was typed and show what is kept")
        self.copy_button.setToolTip("Begin a new sheet with all that stands here")
        self._lay_out()
        self.say("")

    def show_head(
        self, row: SheetRow | None, *, is_typed: bool, may_write: bool, next_version: int
    ) -> None:
        """Say which version this is, and what can be done with it."""
        if row is None:
            self.heading.setText("A new sheet")
            self.standing.setText("not saved yet")
        else:
            self.heading.setText(f"{row.sheet.name} · version {row.sheet.version}")
            more = " · changed here, not saved yet" if is_typed else ""
            older = "" if row.is_newest else " · an older version"
            self.standing.setText(f"{row.sheet.party} · {row.words}{older}{more}")
        is_new = row is None
        self.save_button.setText("Save the sheet" if is_new else f"Save as version {next_version}")
        self.leave_button.setText("Throw it away" if is_new else "Leave it as it was")
        self.save_button.setEnabled(may_write and is_typed)
        self.leave_button.setEnabled(is_typed)
        self.copy_button.setEnabled(may_write and not is_new)
        if not may_write:
            self.say(_READ_ONLY)

    def say(self, sentence: str) -> None:
        """Say something in passing, and nothing that was refused any more."""
        self.note.words.setText(sentence)
        self.note.setVisible(bool(sentence))
        self.refusal.hide()

    def refuse(self, sentence: str) -> None:
        """Say why nothing was saved."""
        self.note.hide()
        self.refusal.words.setText(sentence)
        self.refusal.show()

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.save_button, 1)
        buttons.addWidget(self.leave_button)
        buttons.addWidget(self.copy_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.heading)
        column.addWidget(self.standing)
        column.addWidget(self.form, 1)
        column.addWidget(self.note)
        column.addWidget(self.refusal)
        column.addLayout(buttons)
