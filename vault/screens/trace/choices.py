"""What the reader chooses of a trace: the metal or the weight, and which way to look."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QWidget

from vault.application.queries.answers.trace import Trace
from vault.screens.look import Size
from vault.screens.numbers import metal_name
from vault.screens.widgets.labels import ElidedLabel, label

WEIGHT = ""


class Choices(QWidget):
    """A row of buttons.

    Signals:
        changed: the reader chose something; ask `metal`, `backward` and `forward`.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self._group.buttonClicked.connect(self.changed)
        self._metals: dict[str, QToolButton] = {}
        self.back_button = _chip("back to its lots")
        self.forward_button = _chip("forward from it")
        self.back_button.clicked.connect(self._on_back_clicked)
        self.forward_button.clicked.connect(self._on_forward_clicked)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        # In a narrow window the words give way first, the buttons never.
        words = ElidedLabel("ribbons as wide as the", size=Size.SECOND, kind="soft")
        words.setMaximumWidth(words.fontMetrics().horizontalAdvance(words.text()) + 4)
        row.addWidget(words, 1000)
        self._metal_row = QHBoxLayout()
        self._metal_row.setSpacing(8)
        row.addLayout(self._metal_row)
        row.addSpacing(12)
        self._look_word = label("look", size=Size.SECOND, kind="soft")
        for one in (self._look_word, self.back_button, self.forward_button):
            row.addWidget(one)
        row.addStretch(1)

    @property
    def metal(self) -> str:
        """The symbol of the metal chosen, empty for the weight."""
        return next((metal for metal, one in self._metals.items() if one.isChecked()), WEIGHT)

    @property
    def backward(self) -> bool:
        """Whether to look back to the lots."""
        return self.back_button.isChecked()

    @property
    def forward(self) -> bool:
        """Whether to look forward to what was made of it."""
        return self.forward_button.isChecked()

    def button_of(self, metal: str) -> QToolButton:
        """Give the button of a metal, or of the weight."""
        return self._metals[metal]

    def show_trace(self, trace: Trace) -> None:
        """Show what an answer was asked with, and what can be asked instead."""
        question = trace.question
        offered = (*trace.metals, WEIGHT)
        if tuple(self._metals) != offered:
            self._offer(offered)
        for metal, button in self._metals.items():
            button.setChecked(metal == question.metal)
        self.back_button.setChecked(question.backward)
        self.forward_button.setChecked(question.forward)
        # A lot is where everything begins: there is only one way to look.
        for one in (self._look_word, self.back_button, self.forward_button):
            one.setVisible(not question.lot)

    def _offer(self, metals: tuple[str, ...]) -> None:
        for button in self._metals.values():
            self._group.removeButton(button)
            self._metal_row.removeWidget(button)
            button.deleteLater()
        self._metals = {}
        for metal in metals:
            button = _chip(metal or "weight")
            button.setAccessibleName(metal_name(metal) if metal else "weight on the scale")
            self._group.addButton(button)
            self._metal_row.addWidget(button)
            self._metals[metal] = button

    def _on_back_clicked(self) -> None:
        self._keep_one_way(self.forward_button)

    def _on_forward_clicked(self) -> None:
        self._keep_one_way(self.back_button)

    def _keep_one_way(self, other: QToolButton) -> None:
        """Both ways may be looked at together, but never none."""
        if not self.backward and not self.forward:
            other.setChecked(True)
        self.changed.emit()


def _chip(text: str) -> QToolButton:
    button = QToolButton()
    button.setProperty("kind", "chip")
    button.setText(text)
    button.setCheckable(True)
    button.setCursor(Qt.CursorShape.PointingHandCursor)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return button
