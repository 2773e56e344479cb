"""One house factor over time: which kind of residue, which metal, and whether it still holds."""

from __future__ import annotations

from math import log10

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.learning import FactorDrift, Learning, LearntFactor
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import Numbers, day, metal_name
from vault.screens.widgets.cards import Card
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import ElidedLabel, label

_NONE = [("", "–")]
_LEAST_HEIGHT = 330
_NOTHING_KEPT = (
    "Nothing is kept yet. As soon as a work leaves slag, cupels or dust, what they keep stands "
    "here: first as the trade guesses it, then as the shop's own assays and settlements teach it."
)


class FactorCard(Card):
    """Draws the factor of choice.

    Signals:
        metal_chosen: the reader chose another metal.
    """

    metal_chosen = Signal(str)

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._learning = Learning(())
        self._shown: QWidget | None = None
        self.kind = Choice("Kind of residue", _NONE)
        self.metal = Choice("Metal", _NONE)
        self.kind.chosen.connect(self._draw)
        self.metal.chosen.connect(self._on_metal_chosen)
        self.heading = ElidedLabel(size=Size.TITLE, bold=True)
        self.verdict = label(size=Size.SECOND, wrap=True)
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self.heading, 1)
        head.addWidget(self.kind)
        head.addWidget(self.metal)
        self.column.addLayout(head)
        self.column.addWidget(self.verdict)
        style.changed.connect(self._draw)

    def show_learning(self, learning: Learning, metal: str) -> None:
        """Show what was learnt, of this metal if it is there; the kind stays as it was chosen."""
        self._learning = learning
        metals = list(dict.fromkeys(one.metal for one in learning.factors))
        self.metal.offer([(one, one) for one in metals] or _NONE)
        if metal in metals:
            self.metal.choose(metal)
        self._offer_kinds()

    def _on_metal_chosen(self) -> None:
        self._offer_kinds()
        self.metal_chosen.emit(str(self.metal.value))

    def _offer_kinds(self) -> None:
        """Offer the kinds of the metal; one that drifts first, unless another was chosen."""
        of_metal = [one for one in self._learning.factors if one.metal == self.metal.value]
        was_open = self.kind.value != ""
        self.kind.offer([(one.kind, one.kind) for one in of_metal] or _NONE)
        drifting = next((one.kind for one in of_metal if one.drift is not None), None)
        if drifting is not None and not was_open:
            self.kind.choose(drifting)
        self._draw()

    def _draw(self) -> None:
        chosen = (self.kind.value, self.metal.value)
        factor = next(
            (one for one in self._learning.factors if (one.kind, one.metal) == chosen), None
        )
        if factor is None:
            self.heading.setText("What residues keep")
            self._put(label(_NOTHING_KEPT, kind="soft", wrap=True))
            self.verdict.hide()
            return
        self.heading.setText(f"What the {factor.kind} keeps of the {metal_name(factor.metal)} fed")
        # Loaded by now; at the start it would double the start.
        from vault.screens.charts.factor import FactorChart  # noqa: PLC0415

        self._put(FactorChart(factor, self._style.look, self._style.numbers))
        self.verdict.setText(verdict_words(factor, self._style.numbers))
        self.verdict.setProperty("kind", "soft" if factor.drift is None else "attention")
        self.verdict.style().polish(self.verdict)
        self.verdict.show()

    def _put(self, widget: QWidget) -> None:
        if self._shown is not None:
            self.column.removeWidget(self._shown)
            self._shown.deleteLater()
            self._shown.hide()
        self._shown = widget
        self.column.insertWidget(1, widget, 1)
        widget.show()

    # A plot asks for the height of a whole window; it takes what is there, and no less than can be
    # read.
    @override
    def hasHeightForWidth(self) -> bool:
        return False

    @override
    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), _LEAST_HEIGHT)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(super().minimumSizeHint().width(), _LEAST_HEIGHT)


def verdict_words(factor: LearntFactor, numbers: Numbers) -> str:
    """Say whether a factor holds, and on what that rests."""
    if factor.drift is not None:
        return _drift_words(factor.drift, numbers)
    if not factor.measured:
        return (
            "No such residue was assayed or settled yet: this is the first guess, and what the "
            "balances of works say of it."
        )
    works = "work was" if factor.measured == 1 else "works were"
    told = f"The residues of {numbers.count(factor.measured)} {works} measured"
    if not factor.is_enough:
        return f"{told}: too few to see whether it changes."
    return f"{told}; no change in it is to be seen."


def _drift_words(drift: FactorDrift, numbers: Numbers) -> str:
    after = numbers.share_and_doubt(drift.after.share, drift.after.u)
    before = numbers.share_and_doubt(drift.before.share, drift.before.u)
    often = numbers.count(10 ** int(-log10(drift.chance)))
    return (
        f"Since {day(drift.since)} (entry {numbers.count(drift.entry)}) it has been {after}; "
        f"before that it was {before}. Chance alone shows as much in fewer than 1 of {often} shops "
        "where nothing changed. Look at what did: the heat, the lead or flux, what the lots are, "
        "the scale, the assayer. Residues not assayed still go by one figure for all times."
    )
