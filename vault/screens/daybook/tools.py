"""The line above the daybook: which acts, struck ones too or not, newest or oldest first."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from vault.core.daybook import Act
from vault.screens.look import Size
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import ElidedLabel, label


class DaybookTools(QWidget):
    """Lets the reader choose which entries are shown.

    Signals:
        changed: something else was chosen.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.act = Choice("Act", [("", "every act"), *((one.value, one.value) for one in Act)])
        self.struck = Choice("Struck", [(True, "struck ones too"), (False, "without struck ones")])
        self.order = Choice("Order", [(True, "newest first"), (False, "oldest first")])
        self.count = ElidedLabel(kind="soft", size=Size.SECOND)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 8)
        row.setSpacing(8)
        row.addWidget(label("showing", kind="soft", size=Size.SECOND))
        for choice in (self.act, self.struck, self.order):
            choice.chosen.connect(self.changed)
            row.addWidget(choice)
        row.addWidget(self.count, 1)

    @property
    def wanted_act(self) -> Act | None:
        """The act chosen, None for every act."""
        return Act(self.act.value) if self.act.value else None
