"""The settings dialog: one small group for each thing that can be set."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QDialogButtonBox,
    QGroupBox,
    QLineEdit,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from vault.core.knowledge import Figure, How
from vault.screens.numbers import Numbers
from vault.screens.settings.choices import Choices
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


class OneOf(QGroupBox):
    """A group of which one thing is chosen."""

    def __init__(self, title: str, options: tuple[tuple[str, str], ...], chosen: str) -> None:
        super().__init__(title)
        self.buttons = QButtonGroup(self)
        self._values: list[str] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(0)
        for place, (value, words) in enumerate(options):
            button = QRadioButton(words)
            button.setChecked(value == chosen)
            self.buttons.addButton(button, place)
            self._values.append(value)
            column.addWidget(button)

    @property
    def value(self) -> str:
        """What is chosen."""
        return self._values[self.buttons.checkedId()]


class SettingsDialog(QDialog):
    """Changes nothing until it is accepted."""

    def __init__(self, choices: Choices, parent: QWidget | None = None) -> None:
        super().__init__(parent)
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
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
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
        column.addWidget(buttons)

    def _numbers(self) -> Numbers:
        return Numbers(unit=self.unit.value, decimal_mark=self.mark.value)

    def _on_group_toggled(self) -> None:
        self.example.setText(f"So a bar reads {self._numbers().figure_with_unit(_EXAMPLE)} fine")

    def accept(self) -> None:
        """Keep what was chosen."""
        self._choices.look_name = self.look.value
        self._choices.numbers = self._numbers()
        self._choices.working_as = self.working_as.text().strip()
        self._choices.scanner_prefix = self.scanner_prefix.text().strip()
        super().accept()
