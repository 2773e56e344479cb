"""A report before it is printed: on which size of page."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QComboBox, QWidget

from vault.screens.choosers import Choosers
from vault.screens.printing.dialog import PaperDialog
from vault.screens.printing.page import PAGE_SIZES_MM, Paper
from vault.screens.settings.choices import Choices
from vault.screens.widgets.labels import label

_FIELD_HEIGHT = 44


class ReportPaperDialog(PaperDialog):
    """Shows a report on a page of the size chosen; what was chosen last is chosen again."""

    def __init__(
        self,
        title: str,
        make: Callable[[str], Paper],
        choosers: Choosers,
        choices: Choices,
        parent: QWidget | None = None,
    ) -> None:
        """Build it; `make` gives the report for the name of a page size."""
        super().__init__(title, make(choices.page_size), choosers, parent)
        self._make = make
        self._choices = choices
        self.size_choice = QComboBox()
        self.size_choice.setAccessibleName("Page")
        self.size_choice.setMinimumHeight(_FIELD_HEIGHT)
        self.size_choice.addItems(list(PAGE_SIZES_MM))
        self.size_choice.setCurrentText(choices.page_size)
        self.size_choice.currentTextChanged.connect(self._on_size_chosen)
        self.options.addWidget(label("Page", bold=True))
        self.options.addWidget(self.size_choice)

    def _on_size_chosen(self, size: str) -> None:
        self._choices.page_size = size
        self.show_paper(self._make(size))
