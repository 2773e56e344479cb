"""The Enter key in a window over the window: it presses the button that has the hand, no other."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QDialog


def press_in_hand(dialog: QDialog, event: QKeyEvent) -> bool:
    """Press the button that has the hand if the key is Enter; tell whether it was.

    Qt would press whichever button it takes for the default one, with the hand elsewhere.
    """
    if event.key() not in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
        return False
    button = dialog.focusWidget()
    if isinstance(button, QAbstractButton):
        button.click()
    return True
