"""The page of the settings on which the owner says which capitals tags begin with."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from vault.core.tags import DEFAULTS, FOUND, OTHER, RECEIVED, is_prefix
from vault.screens.look import Size
from vault.screens.widgets.cards import Note
from vault.screens.widgets.labels import label

_MEANING = (
    "A tag is one to four capitals, a hyphen and a number that goes on from the last one. What was "
    "given before keeps its tag. Y and Z are left out: keyboards disagree on them, so a scanner "
    "may change them."
)
_IN_WORDS = {
    RECEIVED: "what a customer brings",
    FOUND: "what a count finds besides",
    OTHER: "anything else",
}
_LONGEST = 4
_COLUMNS = 2


class TagPage(QWidget):
    """Takes the capitals for each form and occasion."""

    def __init__(self, prefixes: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, QLineEdit] = {}
        self._kept = dict(prefixes)
        self.trouble_told = label(kind="attention", wrap=True)
        self.trouble_told.hide()
        grid = QGridLayout()
        grid.setVerticalSpacing(6)
        for at, form in enumerate(dict.fromkeys((*DEFAULTS, *prefixes))):
            row, column = divmod(at, _COLUMNS)
            field = QLineEdit(prefixes.get(form, ""))
            field.setMaxLength(_LONGEST)
            field.setMaximumWidth(80)
            words = _IN_WORDS.get(form, form)
            field.setAccessibleName(f"Capitals for {words}")
            self.fields[form] = field
            grid.addWidget(label(words), row, 2 * column)
            grid.addWidget(field, row, 2 * column + 1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(4, 12, 4, 4)
        outer.setSpacing(8)
        outer.addWidget(label("What do tags begin with?", bold=True, size=Size.TITLE))
        outer.addWidget(Note(_MEANING))
        outer.addLayout(grid)
        outer.addWidget(self.trouble_told)
        outer.addStretch(1)

    def prefixes(self) -> dict[str, str]:
        """Give what is typed, in capitals; an empty field stands for the usual ones."""
        typed = {form: field.text().strip().upper() for form, field in self.fields.items()}
        usual = {form: one or DEFAULTS.get(form, "") for form, one in typed.items()}
        return {**self._kept, **usual}

    def trouble(self) -> str:
        """Say what cannot be kept; empty where all can."""
        for form, prefix in self.prefixes().items():
            if not is_prefix(prefix):
                return (
                    f"“{prefix}” for {_IN_WORDS.get(form, form)} cannot be; write one to four of "
                    "the capitals A to X."
                )
        return ""

    def tell(self, sentence: str) -> None:
        """Say what is wrong, or nothing."""
        self.trouble_told.setText(sentence)
        self.trouble_told.setVisible(bool(sentence))
