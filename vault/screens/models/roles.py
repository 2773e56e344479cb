"""What a table's model tells of a cell beyond its words."""

from __future__ import annotations

from PySide6.QtCore import Qt

HOW_ROLE = Qt.ItemDataRole.UserRole + 1  # a `How`, where the cell holds a figure
HEADING_ROLE = Qt.ItemDataRole.UserRole + 2  # the words of a heading across the whole row
BOLD_ROLE = Qt.ItemDataRole.UserRole + 3  # whether the cell stands out
STRUCK_ROLE = Qt.ItemDataRole.UserRole + 4  # whether a line is drawn through its words
ATTENTION_ROLE = Qt.ItemDataRole.UserRole + 5  # whether it is written in the colour of attention
AFTER_ROLE = Qt.ItemDataRole.UserRole + 6  # words that follow those of the cell, never struck
