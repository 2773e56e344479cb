"""Does it balance? What a work would give and teach, before it is recorded."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.work import (
    Gravity,
    MetalPreview,
    WeightLine,
    WeightPreview,
    WorkFinding,
    WorkPreview,
)
from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.look import Look, Size
from vault.screens.numbers import NOT_KNOWN, Numbers, metal_name
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label, line
from vault.screens.widgets.layouts import empty

_BAR_HEIGHT = 14
_WAITING = "As soon as something goes in and comes out, its balance stands here."
_KIND_OF = {True: "fine", False: "attention", None: "soft"}


class BalanceCard(Card):
    """Shows a `WorkPreview`, or says what it waits for."""

    def __init__(self, style: HouseStyle) -> None:
        super().__init__()
        self._style = style
        self._preview: WorkPreview | None = None
        self._body = QWidget()
        self.column.addWidget(label("Does it balance?", size=Size.TITLE, bold=True))
        self.column.addWidget(self._body)
        self.say(_WAITING)

    @property
    def preview(self) -> WorkPreview | None:
        """What is shown."""
        return self._preview

    @property
    def is_empty(self) -> bool:
        """Whether there is no balance in it yet."""
        shown = self._preview
        return shown is None or not (shown.metals or shown.weight.lines or shown.sentence)

    def show_preview(self, preview: WorkPreview) -> None:
        """Show what a work would give."""
        self._preview = preview
        numbers = self._style.numbers
        parts: list[QWidget] = []
        if preview.stale:
            parts.append(label(preview.stale, size=Size.SMALL, kind="soft", wrap=True))
        told: set[str] = set()
        for one in preview.metals:
            parts.append(MetalBalance(one, self._style, told))
            told.add(one.sentence)
        if preview.weight.lines or preview.weight.sentence:
            parts.append(_weight_part(preview.weight, numbers))
        if preview.sentence:
            kind = _KIND_OF[preview.closes]
            is_bold = preview.closes is not None
            parts.append(label(preview.sentence, bold=is_bold, kind=kind, wrap=True))
        elif not (preview.metals or preview.weight.lines):
            parts.append(label(_WAITING, kind="soft", wrap=True))
        self._show(parts)

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        if self._preview is not None:
            self.show_preview(self._preview)

    def clear(self) -> None:
        """Show nothing."""
        self._preview = None
        self.say(_WAITING)

    def say(self, sentence: str) -> None:
        """Say a sentence in place of a balance."""
        self._show([label(sentence, kind="soft", wrap=True)])

    def _show(self, parts: Sequence[QWidget]) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for part in parts:
            column.addWidget(part)
        self.column.replaceWidget(self._body, body)
        # A layout shows what it is given only later; between the two there would be a flicker.
        body.setVisible(True)
        self._body.hide()
        self._body.deleteLater()
        self._body = body


class MetalBalance(QWidget):
    """The balance of one metal: as a bar, and as a small table that adds up."""

    def __init__(self, preview: MetalPreview, style: HouseStyle, told: AbstractSet[str]) -> None:
        """Build the table; sentences that were `told` already are not said again."""
        super().__init__()
        numbers = style.numbers
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        name = metal_name(preview.metal)
        words = f"{preview.metal}  {name}"
        column.addWidget(label(words, size=Size.SMALL, kind="soft"))
        grid = _grid(column)
        _add(grid, "went in", numbers.figure_with_unit(preview.went_in))
        if preview.went_in.fine_ug is not None:
            column.insertWidget(1, BalanceBar(preview, style))
            self._add_outcome(grid, preview, numbers)
        if preview.sentence and preview.sentence not in told:
            kind = "attention" if preview.closes is False else "soft"
            column.addWidget(label(preview.sentence, size=Size.SMALL, kind=kind, wrap=True))

    def _add_outcome(self, grid: QGridLayout, preview: MetalPreview, numbers: Numbers) -> None:
        for made in preview.made:
            told = numbers.figure_with_unit(made.figure)
            known = made.figure.how is not How.NOT_KNOWN
            how = f", {made.figure.how.value}" if known else ""
            _add(grid, f"{made.form} {made.tag}{how}", told)
        lost = preview.lost
        gain = lost.fine_ug is not None and lost.fine_ug < 0
        words = "more came out than went in" if gain else "gone as fume or spilled"
        _add(grid, words, numbers.uncut_with_unit(lost))
        for better in preview.better:
            told = numbers.figure_with_unit(better.now)
            _add(grid, better.sentence or f"{better.tag} is now known better", told, bold=True)


class BalanceBar(QWidget):
    """All of a metal that went in: solid in what is made, hatched in residues, red what is lost."""

    def __init__(self, preview: MetalPreview, style: HouseStyle) -> None:
        super().__init__()
        self._preview = preview
        self._style = style
        self.setFixedHeight(_BAR_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        numbers = style.numbers
        told = [
            f"{one.form} {one.tag}: {numbers.figure_with_unit(one.figure)}" for one in preview.made
        ]
        self.setToolTip("\n".join(told))
        self.setAccessibleName(f"balance of {metal_name(preview.metal)}: {', '.join(told)}")

    def segments(self, look: Look) -> list[Segment]:
        """Give the parts of the bar, products first."""
        metal = self._preview.metal
        made = sorted(self._preview.made, key=lambda one: one.is_residue)
        parts = [
            Segment(
                float(max(0, one.figure.fine_ug or 0)),
                look.shade(metal, 1 if one.is_residue else 0),
                is_hatched=one.is_residue,
            )
            for one in made
        ]
        lost = float(max(0, self._preview.lost.fine_ug or 0))
        fed = float(max(0, self._preview.went_in.fine_ug or 0))
        # What lies in things of which nothing is known stays blank.
        blank = max(0.0, fed - lost - sum(one.amount for one in parts))
        return [
            *parts,
            Segment(blank, look.band),
            Segment(lost, look.attention, is_hatched=True),
        ]

    @override
    def sizeHint(self) -> QSize:
        return QSize(160, _BAR_HEIGHT)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        look = self._style.look
        paint_bar(QPainter(self), QRectF(self.rect()), self.segments(look), look.band)


class FindingsCard(Card):
    """What somebody looking over one's shoulder would say; hidden where there is nothing."""

    def __init__(self) -> None:
        super().__init__()
        self._told: dict[str, str] = {}
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        self.column.addLayout(self._column)
        self.hide()

    def show_findings(
        self, findings: Sequence[WorkFinding], said: AbstractSet[str] = frozenset()
    ) -> None:
        """List what was found, each sentence once; what is only lacking yet is left out.

        So is what was `said` beside it already.
        """
        told: dict[str, str] = {}
        for one in findings:
            if one.gravity is not Gravity.LACKS and one.sentence not in said:
                grave = one.gravity is Gravity.REFUSES
                told[one.sentence] = "attention" if grave else told.get(one.sentence, "")
        if list(told.items()) == list(self._told.items()):
            return
        self._told = told
        empty(self._column)
        for sentence, kind in told.items():
            words = label(sentence, size=Size.SECOND, kind=kind, wrap=True)
            self._column.addWidget(words)
            # A layout shows what it is given only later.
            words.setVisible(True)
        self.setVisible(bool(told))


