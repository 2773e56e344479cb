"""The colours that tell lots apart in traces and shares, also for colour-blind readers.

The sets are our own: picked by search so that any two of a set stay apart when seen without red
or without green receptors, and so that writing on them is readable. Lots beyond the set share one
quiet colour and are named in the table.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QColor

from vault.screens.look import Look

LIGHT_HUES = ("#82C1B3", "#D6AA6B", "#8386C0", "#A3E9EF", "#C67C64", "#B2C7FE")
DARK_HUES = ("#227C71", "#907142", "#6F6DB0", "#29538F", "#772B4F", "#9A4E28")
LIGHT_OTHERS = "#CFCFC4"
DARK_OTHERS = "#5E5A56"
MOST_LOTS = len(LIGHT_HUES)


class LotHues:
    """Which lot has which colour in one picture; lots keep theirs by their place in the answer."""

    def __init__(self, lots: Sequence[str], look: Look) -> None:
        names = DARK_HUES if look.is_dark else LIGHT_HUES
        self._hues = {lot: QColor(name) for lot, name in zip(lots, names, strict=False) if lot}
        self._others = QColor(DARK_OTHERS if look.is_dark else LIGHT_OTHERS)

    def of(self, lot: str) -> QColor:
        """Give the colour of a lot; one that has none of its own gets that of all others."""
        return self._hues.get(lot, self._others)
