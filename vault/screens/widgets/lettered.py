"""Buttons that Alt and a letter of their words press: the letter behind `&`, shown underlined."""

from __future__ import annotations

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton


def give_letter(button: QAbstractButton, words: str) -> str:
    """Write its words on a button, let Alt and their letter press it, and give the letter."""
    button.setText(words)
    letter = words[words.index("&") + 1].upper()
    # A button's own shortcut clicks a tenth of a second late, when the next scan is under way.
    button.setShortcut(QKeySequence())
    shortcut = QShortcut(QKeySequence(f"Alt+{letter}"), button)
    shortcut.activated.connect(button.click)
    return letter
