"""What a table's model tells of a cell to be painted, all at once.

Asked for one thing after another, half the time that a table takes to be painted went into asking.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt

from vault.core.knowledge import How


@dataclass(frozen=True, slots=True)
class Cell:
    """What is painted of a cell.

    Attributes:
        words: what it says.
        after: words that follow those, never struck.
        how: how the figure in it is known, or None where it holds none.
        heading: the words of a heading across the whole row, of which this is a piece.
        is_right: whether it is set flush right.
        is_bold: whether it stands out.
        is_struck: whether a line is drawn through its words.
        wants_attention: whether it is written in the colour of attention.
    """

    words: str = ""
    after: str = ""
    how: How | None = None
    heading: str = ""
    is_right: bool = False
    is_bold: bool = False
    is_struck: bool = False
    wants_attention: bool = False


CELL_ROLE = Qt.ItemDataRole.UserRole + 1  # a `Cell`
