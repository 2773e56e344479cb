"""The line above the form: leave it, what it is, and which process it is about."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from vault.screens.look import FIELD_HEIGHT, GAP, Size
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import FlowLayout
from vault.screens.widgets.lettered import give_letter
from vault.screens.work.processes import WAYS, Way


class FormHead(QFrame):
    """Chips for the processes; each has a letter that chooses it with Alt.

    Signals:
        left: the reader leaves the form.
        chosen: the reader chose another process.
    """

    left = Signal()
    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("top_bar")
        self.leave_button = QPushButton("Leave")
        self.leave_button.setProperty("kind", "tall")
        self.leave_button.setToolTip(
            "Leave without recording (Escape); what stands here is kept until you throw it away"
        )
        self.leave_button.clicked.connect(self.left)
        self.title = label("Record work", size=Size.HEADING, bold=True)
        self._group = QButtonGroup(self)
        self._chips: dict[str, QToolButton] = {}
        chips = QWidget()
        chips.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        flow = FlowLayout(chips)
        for way in WAYS:
            flow.addWidget(self._chip(way))
        self._group.setExclusive(True)
        self._group.buttonClicked.connect(self._on_chip_clicked)
        row = QHBoxLayout(self)
        row.setContentsMargins(GAP + 6, 10, GAP + 6, 10)
        row.setSpacing(GAP)
        row.addWidget(self.leave_button)
        row.addWidget(self.title)
        row.addWidget(chips, 1)

    @property
    def process(self) -> str:
        """The word of the chosen process; empty while none is."""
        return next((name for name, chip in self._chips.items() if chip.isChecked()), "")

    def choose(self, process: str) -> None:
        """Choose a process, or none, without telling."""
        self._group.setExclusive(False)
        for name, chip in self._chips.items():
            chip.setChecked(name == process)
        self._group.setExclusive(True)

    def _chip(self, way: Way) -> QToolButton:
        chip = QToolButton()
        chip.setProperty("kind", "chip")
        chip.setCheckable(True)
        letter = give_letter(chip, way.chip)
        chip.setToolTip(f"{way.process.value} (Alt+{letter})")
        chip.setAccessibleName(way.process.value)
        chip.setMinimumHeight(FIELD_HEIGHT)
        chip.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._group.addButton(chip)
        self._chips[way.process.value] = chip
        return chip

    def _on_chip_clicked(self) -> None:
        self.chosen.emit()
