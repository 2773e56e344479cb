"""What all charts over time share: axes, legend, read-out, cursor, pan and zoom."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.series import Series
from vault.core.masses import MICROGRAMS_PER_UNIT
from vault.screens.charts.axes import DayAxis, MassAxis
from vault.screens.charts.columns import Floats
from vault.screens.charts.drawing import Drawing, Painting
from vault.screens.charts.legend import Key, Legend
from vault.screens.look import Look, Size
from vault.screens.numbers import Numbers, day, metal_name
from vault.screens.widgets.labels import ElidedLabel, label

ZOOM_STEP = 1.4
# Air above the highest figure, for the words of marks.
_HEADROOM = 1.18
_LEAST_DAYS_SEEN = 5.0
_SMOOTH_AGAIN_MS = 160
_RIGHT_MARGIN = 28
_UG_PER_G = 1_000_000
NOTHING_HERE = "Nothing of this metal was ever here."


class Curve:
    """A figure over time with its doubt, as arrays.

    Attributes:
        metal: of which metal.
        on, marks: the days, rising, and those worth a line across, with words.
        days, total, doubt: the days as ordinals, the figure and its doubt on each.
        highest: what is to be in sight on each.
    """

    def __init__(
        self,
        metal: str,
        on: Sequence[date],
        total: Floats,
        doubt: Floats,
        marks: Sequence[tuple[date, str]],
    ) -> None:
        self.metal = metal
        self.on = on
        self.marks = marks
        self.days: Floats = np.array([float(one.toordinal()) for one in on])
        self.total, self.doubt = total, doubt
        self.highest: Floats = total + doubt


class Figures(Curve):
    """A series as arrays, in the reader's unit."""

    def __init__(self, series: Series, numbers: Numbers) -> None:
        factor = _UG_PER_G / float(MICROGRAMS_PER_UNIT[numbers.unit])
        super().__init__(
            series.metal,
            series.days,
            np.array(series.total_g, dtype=np.float64) * factor,
            np.array(series.u_g, dtype=np.float64) * factor,
            series.marks,
        )
        self.series = series
        self.as_known: Floats = (
            np.array([np.nan if one is None else one for one in series.as_known_g]) * factor
        )
        forms = np.array(series.fine_g, dtype=np.float64).reshape(
            len(series.forms), len(series.days)
        )
        # A content a little below zero is a figure and no area; it is left out of the stack.
        self.stack: Floats = np.cumsum(np.maximum(forms, 0.0), axis=0) * factor
        if len(self.stack):
            self.highest = np.maximum(self.stack[-1], self.highest)
        if len(self.as_known):
            self.highest = np.fmax(self.highest, self.as_known)


