"""The right of the form: whether it balances, what was found, cautions, and the big button."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from vault.application.queries.answers.work import Caution, Gravity, WorkPreview
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import empty
from vault.screens.work.balance import BalanceCard, FindingsCard

_BIG = 56
_FINAL = "Recording is final in the daybook; a mistake is struck out with a reason, never erased."


class VerdictSide(QWidget):
    """What the work comes to, and the button that records it."""

    def __init__(self, style: HouseStyle, *, prints: bool) -> None:
        super().__init__()
        self._prints = prints
        self._tags = 0
        self._cautioned: tuple[Caution, ...] = ()
        self.balance = BalanceCard(style)
        self.findings = FindingsCard()
        self.cautions = QWidget()
        self._cautions = QVBoxLayout(self.cautions)
        self._cautions.setContentsMargins(0, 0, 0, 0)
        self._cautions.setSpacing(8)
        self.record_button = QPushButton("Record it")
        self.record_button.setProperty("kind", "big")
        self.record_button.setMinimumHeight(_BIG)
        self.record_button.setToolTip("Record it (Ctrl+Enter)")
        self.record_button.setAutoDefault(True)
        self.unprinted_button = QPushButton("Record it without printing")
        self.unprinted_button.setProperty("kind", "link")
        self.unprinted_button.setVisible(prints)
        self.why = label(_FINAL, size=Size.SMALL, kind="soft", wrap=True)
        self._lay_out()

    def show_preview(self, preview: WorkPreview) -> None:
        """Show what a work would give, and what stands against recording it."""
        self.balance.show_preview(preview)
        said = {one.sentence for one in preview.metals} | {preview.weight.sentence}
        self.findings.show_findings(preview.findings, said)
        self._show_cautions(preview.cautions)

    def clear(self) -> None:
        """Show nothing."""
        self.balance.clear()
        self.findings.show_findings(())
        self._show_cautions(())
        self.count_tags(0)
        self.let(why_not="")

    def count_tags(self, tags: int) -> None:
        """Say on the button how many tags are printed."""
        self._tags = tags
        told = f" and print {tags} {'tag' if tags == 1 else 'tags'}" if tags else ""
        self.record_button.setText(f"Record it{told if self._prints else ''}")

    def let(self, *, why_not: str) -> None:
        """Let it be recorded, or say why that is impossible."""
        self.record_button.setEnabled(not why_not)
        self.unprinted_button.setEnabled(not why_not)
        self.why.setText(why_not or _FINAL)
        kind = "attention" if why_not else "soft"
        if self.why.property("kind") != kind:
            self.why.setProperty("kind", kind)
            self.why.style().unpolish(self.why)
            self.why.style().polish(self.why)

    def _lay_out(self) -> None:
        inside = QWidget()
        parts = QVBoxLayout(inside)
        parts.setContentsMargins(0, 0, 0, 0)
        parts.setSpacing(10)
        for part in (self.balance, self.findings, self.cautions):
            parts.addWidget(part)
        parts.addStretch(1)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidget(inside)
        inside.setAutoFillBackground(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.area, 1)
        column.addWidget(self.record_button)
        column.addWidget(self.unprinted_button)
        column.addWidget(self.why)

    def _show_cautions(self, cautions: Sequence[Caution]) -> None:
        if tuple(cautions) == self._cautioned:
            return
        self._cautioned = tuple(cautions)
        empty(self._cautions)
        for one in cautions:
            box = CautionBox(one)
            self._cautions.addWidget(box)
            # A layout shows what it is given only later.
            box.setVisible(True)


class CautionBox(QFrame):
    """A short caution with its title and a red edge."""

    def __init__(self, caution: Caution) -> None:
        super().__init__()
        self.setProperty("kind", "caution")
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(2)
        column.addWidget(label(caution.title, bold=True))
        column.addWidget(label(caution.text, size=Size.SECOND, wrap=True))


def why_not(preview: WorkPreview) -> str:
    """Say why a work cannot be recorded as it stands; empty where it can."""
    barred = [one.sentence for one in preview.findings if one.gravity is not Gravity.WARNS]
    return barred[0] if barred else ""
