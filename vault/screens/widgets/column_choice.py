"""A chip whose menu says which columns of a table are shown."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QMenu, QToolButton, QWidget


class ColumnChoice(QToolButton):
    """Which columns of the table are shown.

    Signals:
        changed: the titles of the columns that are hidden now, as a frozenset.
    """

    changed = Signal(object)

    def __init__(
        self, hidden: frozenset[str], *, always_shown: str, parent: QWidget | None = None
    ) -> None:
        """Take the titles hidden at first, and the one that cannot be hidden."""
        super().__init__(parent)
        self.setProperty("kind", "chip")
        self.setText("columns")
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._menu = QMenu(self)
        self.setMenu(self._menu)
        self.hidden = hidden
        self._always_shown = always_shown

    def offer(self, titles: tuple[str, ...]) -> None:
        """Offer these columns, but for the one that is always shown."""
        choosable = [title for title in titles if title != self._always_shown]
        if [action.text() for action in self._menu.actions()] == choosable:
            return
        self._menu.clear()
        for title in choosable:
            action = self._menu.addAction(title)
            action.setCheckable(True)
            action.setChecked(title not in self.hidden)
            action.toggled.connect(partial(self._on_action_toggled, title))

    def _on_action_toggled(self, title: str, shown: bool) -> None:  # noqa: FBT001  a signal's
        self.hidden = self.hidden - {title} if shown else self.hidden | {title}
        self.changed.emit(self.hidden)
