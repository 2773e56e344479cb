"""The line above the item table: grouped by, showing, which metal, and the legend of marks."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from vault.application.queries.answers import GroupBy, Showing
from vault.core.metals import SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import MarkLegend
from vault.screens.words import GROUPED_BY, SHOWING


class ItemTools(QWidget):
    """Lets the reader choose groups, which items, and which metal.

    Signals:
        changed: something else was chosen.
    """

    changed = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = Choice("Grouped by", [(one, words) for one, words in GROUPED_BY.items()])
        self._showing = Choice("Showing", [(one, words) for one, words in SHOWING.items()])
        self._metal = Choice("Metal", [("", "all metals"), *((one, one) for one in SYMBOLS)])
        for choice in (self._group, self._showing, self._metal):
            choice.chosen.connect(self.changed)
        self.count = ElidedLabel(kind="soft", size=Size.SECOND)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 8)
        row.setSpacing(8)
        row.addWidget(label("grouped by", kind="soft", size=Size.SECOND))
        row.addWidget(self._group)
        row.addWidget(label("showing", kind="soft", size=Size.SECOND))
        row.addWidget(self._showing)
        row.addWidget(self._metal)
        row.addWidget(self.count, 1)
        row.addWidget(MarkLegend(style))

    @property
    def group_by(self) -> GroupBy:
        """By what the items are grouped."""
        return GroupBy(self._group.value)

    @property
    def showing(self) -> Showing:
        """Which items are shown."""
        return Showing(self._showing.value)

    @property
    def metal(self) -> str:
        """Which metal they must hold; empty for any."""
        return str(self._metal.value)

    def show_everything(self) -> None:
        """Show items that are gone as well, as the one looked for is."""
        self._showing.choose(Showing.ALL)
