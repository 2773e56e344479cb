"""The one voice that says what an operation changed; every screen decides for itself."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal


class Announcer(QObject):
    """Passes each operation's `Changes` on.

    Signals:
        changed: the `Changes` of one operation.
    """

    changed = Signal(object)

    def announce(self, changes: object) -> None:
        """Tell every screen what changed."""
        self.changed.emit(changes)
