"""What is locked up of a metal over time, with its band, as known now and as known then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget
from typing_extensions import override

from vault.application.queries.answers.series import Series
from vault.screens.background import Background
from vault.screens.charts.loading import loading_of_charts
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.cards import Card
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import ElidedLabel, label

LEARNT = "What residues keep …"
_NO_METAL = [("", "–")]
_LEAST_HEIGHT = 262


class ChartCard(Card):
    """Asks for the series of the metal of choice and draws it.

    Signals:
        metal_chosen: the reader chose another metal.
    """

    metal_chosen = Signal(str)

    def __init__(
        self,
        series_of: Callable[[object, str], Series],
        background: Background,
        style: HouseStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._series_of = series_of
        self._style = style
        self._asker = background.asker(self)
        self._loading = loading_of_charts(background, self)
        self._book: object | None = None
        self._shown: QWidget | None = None
        self.metal = Choice("Metal of the chart", _NO_METAL)
        self.metal.chosen.connect(self._on_metal_chosen)
        self.learnt = QPushButton(LEARNT)
        self.learnt.setProperty("kind", "answer")
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(ElidedLabel("Locked up in all residues, over time", kind="soft"), 1)
        head.addWidget(self.learnt)
        head.addWidget(self.metal)
        self.column.addLayout(head)
        style.changed.connect(self._ask)

    def show_book(self, book: object | None, metals: Sequence[str]) -> None:
        """Offer the metals of a book and draw the one of choice."""
        self._book = book
        self.metal.offer([(metal, metal) for metal in metals] or _NO_METAL)
        self._ask()

    def forget(self) -> None:
        """Want no answer any more."""
        self._book = None
        self._asker.forget()

    def _ask(self) -> None:
        if self._book is not None and self.metal.value:
            self._loading.then(self._on_loaded)

    def _on_loaded(self) -> None:
        metal = str(self.metal.value)
        if self._book is not None and metal:
            self._asker.ask(partial(self._series_of, self._book, metal), self._on_series_answered)

    def _on_metal_chosen(self, metal: object) -> None:
        self._ask()
        self.metal_chosen.emit(str(metal))

    def _on_series_answered(self, series: Series) -> None:
        if not series.days:
            self._show(label("Nothing of this metal was ever here.", kind="soft"))
            return
        # Loaded by now; at the start it would double the start.
        from vault.screens.charts.band import BandChart  # noqa: PLC0415

        self._show(BandChart(series, self._style.look, self._style.numbers))

    def _show(self, widget: QWidget) -> None:
        if self._shown is not None:
            self.column.removeWidget(self._shown)
            self._shown.deleteLater()
        self._shown = widget
        self.column.addWidget(widget, 1)

    # A plot asks for the height of a whole window; it is as high as what stands beside it, and
    # no lower than can be read.
    @override
    def hasHeightForWidth(self) -> bool:
        return False

    @override
    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), _LEAST_HEIGHT)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(super().minimumSizeHint().width(), _LEAST_HEIGHT)
