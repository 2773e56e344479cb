"""The choice of whose metal a lot is, explained in words."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.core.daybook import Terms
from vault.screens.look import Size
from vault.screens.widgets.labels import label

TERMS_WORDS = {
    Terms.TOLL: (
        "The customer's metal",
        "It stays the customer's: we work it, and give metal back or settle for it.",
    ),
    Terms.BOUGHT: ("Bought", "We paid for it or owe its price: the metal is ours from now on."),
    Terms.OWN: ("Our own", "The shop's own sweeps, scrap or residues: no customer brought it."),
}
_NOT_CHOSEN = "Choose one: it decides whose every gram of this lot is, down to the last bar."


class TermsField(QWidget):
    """Three big buttons of which one is chosen, none at first.

    Signals:
        edited: another one was chosen.
        taken: Enter on one of them.
    """

    edited = Signal()
    taken = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons = QButtonGroup(self)
        self.told = label(_NOT_CHOSEN, size=Size.SECOND, kind="soft", wrap=True)
        row = QHBoxLayout()
        row.setSpacing(8)
        for place, (words, told) in enumerate(TERMS_WORDS.values()):
            button = _Option(words)
            button.setToolTip(told)
            button.entered.connect(self.taken)
            self.buttons.addButton(button, place)
            row.addWidget(button)
        row.addStretch(1)
        self.buttons.idToggled.connect(self._on_button_toggled)
        self.buttons.idClicked.connect(self._on_button_clicked)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(row)
        column.addWidget(self.told)
        self.setFocusProxy(self.buttons.button(0))

    @property
    def terms(self) -> Terms | None:
        """What is chosen; None before anything is."""
        at = self.buttons.checkedId()
        return None if at < 0 else tuple(TERMS_WORDS)[at]

    def write(self, terms: Terms | None) -> None:
        """Choose without telling, or take every choice back."""
        self.buttons.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
        self.buttons.setExclusive(False)
        for one, button in zip(TERMS_WORDS, self.buttons.buttons(), strict=True):
            button.setChecked(one is terms)
        self.buttons.setExclusive(True)
        self.buttons.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here
        self._tell()

    def _tell(self) -> None:
        terms = self.terms
        self.told.setText(_NOT_CHOSEN if terms is None else TERMS_WORDS[terms][1])
        checked = self.buttons.checkedButton()
        self.setFocusProxy(checked or self.buttons.button(0))

    def _on_button_toggled(self, _at: int, on: bool) -> None:  # noqa: FBT001  a signal's word
        if on:
            self._tell()
            self.edited.emit()

    def _on_button_clicked(self) -> None:
        self._tell()


class _Option(QPushButton):
    """A button of a choice; Enter chooses it and goes on.

    Signals:
        entered: Enter was pressed on it.
    """

    entered = Signal()

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.setProperty("kind", "option")
        self.setCheckable(True)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.setChecked(True)
            self.entered.emit()
            return
        super().keyPressEvent(event)
