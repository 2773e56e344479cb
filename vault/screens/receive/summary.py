"""Beside the form: what is being received by the customer's word, and what is to be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.receive import ReceiptFinding, ReceiptPreview
from vault.application.queries.answers.work import Gravity
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import metal_name
from vault.screens.widgets.cards import Card, Caution
from vault.screens.widgets.labels import label, line
from vault.screens.widgets.marks import Mark

WIDTH = 372
_LEAST_WIDTH = 310
_FINAL = "Recording is final in the daybook; a mistake is struck with a reason, never erased."


class Summary(QWidget):
    """Shows one `ReceiptPreview` and the big button.

    Signals:
        finding_chosen: a finding was clicked, or Enter pressed on it.
    """

    finding_chosen = Signal(object)

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._preview: ReceiptPreview | None = None
        self.setMinimumWidth(_LEAST_WIDTH)
        self.setMaximumWidth(WIDTH)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.button = QPushButton()
        self.button.setProperty("kind", "big")
        self.button.setAutoDefault(True)
        self.button.setToolTip("Record it (Ctrl+Enter)")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.area, 1)
        column.addWidget(self.button)
        column.addWidget(label(_FINAL, size=Size.SECOND, kind="soft", wrap=True))
        self.name_button(1)

    @property
    def preview(self) -> ReceiptPreview | None:
        """What is shown."""
        return self._preview

    def show_preview(self, preview: ReceiptPreview) -> None:
        """Show what is being received."""
        self._preview = preview
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self._received(preview))
        wanted = [one for one in preview.findings if one.gravity is not Gravity.WARNS]
        warned = [one for one in preview.findings if one.gravity is Gravity.WARNS]
        if wanted:
            column.addWidget(self._findings("Before it can be recorded", wanted))
        for caution in preview.cautions:
            column.addWidget(Caution(caution))
        if warned:
            column.addWidget(self._findings("Worth a look", warned))
        column.addStretch(1)
        at = self.area.verticalScrollBar().value()
        self.area.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.area.verticalScrollBar().setValue(at)
        self.name_button(len(preview.bags))

    def name_button(self, bags: int, *, busy: bool = False) -> None:
        """Say on the button what it does; greyed while it is being done."""
        tags = "1 tag" if bags == 1 else f"{bags} tags"
        self.button.setText(
            "Recording …" if busy else f"Receive it and print {tags} and the receipt"
        )
        self.button.setEnabled(not busy)

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        if self._preview is not None:
            self.show_preview(self._preview)

    def _received(self, preview: ReceiptPreview) -> QWidget:
        numbers = self._style.numbers
        card = Card()
        card.column.addWidget(label("Being received", bold=True, size=Size.TITLE))
        weighed = len(preview.bags) > preview.not_weighed
        total = numbers.weight(preview.net_ug) if weighed else "not weighed yet"
        card.column.addWidget(label(total, bold=True, size=Size.LARGE if weighed else Size.HEADING))
        card.column.addWidget(label(_of_bags(preview), kind="soft", size=Size.SECOND, wrap=True))
        if preview.declared:
            card.column.addWidget(line())
            card.column.addLayout(self._declared(preview))
        if preview.silent:
            card.column.addWidget(
                label(_of_silence(preview), kind="soft", size=Size.SECOND, wrap=True)
            )
        card.column.addWidget(line())
        for told in filter(None, (preview.hold_words, preview.earlier)):
            card.column.addWidget(label(told, size=Size.SECOND, wrap=True))
        return card

    def _declared(self, preview: ReceiptPreview) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(5)
        grid.setColumnStretch(1, 1)
        for row, (metal, figure) in enumerate(preview.declared.items()):
            told = self._style.numbers.figure_with_unit(figure)
            grid.addWidget(Mark(self._style, figure.how), row, 0)
            grid.addWidget(label(f"{metal} {metal_name(metal)}, declared"), row, 1)
            grid.addWidget(label(told, bold=True), row, 2, Qt.AlignmentFlag.AlignRight)
        return grid

    def _findings(self, heading: str, findings: Sequence[ReceiptFinding]) -> QWidget:
        card = Card()
        card.column.addWidget(label(heading, bold=True))
        for finding in findings:
            view = FindingView(finding)
            view.chosen.connect(partial(self.finding_chosen.emit, finding))
            card.column.addWidget(view)
        return card


class FindingView(QFrame):
    """One finding; a click or Enter leads to its field.

    Signals:
        chosen: it was clicked, or Enter pressed on it.
    """

    chosen = Signal()

    def __init__(self, finding: ReceiptFinding, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finding = finding
        self.setProperty("kind", "finding")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(finding.sentence)
        refuses = finding.gravity is Gravity.REFUSES
        row = QHBoxLayout(self)
        row.setContentsMargins(6, 5, 6, 5)
        row.addWidget(
            label(
                finding.sentence,
                size=Size.SECOND,
                kind="attention" if refuses else "",
                wrap=True,
            )
        )

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        del event
        self.chosen.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space}:
            self.chosen.emit()
        else:
            super().keyPressEvent(event)


def _of_bags(preview: ReceiptPreview) -> str:
    bags = len(preview.bags)
    told = f"net, in {'1 bag' if bags == 1 else f'{bags} bags'}"
    if preview.not_weighed and preview.not_weighed < bags:
        told += f"; {preview.not_weighed} not weighed"
    return told if preview.not_weighed < bags else f"{'1 bag' if bags == 1 else f'{bags} bags'}"


def _of_silence(preview: ReceiptPreview) -> str:
    bags, silent = len(preview.bags), preview.silent
    if silent == bags:
        return "Nothing is declared: what it holds is not known until it is assayed or worked."
    which = "1 bag" if silent == 1 else f"{silent} bags"
    return f"Nothing is declared of {which}: not known until assayed or worked."
