"""The middle of the form: what came out."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from vault.application.queries.answers.bench import KnownNames
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import label
from vault.screens.work.aids import AidList
from vault.screens.work.made_rows import MadeRow
from vault.screens.work.row_list import RowList
from vault.screens.work.rows import WeightFactory

_NOTHING = "Choose what was done: what mostly comes out of it is put here, ready to be weighed."


class CameOutCard(Card):
    """What came out.

    Signals:
        changed: anything in it was changed by the reader.
        ended: the hand goes on to the button that records.
    """

    changed = Signal()
    ended = Signal()

    def __init__(self, style: HouseStyle, weights: WeightFactory) -> None:
        super().__init__()
        self._style = style
        self._weights = weights
        self._known = KnownNames()
        self.made: RowList[MadeRow] = RowList()
        self.nothing = label(_NOTHING, kind="soft", wrap=True)
        self.more_button = QPushButton("+ something else came out")
        self.more_button.setProperty("kind", "answer")
        self.more_button.setAutoDefault(True)
        self.more_button.clicked.connect(self._on_more_button_clicked)
        self.column.setSpacing(6)
        self.column.addWidget(label("Came out", size=Size.TITLE, bold=True))
        self.column.addWidget(self.nothing)
        self.column.addWidget(self.made)
        self.column.addWidget(self.more_button)
        self.aids = AidList()
        self.column.addWidget(self.aids)
        self.column.addStretch(1)
        self.made.changed.connect(self.changed)
        self.made.ended.connect(self.ended)

    def show_scale(self, box: QWidget) -> None:
        """Show the scale on the bench below what came out."""
        self.column.insertWidget(self.column.indexOf(self.aids), box)

    def know(self, known: KnownNames) -> None:
        """Offer these names from now on."""
        self._known = known
        for row in self.made.rows:
            row.know(known)

    def add(self, form: str) -> MadeRow:
        """Put a line in for a thing of a form."""
        row = MadeRow(self._style, self._weights, self._known)
        row.begin(form)
        self.nothing.hide()
        return self.made.add(row)

    def clear(self) -> None:
        """Take all lines out."""
        self.made.clear()
        self.nothing.show()
        self.aids.show_aids(())

    def go_in(self) -> None:
        """Put the hand where the first thing is weighed."""
        if not self.made.go_in():
            self.more_button.setFocus()

    def _on_more_button_clicked(self) -> None:
        self.add("").go_in()
        self.changed.emit()
