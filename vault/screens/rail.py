"""The dark rail on the left: the screens, and whose shop this is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QButtonGroup, QFrame, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from vault.screens.look import Size
from vault.screens.widgets.labels import label
from vault.screens.words import PROGRAM


class Rail(QFrame):
    """One button for each screen.

    Signals:
        chosen: the name of the screen that the reader chose.
    """

    chosen = Signal(str)

    def __init__(self, names: Sequence[tuple[str, str]], parent: QWidget | None = None) -> None:
        """Build the rail from (name, words) of each screen, from the top."""
        super().__init__(parent)
        self.setObjectName("rail")
        self._buttons: dict[str, QPushButton] = {}
        self._group = QButtonGroup(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 14, 0, 14)
        column.setSpacing(2)
        title = label(PROGRAM.replace(" on ", "\non "), size=Size.TITLE, bold=True)
        title.setContentsMargins(16, 0, 8, 14)
        column.addWidget(title)
        for place, (name, words) in enumerate(names, start=1):
            column.addWidget(self._button(name, words, place))
        column.addStretch(1)
        self.footing = label(kind="soft", wrap=True)
        self.footing.setContentsMargins(16, 0, 8, 0)
        column.addWidget(self.footing)

    def button(self, name: str) -> QPushButton | None:
        """Give the button of a screen, None where there is none of that name."""
        return self._buttons.get(name)

    def offer(self, *, on: bool) -> None:
        """Offer the screens, or hide them while no book lies open."""
        for button in self._buttons.values():
            button.setVisible(on)

    def show_chosen(self, name: str) -> None:
        """Mark a screen as the one shown, or none."""
        self._group.setExclusive(False)
        for own, button in self._buttons.items():
            button.setChecked(own == name)
        self._group.setExclusive(True)

    def say(self, shop: str, lines: Sequence[str]) -> None:
        """Write at the foot whose shop this is, who works, and of when the prices are."""
        self.footing.setText("\n".join(one for one in (shop, *lines) if one))
        self.footing.setToolTip(shop)

    def _button(self, name: str, words: str, place: int) -> QPushButton:
        made = QPushButton()
        made.setText(words)
        made.setCheckable(True)
        made.setToolTip(f"{words} (Ctrl+{place})")
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        made.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        made.clicked.connect(lambda: self.chosen.emit(name))
        shortcut = QShortcut(QKeySequence(f"Ctrl+{place}"), self)
        shortcut.activated.connect(made.click)
        self._group.addButton(made)
        self._buttons[name] = made
        return made
