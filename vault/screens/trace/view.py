"""The picture of a trace in its view: pointer and keyboard walk it, wheel and keys zoom it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsItem, QGraphicsScene, QGraphicsView, QWidget
from typing_extensions import override

from vault.application.queries.answers.trace import NodeKind, TraceNode
from vault.screens.hues import LotHues
from vault.screens.look import Look
from vault.screens.trace.box_item import BoxItem
from vault.screens.trace.layout import Layout
from vault.screens.trace.ribbon_item import RibbonItem
from vault.screens.trace.wording import Set, Wording, label_is_left

ZOOM_STEP = 1.25
CLOSEST = 4.0
FARTHEST = 0.05
# A small trace is not blown up to fill the window; a big one is not shrunk until unreadable.
LARGEST_FIT = 1.25
SMALLEST_FIT = 0.65
READABLE = 0.85
_SMOOTH_AGAIN_MS = 160
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class TraceScene(QGraphicsScene):
    """All boxes and ribbons of one trace."""

    def __init__(
        self, wording: Wording, made: Set, layout: Layout, look: Look, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        # Panning redraws much and moves nothing: an index costs more than it gives.
        self.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)
        self.setBackgroundBrush(look.card)
        trace = wording.trace
        hues = LotHues(trace.lots, look)
        self.ribbons = [
            RibbonItem(ribbon, course, hues, look)
            for ribbon, course in zip(trace.ribbons, layout.courses, strict=True)
        ]
        fed = {ribbon.target for ribbon in trace.ribbons}
        self.boxes = {
            node.key: BoxItem(
                node,
                placed,
                made.labels[node.key],
                look,
                label_left=label_is_left(node, is_fed=node.key in fed),
            )
            for node, placed in zip(trace.nodes, layout.boxes, strict=True)
        }
        for ribbon_item in self.ribbons:
            ribbon_item.setToolTip(wording.said_of_ribbon(ribbon_item.ribbon))
            self.addItem(ribbon_item)
        for box in self.boxes.values():
            box.setToolTip(wording.said_of_box(box.node))
            self.addItem(box)
        self.setSceneRect(0, 0, layout.width, layout.height)


class TraceView(QGraphicsView):
    """Shows a trace.

    Signals:
        walked: a `TraceNode` became the current box, by click or arrow.
        refocused: a `TraceNode` is to be traced itself (double click, Enter).
        unfolded: the key of a fold that was clicked or entered.
        pointed: what the pointer or the keyboard is on, in words; empty when on nothing.
        back_wanted: Backspace.
    """

    walked = Signal(object)
    refocused = Signal(object)
    unfolded = Signal(str)
    pointed = Signal(str)
    back_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.AnchorUnderMouse)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontAdjustForAntialiasing)
        self.setMouseTracking(True)
        self.setAccessibleName("Picture of the trace")
        # Without one of ours the style draws a grip where the two scroll bars meet.
        self.setCornerWidget(QWidget())
        self._current = ""
        self._pointed: RibbonItem | None = None
        self._pressed: QPointF | None = None
        self._dragged = False
        self._fits = True
        self._smooth_again = QTimer(self)
        self._smooth_again.setSingleShot(True)
        self._smooth_again.setInterval(_SMOOTH_AGAIN_MS)
        self._smooth_again.timeout.connect(self._on_smooth_again_timeout)

    @property
    def current(self) -> TraceNode | None:
        """The box that the reader stands on."""
        box = self._boxes().get(self._current)
        return None if box is None else box.node

    def show_scene(self, scene: TraceScene, *, stand_on: str) -> None:
        """Show another trace, standing on one of its boxes."""
        self._pointed = None
        old = self.scene()
        self.setScene(scene)
        if old is not None:
            old.deleteLater()
        self._current = ""
        self.fit()
        self.walk_to(stand_on, quietly=True)

    def clear(self) -> None:
        """Show nothing."""
        self._pointed = None
        self._current = ""
        old = self.scene()
        self.setScene(None)
        if old is not None:
            old.deleteLater()

    def walk_to(self, key: str, *, quietly: bool = False) -> None:
        """Stand on a box and bring it into sight."""
        boxes = self._boxes()
        if key not in boxes:
            return
        if self._current in boxes:
            boxes[self._current].make_current(is_current=False)
        self._current = key
        box = boxes[key]
        box.make_current(is_current=True)
        self.ensureVisible(box.sceneBoundingRect(), 30, 30)
        self.pointed.emit(box.toolTip())
        if not quietly:
            self.walked.emit(box.node)

    def fit(self) -> None:
        """Show all of it where that leaves it readable, else its end at readable size."""
        self._fits = True
        rect = self.sceneRect()
        if rect.isEmpty() or self.scene() is None:
            return
        seen = self.viewport().rect().adjusted(8, 8, -8, -8)
        scale = min(seen.width() / rect.width(), seen.height() / rect.height())
        scale = READABLE if scale < SMALLEST_FIT else min(LARGEST_FIT, scale)
        self.resetTransform()
        self.scale(scale, scale)
        box = self._end()
        self.centerOn(rect.center() if box is None else self._middle_of_sight(rect, box, scale))

    def zoom(self, factor: float) -> None:
        """Come closer or go farther, within reason."""
        now = self.transform().m11()
        wanted = max(FARTHEST, min(CLOSEST, now * factor))
        self._fits = False
        self._roughly()
        self.scale(wanted / now, wanted / now)

    def neighbour(self, across: int, down: int) -> str:
        """Give the key of the box one step along the thickest ribbon, or above or below."""
        boxes = self._boxes()
        if self._current not in boxes:
            return next(iter(boxes), "")
        return self._along(across) if across else self._beside(down)

    def _along(self, across: int) -> str:
        ribbons = [item.ribbon for item in self._ribbons()]
        here = [
            one for one in ribbons if (one.source if across > 0 else one.target) == self._current
        ]
        if not here:
            return ""
        thickest = max(here, key=lambda one: (not one.is_loss, abs(one.amount_g or 0.0)))
        return thickest.target if across > 0 else thickest.source

    def _beside(self, down: int) -> str:
        boxes = self._boxes()
        here = boxes[self._current].body
        column = [
            (box.body.center().y(), key)
            for key, box in boxes.items()
            if box.body.left() < here.right() and box.body.right() > here.left()
        ]
        further = [one for one in column if (one[0] - here.center().y()) * down > 0]
        if not further:
            return ""
        return (min(further) if down > 0 else max(further))[1]

    def _enter(self, key: str) -> None:
        node = self._boxes()[key].node
        if node.kind is NodeKind.FOLD:
            self.unfolded.emit(node.key)
        elif node.kind is not NodeKind.LOSS:
            self.refocused.emit(node)

    def _boxes(self) -> dict[str, BoxItem]:
        scene = self.scene()
        return scene.boxes if isinstance(scene, TraceScene) else {}

    def _ribbons(self) -> Sequence[RibbonItem]:
        scene = self.scene()
        return scene.ribbons if isinstance(scene, TraceScene) else []

    def _end(self) -> BoxItem | None:
        return next((box for box in self._boxes().values() if box.node.is_end), None)

    def _middle_of_sight(self, rect: QRectF, box: BoxItem, scale: float) -> QPointF:
        """Give where to look so that the asked box is in sight and as little as may be is lost."""
        half_width = self.viewport().width() / scale / 2
        half_height = self.viewport().height() / scale / 2
        at = box.sceneBoundingRect()
        x = rect.center().x()
        if rect.width() > 2 * half_width:
            x = min(max(at.center().x(), rect.left() + half_width), rect.right() - half_width)
        y = rect.center().y()
        if rect.height() > 2 * half_height:
            y = min(max(at.center().y(), rect.top() + half_height), rect.bottom() - half_height)
        return QPointF(x, y)

    def _item_under(self, place: QPointF) -> QGraphicsItem | None:
        item = self.itemAt(place.toPoint())
        return item if isinstance(item, BoxItem | RibbonItem) else None

    def _point_at(self, item: QGraphicsItem | None) -> None:
        ribbon = item if isinstance(item, RibbonItem) else None
        if ribbon is not self._pointed:
            if self._pointed is not None:
                self._pointed.point_at(is_pointed_at=False)
            self._pointed = ribbon
            if ribbon is not None:
                ribbon.point_at(is_pointed_at=True)
        if item is not None:
            self.pointed.emit(item.toolTip())
            return
        current = self._boxes().get(self._current)
        self.pointed.emit("" if current is None else current.toolTip())

    def _roughly(self) -> None:
        """Draw without smooth edges while things move; `_smooth_again` puts them back."""
        self.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # noqa: FBT003  Qt gives no name
        self._smooth_again.start()

    def _on_smooth_again_timeout(self) -> None:
        self.setRenderHint(QPainter.RenderHint.Antialiasing, True)  # noqa: FBT003  Qt gives no name
        self.viewport().update()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in _ARROWS:
            self.walk_to(self.neighbour(*_ARROWS[Qt.Key(key)]))
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            if self._current in self._boxes():
                self._enter(self._current)
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal}:
            self.zoom(ZOOM_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / ZOOM_STEP)
        elif key == Qt.Key.Key_0:
            self.fit()
        elif key == Qt.Key.Key_Backspace:
            self.back_wanted.emit()
        else:
            super().keyPressEvent(event)

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._pressed = event.position()
            self._dragged = False
        event.accept()

    @override
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            self._point_at(self._item_under(event.position()))
            return
        moved = event.position() - self._pressed
        if not self._dragged and moved.manhattanLength() < 4:
            return
        self._dragged = True
        self._fits = False
        self._roughly()
        self.setCursor(Qt.CursorShape.ClosedHandCursor)
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() - round(moved.x()))
        down.setValue(down.value() - round(moved.y()))
        self._pressed = event.position()

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is not Qt.MouseButton.LeftButton or self._pressed is None:
            return
        self._pressed = None
        self.unsetCursor()
        item = None if self._dragged else self._item_under(event.position())
        if not isinstance(item, BoxItem):
            return
        if item.node.kind is NodeKind.FOLD:
            self.unfolded.emit(item.node.key)
        else:
            self.walk_to(item.node.key)

    @override
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        item = self._item_under(event.position())
        if isinstance(item, BoxItem) and item.node.kind is not NodeKind.FOLD:
            self._enter(item.node.key)

    @override
    def leaveEvent(self, event: QEvent) -> None:
        self._point_at(None)
        super().leaveEvent(event)

    @override
    def wheelEvent(self, event: QWheelEvent) -> None:
        self.zoom(ZOOM_STEP ** (event.angleDelta().y() / 240))
        event.accept()

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._point_at(None)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._fits:
            self.fit()

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(320, 240)
