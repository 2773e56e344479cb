"""What does not add up: a card for each finding, with everything that could be wrong."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from vault.application.queries.answers.daybook import FindingRow
from vault.core.findings import Severity
from vault.screens.look import Size
from vault.screens.widgets.folds import Fold
from vault.screens.widgets.labels import label
from vault.screens.widgets.links import Links

_MOST_HEIGHT = 300
_MOST_PART = 0.34
_MOST_SHOWN = 100
_IN_A_LINE = 8


class FindingCard(QFrame):
    """One finding: its sentence, what would settle it, and the ways to what it is about.

    Signals:
        item_wanted: the tag of an item.
        entry_wanted: the number of an entry.
    """

    item_wanted = Signal(str)
    entry_wanted = Signal(int)

    def __init__(self, finding: FindingRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        is_alarm = finding.severity == Severity.ALARM.value
        self.setProperty("kind", "caution" if is_alarm else "note")
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(4)
        column.addWidget(label(finding.words, bold=True, wrap=True))
        for proposed in finding.more:
            column.addWidget(label(f"·  {proposed}", size=Size.SECOND, wrap=True))
        row = QHBoxLayout()
        row.setSpacing(14)
        if finding.entries:
            row.addWidget(label("entries", size=Size.SECOND, kind="soft"))
            numbers = [str(one) for one in finding.entries]
            entries = Links(numbers, "Entry {name}, below", across=_IN_A_LINE, most=_IN_A_LINE)
            entries.wanted.connect(self._on_entry_clicked)
            row.addWidget(entries)
        if finding.tags:
            row.addWidget(label("items", size=Size.SECOND, kind="soft"))
            tags = Links(finding.tags, "{name} in the Safe", across=_IN_A_LINE, most=_IN_A_LINE)
            tags.wanted.connect(self.item_wanted)
            row.addWidget(tags)
        row.addStretch(1)
        column.addLayout(row)

    def _on_entry_clicked(self, number: str) -> None:
        self.entry_wanted.emit(int(number))


class FindingsFold(Fold):
    """All findings, folded away until they are wanted; hidden where there is none.

    Signals:
        item_wanted: the tag of an item.
        entry_wanted: the number of an entry.
    """

    item_wanted = Signal(str)
    entry_wanted = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)
        self.button.setProperty("wants_attention", True)  # noqa: FBT003  Qt knows no keywords here
        self._most = _MOST_HEIGHT
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setAccessibleName("What does not add up")
        self.put(self.area)
        self.show_findings(())

    def show_findings(self, findings: Sequence[FindingRow]) -> None:
        """Show these, weightiest first."""
        self.setVisible(bool(findings))
        told = "1 thing does" if len(findings) == 1 else f"{len(findings)} things do"
        self.button.setText(f"{told} not add up")
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 4, 0)
        column.setSpacing(8)
        for finding in findings[:_MOST_SHOWN]:
            card = FindingCard(finding)
            card.item_wanted.connect(self.item_wanted)
            card.entry_wanted.connect(self.entry_wanted)
            column.addWidget(card)
        if len(findings) > _MOST_SHOWN:
            told = f"and {len(findings) - _MOST_SHOWN} more; settle those above first"
            column.addWidget(label(told, kind="soft"))
        column.addStretch(1)
        self.area.setWidget(inside)
        inside.setAutoFillBackground(False)
        self._fit()

    def leave_room(self, height: int) -> None:
        """Take no more than a part of the screen's height."""
        self._most = min(_MOST_HEIGHT, round(_MOST_PART * height))
        self._fit()

    def _fit(self) -> None:
        inside = self.area.widget()
        if inside is not None:
            wanted = inside.heightForWidth(self.area.viewport().width())
            self.area.setFixedHeight(min(self._most, max(wanted, inside.sizeHint().height()) + 4))
