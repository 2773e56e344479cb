"""The look and the number style in use, and the news that the owner chose others."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from vault.screens.look import LIGHT, Look
from vault.screens.numbers import Numbers


class HouseStyle(QObject):
    """What every screen paints and writes with; a painter reads it anew each time it paints.

    Signals:
        changed: another look or number style holds from now on.
    """

    changed = Signal()

    def __init__(self, look: Look = LIGHT, numbers: Numbers | None = None) -> None:
        super().__init__()
        self._look = look
        self._numbers = numbers or Numbers()

    @property
    def look(self) -> Look:
        """The colours in use."""
        return self._look

    @property
    def numbers(self) -> Numbers:
        """How figures are written."""
        return self._numbers

    def choose(self, look: Look, numbers: Numbers) -> None:
        """Take another look and number style, and tell everybody if anything is new."""
        if look is self._look and numbers == self._numbers:
            return
        self._look, self._numbers = look, numbers
        self.changed.emit()
