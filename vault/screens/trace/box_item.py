"""How the boxes of a trace are drawn: lots and items as bars, works and folds as cards."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget
from typing_extensions import override

from vault.application.queries.answers.trace import NodeKind, TraceNode
from vault.screens.look import CARD_RADIUS, Look, mixed
from vault.screens.trace.layout import Placed
from vault.screens.trace.ribbon_item import hatch_strokes
from vault.screens.trace.wording import LABEL_DISTANCE, LINE_GAP, Label, WrittenLine

# Below these scales of the view lines, then whole labels, are too small to read.
_LINES_FROM = 0.5
_LABELS_FROM = 0.3
_BAR_RADIUS = 3.0
_FRAME = 4.0


class BoxItem(QGraphicsItem):
    """One box with its label."""

    def __init__(
        self, node: TraceNode, placed: Placed, label: Label, look: Look, *, label_left: bool
    ) -> None:
        super().__init__()
        self.node = node
        self._look = look
        self._label = label
        self._label_left = label_left
        self._body = QRectF(placed.x, placed.y, placed.width, placed.height)
        self._is_current = False
        self._bounds = self._body.united(self.label_rect()).adjusted(-6, -6, 6, 6)
        self.setAcceptHoverEvents(True)
        if node.kind is not NodeKind.LOSS:
            self.setCursor(Qt.CursorShape.PointingHandCursor)

    @property
    def body(self) -> QRectF:
        """Where the bar or card lies, without its label."""
        return self._body

    def label_rect(self) -> QRectF:
        """Give where the label lies: inside a card, beside a bar."""
        label, body = self._label, self._body
        top = body.center().y() - label.height / 2
        if self._is_card:
            left = body.center().x() - label.width / 2
        elif self._label_left:
            left = body.left() - LABEL_DISTANCE - label.width
        else:
            left = body.right() + LABEL_DISTANCE
        return QRectF(left, top, label.width, label.height)

    def make_current(self, *, is_current: bool) -> None:
        """Frame the box, or take the frame away."""
        self._is_current = is_current
        self.update()

    @property
    def _is_card(self) -> bool:
        return self.node.kind in {NodeKind.WORK, NodeKind.FOLD}

    def _paint_body(self, painter: QPainter) -> None:
        if self.node.kind is NodeKind.LOSS:
            return
        if self._is_card:
            is_fold = self.node.kind is NodeKind.FOLD
            painter.setBrush(self._look.band if is_fold else self._look.card)
            style = Qt.PenStyle.DashLine if is_fold else Qt.PenStyle.SolidLine
            painter.setPen(QPen(mixed(self._look.soft_ink, self._look.line, 0.35), 1.2, style))
            painter.drawRoundedRect(self._body, CARD_RADIUS, CARD_RADIUS)
        elif self.node.amount_g is None:
            painter.setBrush(self._look.card)
            painter.setPen(QPen(self._look.soft_ink, 1.2, Qt.PenStyle.DashLine))
            painter.drawRect(self._body)
        elif self.node.is_residue:
            self._paint_hatched_bar(painter)
        else:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._look.ink)
            radius = min(_BAR_RADIUS, self._body.height() / 2)
            painter.drawRoundedRect(self._body, radius, radius)

    def _paint_hatched_bar(self, painter: QPainter) -> None:
        body, look = self._body, self._look
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(mixed(look.soft_ink, look.card, 0.7))
        painter.drawRect(body)
        painter.setBrush(mixed(look.soft_ink, look.card, 0.1))
        middle = ((body.left(), body.center().y()), (body.right(), body.center().y()))
        for stroke in hatch_strokes(middle, -body.height() / 2, body.height() / 2):
            painter.drawPolygon([QPointF(x, y) for x, y in stroke])
        painter.setBrush(QBrush(Qt.BrushStyle.NoBrush))
        painter.setPen(QPen(look.soft_ink, 1.0))
        painter.drawRect(body)

    def _paint_label(self, painter: QPainter, *, title_only: bool) -> None:
        rect = self.label_rect()
        at = rect.top()
        for line in self._label.lines[:1] if title_only else self._label.lines:
            self._paint_line(painter, line, QRectF(rect.left(), at, rect.width(), line.height))
            at += line.height + LINE_GAP

    def _paint_line(self, painter: QPainter, line: WrittenLine, where: QRectF) -> None:
        painter.setFont(line.font)
        painter.setPen(self._colour_of(line))
        # A little wider than measured: rounding must never break or clip a word.
        if self._is_card:
            flag = Qt.AlignmentFlag.AlignHCenter
        elif self._label_left:
            flag = Qt.AlignmentFlag.AlignRight
        else:
            flag = Qt.AlignmentFlag.AlignLeft
        painter.drawText(
            where.adjusted(-2, 0, 2, 0), int(flag | Qt.TextFlag.TextDontClip), line.text
        )

    def _colour_of(self, line: WrittenLine) -> QColor:
        # Labels of items lie on their ribbons, where soft ink would be too pale to read.
        if not line.is_soft:
            return self._look.ink
        on_ribbon = not self._is_card and not self._label_left
        return mixed(self._look.soft_ink, self._look.ink, 0.6) if on_ribbon else self._look.soft_ink

    @override
    def boundingRect(self) -> QRectF:
        return self._bounds

    @override
    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        widget: QWidget | None = None,
    ) -> None:
        detail = option.levelOfDetailFromTransform(painter.worldTransform())
        self._paint_body(painter)
        if detail >= _LABELS_FROM:
            self._paint_label(painter, title_only=detail < _LINES_FROM)
        if self._is_current:
            painter.setBrush(QBrush(Qt.BrushStyle.NoBrush))
            painter.setPen(QPen(self._look.accent, 2.2))
            frame = self._body.adjusted(-_FRAME, -_FRAME, _FRAME, _FRAME)
            painter.drawRoundedRect(frame, _BAR_RADIUS + _FRAME, _BAR_RADIUS + _FRAME)
