"""The settings dialog: one small group for each thing that can be set."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from vault.core.knowledge import Figure, How
from vault.screens.numbers import Numbers
from vault.screens.settings.choices import Choices
from vault.screens.settings.one_of import OneOf
from vault.screens.widgets.labels import label

_LOOKS = (
    ("light", "Light"),
    ("dark", "Dark, for a dark workshop"),
    ("system", "As the computer is set"),
)
_UNITS = (
    ("g", "Grams"),
    ("ozt", "Troy ounces"),
    ("dwt", "Pennyweights"),
    ("kg", "Kilograms"),
)
_MARKS = ((".", "Point"), (",", "Comma"))
# More than scanners are set to send, and short enough to be seen for what it is.
_LONGEST_PREFIX = 4
# A bar of about one kilogram, to show what the choice does.
_EXAMPLE = Figure(1_002_614_000, 580_000, How.ASSAYED)


class ShopPage(Protocol):
    """What is set for the open book, on a page of its own."""

    title: str

    @property
    def page(self) -> QWidget:
        """What stands on it."""

    def keep(self) -> bool:
        """Keep what was set; where that cannot be, say why on the page and tell so."""


class SettingsDialog(QDialog):
    """Changes nothing until it is accepted.

    Attributes:
        shop: keeps what is set for the book; it says why where it cannot be kept.
    """

    def __init__(
        self,
        choices: Choices,
        parent: QWidget | None = None,
        shop: ShopPage | None = None,
        more: Sequence[ShopPage] = (),
    ) -> None:
        """Build the dialog, with the pages for the open book where there is one."""
        super().__init__(parent)
        self.shop = shop
        self._shop_pages = ((shop,) if shop is not None else ()) + tuple(more)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Settings")
        self._choices = choices
        self.look = OneOf("Look", _LOOKS, choices.look_name)
        self.unit = OneOf("Weights and fine metal in", _UNITS, choices.numbers.unit)
        self.mark = OneOf("Decimal mark", _MARKS, choices.numbers.decimal_mark)
        self.example = label(kind="soft")
        self.working_as = QLineEdit(choices.working_as)
        self.working_as.setAccessibleName("Working as")
        self.scanner_prefix = QLineEdit(choices.scanner_prefix)
        self.scanner_prefix.setAccessibleName("Sign before each scan")
        self.scanner_prefix.setMaxLength(_LONGEST_PREFIX)
        self.scanner_prefix.setPlaceholderText("none")
        self.scanner_prefix.setToolTip(
            "If the hand scanner sends a sign of its own before each tag, write it here: the scan "
            "is known by it then, and may be slow. Leave it empty otherwise."
        )
        for group in (self.unit, self.mark):
            group.buttons.idToggled.connect(self._on_group_toggled)
        self._lay_out()
        self._on_group_toggled()
        self.resize(380, self.sizeHint().height())

    def _lay_out(self) -> None:
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        self.pages.addTab(self._own_page(), "This computer")
        for one in self._shop_pages:
            self.pages.addTab(one.page, one.title)
        self.pages.tabBar().setVisible(self.pages.count() > 1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(20, 16, 20, 16)
        outer.setSpacing(10)
        outer.addWidget(self.pages, 1)
        outer.addWidget(buttons)

    def _own_page(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(10)
        column.addWidget(self.look)
        column.addWidget(self.unit)
        column.addWidget(self.mark)
        column.addWidget(self.example)
        column.addWidget(label("Working as", bold=True))
        column.addWidget(self.working_as)
        column.addWidget(label("Hand scanner: sign before each scan", bold=True))
        column.addWidget(self.scanner_prefix)
        column.addStretch(1)
        return page

    def _numbers(self) -> Numbers:
        return Numbers(unit=self.unit.value, decimal_mark=self.mark.value)

    def _on_group_toggled(self) -> None:
        self.example.setText(f"So a bar reads {self._numbers().figure_with_unit(_EXAMPLE)} fine")

    def accept(self) -> None:
        """Keep what was chosen, unless something of it cannot be kept."""
        for at, one in enumerate(self._shop_pages, start=1):
            if not one.keep():
                self.pages.setCurrentIndex(at)
                return
        self._choices.look_name = self.look.value
        self._choices.numbers = self._numbers()
        self._choices.working_as = self.working_as.text().strip()
        self._choices.scanner_prefix = self.scanner_prefix.text().strip()
        super().accept()