def _weight_part(weight: WeightPreview, numbers: Numbers) -> QWidget:
    part = QWidget()
    column = QVBoxLayout(part)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(4)
    column.addWidget(label("All of the weight", size=Size.SMALL, kind="soft"))
    grid = _grid(column)
    for one in weight.lines:
        _add(grid, one.words, weight_words(one, numbers), bold=one.is_result)
    if weight.sentence:
        kind = "attention" if weight.closes is False else "soft"
        column.addWidget(label(weight.sentence, size=Size.SMALL, kind=kind, wrap=True))
    return part


def weight_words(one: WeightLine, numbers: Numbers) -> str:
    """Write a weight, or the two that it lies between: `226 to 236 g`."""
    if one.low_ug is None or one.high_ug is None:
        return NOT_KNOWN
    return numbers.span(one.low_ug, one.high_ug)


def _grid(column: QVBoxLayout) -> QGridLayout:
    grid = QGridLayout()
    grid.setContentsMargins(4, 0, 0, 0)
    grid.setHorizontalSpacing(8)
    grid.setVerticalSpacing(4)
    grid.setColumnStretch(0, 1)
    column.addLayout(grid)
    return grid


def _add(grid: QGridLayout, words: str, told: str, *, bold: bool = False) -> None:
    row = grid.rowCount()
    grid.addWidget(ElidedLabel(words, size=Size.SECOND, bold=bold), row, 0)
    grid.addWidget(label(told, size=Size.SECOND, bold=bold), row, 1, Qt.AlignmentFlag.AlignRight)
    grid.addWidget(line(), row + 1, 0, 1, 2)
