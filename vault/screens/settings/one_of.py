"""A group of things of which one is set."""

from __future__ import annotations

from PySide6.QtWidgets import QButtonGroup, QGroupBox, QRadioButton, QVBoxLayout


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
