"""Small parts of the scale's dialogs: a choice with a caption, and a weight that is only typed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QDialog, QWidget
from typing_extensions import override

from vault.core.masses import Mass
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT
from vault.screens.widgets.weight_field import WeightField


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


class Chooser(QComboBox):
    """One of several things; where it may be typed, what is typed counts."""

    def __init__(
        self,
        name: str,
        options: Sequence[tuple[str, str]],
        chosen: str,
        *,
        may_be_typed: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """Build it; an option is its value and its words."""
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setEditable(may_be_typed)
        self.setMinimumHeight(FIELD_HEIGHT)
        self.setMinimumWidth(110)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.offer(options, chosen)

    def offer(self, options: Sequence[tuple[str, str]], chosen: str) -> None:
        """Offer these, one of them chosen; one that is not among them is offered too."""
        self.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
        self.clear()
        known = list(options)
        if chosen and chosen not in {value for value, _ in known}:
            known.append((chosen, chosen))
        for value, words in known:
            self.addItem(words, value)
        self.setCurrentIndex(max(0, self.findData(chosen)) if known else -1)
        self.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here

    @property
    def value(self) -> str:
        """What is chosen or typed."""
        at = self.findText(self.currentText())
        return str(self.itemData(at)) if at >= 0 else self.currentText().strip()


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
