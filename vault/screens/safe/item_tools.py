"""The line above the item table: grouped by, showing, which metal, and the legend of marks."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from vault.application.queries.answers.items import GroupBy, ItemQuery, Showing
from vault.core.metals import ALL_SYMBOLS, SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.models.cells import fine_title
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.column_choice import ColumnChoice
from vault.screens.widgets.labels import label
from vault.screens.widgets.marks import MarkLegend

GROUPED_BY = {
    GroupBy.PLACE: "place",
    GroupBy.LOT: "lot",
    GroupBy.FORM: "form",
    GroupBy.METAL: "metal",
    GroupBy.OWNER: "owner",
    GroupBy.NOTHING: "nothing",
}
SHOWING = {
    Showing.ON_HAND: "on hand",
    Showing.RESIDUES: "residues on hand",
    Showing.GONE: "gone",
    Showing.ALL: "everything",
}

# Most shops see little of these; one click shows them.
HIDDEN_AT_FIRST = frozenset(fine_title(metal) for metal in ALL_SYMBOLS if metal not in {"Ag", "Au"})
_ALWAYS_SHOWN = "Tag"


class ItemTools(QWidget):
    """Lets the reader choose groups, which items, and which metal.

    Signals:
        changed: something else was chosen.
        stopped: the reader does not wait for the items any longer.
        columns_changed: the titles of the columns that are hidden now.
    """

    changed = Signal()
    stopped = Signal()
    columns_changed = Signal(object)

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = Choice("Grouped by", list(GROUPED_BY.items()))
        self._showing = Choice("Showing", list(SHOWING.items()))
        self._metal = Choice("Metal", [("", "all metals"), *((one, one) for one in SYMBOLS)])
        self.columns = ColumnChoice(HIDDEN_AT_FIRST, always_shown=_ALWAYS_SHOWN)
        self.columns.changed.connect(self.columns_changed)
        for choice in (self._group, self._showing, self._metal):
            choice.chosen.connect(self.changed)
        self.count = label(kind="soft", size=Size.SECOND)
        self.stop_button = QPushButton("Stop")
        self.stop_button.setProperty("kind", "link")
        self.stop_button.setToolTip("Show what was shown before")
        self.stop_button.clicked.connect(self.stopped)
        self.stop_button.hide()
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 8)
        row.setSpacing(8)
        row.addWidget(label("grouped by", kind="soft", size=Size.SECOND))
        row.addWidget(self._group)
        row.addWidget(self._showing)
        row.addWidget(self._metal)
        row.addWidget(self.columns)
        row.addWidget(self.count)
        row.addWidget(self.stop_button)
        row.addStretch(1)
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

    def show_query(self, query: ItemQuery) -> None:
        """Show what a query asks for, without telling."""
        self._group.choose(query.group_by)
        self._showing.choose(query.showing)
        self._metal.choose(query.metal)

    def count_items(self, words: str, *, waits: bool = False) -> None:
        """Say how many items there are, or that they are looked for, which may be stopped."""
        self.count.setText(words)
        self.stop_button.setVisible(waits)

    def show_everything(self) -> None:
        """Show items that are gone as well, as the one looked for is."""
        self._showing.choose(Showing.ALL)
