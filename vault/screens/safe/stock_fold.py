"""The stock over time, folded away below the items until it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from vault.application.queries.answers.series import Series
from vault.screens.background import Background
from vault.screens.charts.loading import loading_of_charts
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.cards import Card
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.folds import Fold
from vault.screens.widgets.labels import label

_HEIGHT = 260


class StockFold(Fold):
    """Asks for the series of one metal only while it is open.

    Signals:
        opened: see `Fold`.
    """

    opened = Signal(bool)

    def __init__(
        self,
        series_of: Callable[[object, str], Series],
        background: Background,
        style: HouseStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__("Stock over time", parent)
        self._series_of = series_of
        self._style = style
        self._asker = background.asker(self)
        self._loading = loading_of_charts(background, self)
        self._book: object | None = None
        self._frame = Card()
        self._frame.setFixedHeight(_HEIGHT)
        self._shown: QWidget | None = None
        self.metal = Choice("Metal of the chart", [("", "–")])
        self.metal.chosen.connect(self._ask)
        self.head.insertWidget(1, self.metal)
        self.metal.hide()
        self.put(self._frame)
        self.opened.connect(self._on_opened)
        style.changed.connect(self._ask)

    def show_book(self, book: object | None, metals: tuple[str, ...]) -> None:
        """Offer the metals of a book, and ask anew if it is open."""
        self._book = book
        if book is not None:
            self._loading.in_a_while(self.isVisible)
        self.metal.offer([(metal, metal) for metal in metals] or [("", "–")])
        self._ask()

    def _ask(self) -> None:
        if self.is_open and self._book is not None and self.metal.value:
            self._loading.then(self._on_loaded)

    def _on_loaded(self) -> None:
        metal = str(self.metal.value)
        if self.is_open and self._book is not None and metal:
            self._asker.ask(partial(self._series_of, self._book, metal), self._on_series_answered)

    def _on_opened(self, wide: bool) -> None:  # noqa: FBT001  what the signal carries
        self.metal.setVisible(wide)
        self._ask()

    def _on_series_answered(self, series: Series) -> None:
        if not series.days:
            self._show(label("Nothing of this metal was ever here.", kind="soft"))
            return
        # Loaded by now; at the start it would double the start.
        from vault.screens.charts.stacked_area import StackedArea  # noqa: PLC0415

        self._show(StackedArea(series, self._style.look, self._style.numbers))

    def _show(self, widget: QWidget) -> None:
        if self._shown is not None:
            self._frame.column.removeWidget(self._shown)
            self._shown.deleteLater()
        self._shown = widget
        self._frame.column.addWidget(widget)
