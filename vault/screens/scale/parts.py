"""Small parts of the scale's dialogs: a choice with a caption, and a weight that is only typed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QDialog, QPushButton, QSizePolicy, QWidget
from typing_extensions import override

from vault.core.masses import Mass
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.weight_field import WeightField


def suit_gloves(dialog: QDialog) -> None:
    """Make all buttons high enough for a gloved hand, before the dialog takes its size."""
    for button in dialog.findChildren(QPushButton):
        button.ensurePolished()  # the style sheet sets a height of its own, once
        button.setMinimumHeight(FIELD_HEIGHT)


class FormDialog(QDialog):
    """A dialog with fields, in which Enter ends a field and presses no button far from it."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        # Qt would press the default button, which may be the one that closes the dialog. A button
        # that has the focus has had its Enter before this.
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            event.accept()
        else:
            super().keyPressEvent(event)

    @override
    def setVisible(self, visible: bool) -> None:
        suit_gloves(self)
        super().setVisible(visible)


class BigChoice(Choice):
    """One of several things, as big as a field; its value is a word."""

    def __init__(
        self,
        name: str,
        options: Sequence[tuple[str, str]],
        chosen: str,
        parent: QWidget | None = None,
    ) -> None:
        """Build it; what is chosen is offered too where it is not among the options."""
        known = list(options)
        if chosen not in {value for value, _ in known}:
            known.append((chosen, chosen))
        super().__init__(name, known, parent)
        self.setMinimumHeight(FIELD_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.choose(chosen)

    @property
    def word(self) -> str:
        """What is chosen."""
        return str(self.value)


class PlateField(WeightField):
    """Takes what stands on a scale's plate; it never looks at the scale itself."""

    def __init__(
        self,
        name: str,
        hint: str,
        style: HouseStyle,
        mass: Mass | None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(name, hint, style, None, parent)
        self.write_mass(mass)

    @override
    def remark(self) -> str:
        # A unit that was typed tells all; one that was meant is told.
        return "" if self.text[-1:].isalpha() else super().remark()
