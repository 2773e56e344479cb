"""A button that shows what is chosen and offers the rest in a menu."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolButton, QWidget


class Choice(QToolButton):
    """One of several things is chosen, always.

    Signals:
        chosen: what the reader chose; not sent when the program chooses.
    """

    chosen = Signal(object)

    def __init__(
        self, name: str, options: Sequence[tuple[object, str]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setProperty("kind", "chip")
        self.setAccessibleName(name)
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._menu = QMenu(self)
        self.setMenu(self._menu)
        self._group = QActionGroup(self)
        self._value: object = None
        self.offer(options)

    @property
    def value(self) -> object:
        """What is chosen."""
        return self._value

    def offer(self, options: Sequence[tuple[object, str]]) -> None:
        """Offer these; what was chosen stays so if it is among them, else the first is."""
        for action in self._group.actions():
            self._group.removeAction(action)
            self._menu.removeAction(action)
            action.deleteLater()
        for value, text in options:
            action = QAction(text, self)
            action.setCheckable(True)
            action.setData(value)
            action.triggered.connect(self._on_action_triggered)
            self._group.addAction(action)
            self._menu.addAction(action)
        values = [value for value, _ in options]
        self.choose(self._value if self._value in values else values[0])

    def choose(self, value: object) -> None:
        """Choose without telling."""
        for action in self._group.actions():
            if action.data() == value:
                action.setChecked(True)
                self._value = value
                self.setText(action.text())

    def _on_action_triggered(self) -> None:
        action = self._group.checkedAction()
        if action.data() == self._value:
            return
        self._value = action.data()
        self.setText(action.text())
        self.chosen.emit(self._value)
