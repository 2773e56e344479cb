"""What the scale shows, drawn large over an empty field for a weight."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLineEdit, QWidget
from typing_extensions import override

from vault.bench.scale_watch import Live, ScaleState
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size, face
from vault.screens.scale.words import state_in_words, weight_as_shown

_DOT = 9
_INSET = 12
_EDGE = 4


class LiveView(QWidget):
    """What the scale shows, large, over an empty line; a dot tells whether it is steady."""

    def __init__(self, line: QLineEdit, style: HouseStyle) -> None:
        super().__init__(line)
        self._style = style
        self._live: Live | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def show_live(self, live: Live | None) -> None:
        """Show this, or nothing."""
        self._live = live
        parent = self.parentWidget()
        if parent is not None:
            self.setGeometry(parent.rect())
        self.setVisible(live is not None)
        self.update()

    def _largest_face(self, text: str, width: float) -> QFont:
        """Give the largest face in which a weight fits; a digit is never cut off."""
        for size in (Size.HEADING, Size.TITLE, Size.BODY):
            font = face(size, bold=True)
            if QFontMetricsF(font).horizontalAdvance(text) <= width:
                return font
        return face(Size.SMALL, bold=True)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        if self._live is None:
            return
        look = self._style.look
        text = weight_as_shown(self._live, self._style.numbers)
        is_steady = self._live.state is ScaleState.STEADY
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        # The line's own cursor would blink in the middle of the first digit.
        painter.fillRect(self.rect().adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE), look.card)
        room = QRectF(self.rect()).adjusted(_INSET, 0, -_INSET, 0)
        if not text:
            painter.setFont(face(Size.SECOND))
            painter.setPen(look.soft_ink)
            words = painter.fontMetrics().elidedText(
                state_in_words(self._live)[0], Qt.TextElideMode.ElideRight, int(room.width())
            )
            painter.drawText(
                room, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), words
            )
            return
        painter.setFont(self._largest_face(text, room.width() - 2 * _DOT))
        painter.setPen(look.ink if is_steady else look.soft_ink)
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.drawText(room, flags, text)
        x = room.left() + painter.fontMetrics().horizontalAdvance(text) + _DOT + 3
        centre = QPointF(min(x, room.right() - _DOT / 2), room.center().y() + 1)
        painter.setPen(QPen(look.fine if is_steady else look.soft_ink, 1.6))
        painter.setBrush(look.fine if is_steady else Qt.BrushStyle.NoBrush)
        painter.drawEllipse(centre, _DOT / 2, _DOT / 2)
