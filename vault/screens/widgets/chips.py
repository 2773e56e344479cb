"""A row of chips, one for each metal of a thing; one of them is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QWidget

from vault.screens.numbers import metal_name


class MetalChips(QWidget):
    """Lets the reader look at one metal after the other.

    Signals:
        chosen: the metal whose chip was pressed.
    """

    chosen = Signal(str)

    def __init__(self, metals: Sequence[str], chosen: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        group = QButtonGroup(self)
        for metal in metals:
            chip = QToolButton()
            chip.setProperty("kind", "chip")
            chip.setCheckable(True)
            chip.setText(metal)
            chip.setToolTip(metal_name(metal))
            chip.setChecked(metal == chosen)
            chip.clicked.connect(partial(self.chosen.emit, metal))
            group.addButton(chip)
            row.addWidget(chip)
        row.addStretch(1)