class Chart(QWidget):
    """A chart of one curve; kinds of chart say what is painted and what is read out."""

    def __init__(
        self,
        curve: Curve,
        look: Look,
        numbers: Numbers | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.numbers = numbers or Numbers()
        self.curve = curve
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self.read_out = ElidedLabel(size=Size.SECOND)
        self.read_out.setAccessibleName("Figures at the cursor")
        self.drawing: Drawing | None = None
        self.setAccessibleName(f"{metal_name(curve.metal)} over time")
        if not curve.on:
            self._column.addWidget(label(NOTHING_HERE, kind="soft"), 1)
            return
        self._build()
        self._connect()
        self.show_all()
        self._read(None)

    # --- what kinds of chart give ---------------------------------------------------------------

    def painting(self) -> Painting:
        """Give what paints the figures."""
        raise NotImplementedError

    def keys(self) -> list[Key]:
        """Give the keys of the legend."""
        raise NotImplementedError

    def said_at(self, place: int) -> str:
        """Give the read-out at a point of the curve, without its day."""
        raise NotImplementedError

    def left_axis(self) -> pg.AxisItem:
        """Give the axis on the left, in what is shown."""
        return MassAxis(self.look, self.numbers)

    def name(self) -> str:
        """Give what stands before the keys."""
        return f"{self.curve.metal} {metal_name(self.curve.metal)}"

    # --- what can be done with it ---------------------------------------------------------------

    def show_all(self) -> None:
        """Show the series from its first day to its last."""
        days = self.curve.days
        spare = max(_LEAST_DAYS_SEEN / 2, (days[-1] - days[0]) * 0.01)
        self._box.setXRange(days[0] - spare, days[-1] + spare, padding=0)

    def zoom(self, factor: float) -> None:
        """Come closer to the cursor, or to the middle where there is none."""
        (left, right), _ = self._box.viewRange()
        place = None if self.drawing is None else self.drawing.cursor_place
        middle = (left + right) / 2 if place is None else float(self.curve.days[place])
        half = (right - left) / factor / 2
        self._box.setXRange(middle - half, middle + half, padding=0)

    def stand_on(self, place: int) -> None:
        """Put the cursor on a point of the series and read it out."""
        place = max(0, min(len(self.curve.days) - 1, place))
        if self.drawing is not None:
            self.drawing.stand_on(place)
        at = float(self.curve.days[place])
        (left, right), _ = self._box.viewRange()
        if not left <= at <= right:
            shift = at - (left if at < left else right)
            self._box.setXRange(left + shift, right + shift, padding=0)
        self._read(place)

    # --- slots ----------------------------------------------------------------------------------

    def _on_box_range_changed(self) -> None:
        self._fit_height()
        self._roughly()
        if self.drawing is not None:
            self.drawing.refit()

    def _on_box_resized(self) -> None:
        if self.drawing is not None:
            self.drawing.refit()

    def _on_smooth_again_timeout(self) -> None:
        if self.drawing is not None:
            self.drawing.is_rough = False
            self.drawing.update()

    # --- building -------------------------------------------------------------------------------

    def _build(self) -> None:
        self.legend = Legend(self.name(), self.keys(), self.look)
        axes = {"bottom": DayAxis(self.look), "left": self.left_axis()}
        self.plot = pg.PlotWidget(background=self.look.card, axisItems=axes)
        self.plot.setFrameShape(pg.QtWidgets.QFrame.Shape.NoFrame)
        self.plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        item = self.plot.getPlotItem()
        item.hideButtons()
        item.setMenuEnabled(False)
        item.showGrid(y=True, alpha=0.35)
        item.layout.setContentsMargins(0, 4, _RIGHT_MARGIN, 0)
        self._box = item.getViewBox()
        self._box.setMouseEnabled(x=True, y=False)
        self._box.setDefaultPadding(0)
        days = self.curve.days
        # Wider than what `show_all` shows, or the two would pull at each other without end.
        spare = max(_LEAST_DAYS_SEEN, (days[-1] - days[0]) * 0.03)
        self._box.setLimits(xMin=days[0] - spare, xMax=days[-1] + spare, minXRange=_LEAST_DAYS_SEEN)
        self.drawing = Drawing(self._box, self.painting(), days, self.curve.marks, self.look)
        self._smooth_again = QTimer(self)
        self._smooth_again.setSingleShot(True)
        self._smooth_again.setInterval(_SMOOTH_AGAIN_MS)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._column.addWidget(self.legend)
        self._column.addWidget(self.plot, 1)
        self._column.addWidget(self.read_out)

    def _connect(self) -> None:
        self._box.sigXRangeChanged.connect(self._on_box_range_changed)
        self._box.sigResized.connect(self._on_box_resized)
        self._smooth_again.timeout.connect(self._on_smooth_again_timeout)
        self.plot.viewport().installEventFilter(self)
        self.plot.viewport().setMouseTracking(True)

    def _fit_height(self) -> None:
        """Let the highest figure in sight just fit, words of marks included."""
        (left, right), _ = self._box.viewRange()
        first, last = np.searchsorted(self.curve.days, (left, right))
        seen = self.curve.highest[max(0, first - 1) : last + 1]
        top = float(np.nanmax(seen)) if len(seen) else 0.0
        self._box.setYRange(0, top * _HEADROOM if top > 0 else 1.0, padding=0)

    def _roughly(self) -> None:
        """Draw without smooth edges while things move; `_smooth_again` puts them back."""
        if self.drawing is not None and self.isVisible():
            self.drawing.is_rough = True
            self._smooth_again.start()

    def _read(self, place: int | None) -> None:
        at = len(self.curve.days) - 1 if place is None else place
        on = self.curve.on[at]
        self.read_out.setText(f"{day(on)}: {self.said_at(at)}{self._marks_at(on)}")

    def _marks_at(self, on: date) -> str:
        words = [words for when, words in self.curve.marks if when == on]
        return "".join(f" · {one}" for one in words)

    def _nearest(self, where: QPointF) -> int:
        inside = self._box.mapSceneToView(self.plot.mapToScene(where.toPoint())).x()
        return int(np.abs(self.curve.days - inside).argmin())

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.MouseMove and isinstance(event, QMouseEvent):
            if event.buttons() is Qt.MouseButton.NoButton:
                self.stand_on(self._nearest(event.position()))
        elif event.type() is QEvent.Type.Leave and not self.hasFocus():
            self._let_go()
        elif event.type() is QEvent.Type.MouseButtonPress:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
        return super().eventFilter(watched, event)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.drawing is None:
            super().keyPressEvent(event)
            return
        last = len(self.curve.days) - 1
        place = last if self.drawing.cursor_place is None else self.drawing.cursor_place
        match event.key():
            case Qt.Key.Key_Left:
                self.stand_on(place - 1)
            case Qt.Key.Key_Right:
                self.stand_on(place + 1)
            case Qt.Key.Key_Home:
                self.stand_on(0)
            case Qt.Key.Key_End:
                self.stand_on(last)
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom(ZOOM_STEP)
            case Qt.Key.Key_Minus:
                self.zoom(1 / ZOOM_STEP)
            case Qt.Key.Key_0:
                self.show_all()
            case _:
                super().keyPressEvent(event)

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if self.drawing is not None and self.drawing.cursor_place is None:
            self.stand_on(len(self.curve.days) - 1)

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._let_go()

    def _let_go(self) -> None:
        if self.drawing is not None:
            self.drawing.stand_on(None)
            self._read(None)


class SeriesChart(Chart):
    """A chart of a series of masses."""

    def __init__(
        self,
        series: Series,
        look: Look,
        numbers: Numbers | None = None,
        parent: QWidget | None = None,
    ) -> None:
        # Wanted already while the chart is built.
        self.figures = Figures(series, numbers or Numbers())
        super().__init__(self.figures, look, numbers, parent)
