"""Names that lead to the thing they name, one beside the other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from vault.screens.look import Size
from vault.screens.widgets.labels import label


class Links(QWidget):
    """A few names as links, and how many more there are.

    Signals:
        wanted: the name that was clicked.
    """

    wanted = Signal(str)

    def __init__(
        self,
        names: Sequence[str],
        tip: str,
        *,
        shown: str = "{name}",
        most: int = 12,
        across: int = 4,
        parent: QWidget | None = None,
    ) -> None:
        """Build the links.

        Args:
            names: of the things.
            tip: says of a `{name}` where it leads.
            shown: how a `{name}` is written.
            most: how many are shown at most.
            across: how many stand in a line.
            parent: Qt's.
        """
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(2)
        for place, name in enumerate(names[:most]):
            link = QPushButton(shown.format(name=name))
            link.setProperty("kind", "link")
            link.setToolTip(tip.format(name=name))
            link.clicked.connect(partial(self.wanted.emit, name))
            grid.addWidget(link, *divmod(place, across))
        count = min(len(names), most)
        if len(names) > count:
            told = label(f"and {len(names) - count} more", size=Size.SECOND, kind="soft")
            grid.addWidget(told, *divmod(count, across))
        grid.setColumnStretch(across, 1)
