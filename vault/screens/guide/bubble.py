"""What the guide says, in a frame beside the thing it points at, and the ring around that thing."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.screens.house_style import HouseStyle
from vault.screens.look import CARD_RADIUS, Size
from vault.screens.widgets.labels import label

_WIDTH = 380
_APART = 12
_RING = 3
# What the style sheet draws around it, which the layout knows nothing of.
_FRAME = 4


class Ring(QWidget):
    """A ring around a thing; the mouse goes through it."""

    def __init__(self, style: HouseStyle, window: QWidget) -> None:
        super().__init__(window)
        self._style = style
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._style.look.accent, _RING))
        inside = self.rect().adjusted(_RING, _RING, -_RING, -_RING)
        painter.drawRoundedRect(inside, CARD_RADIUS, CARD_RADIUS)


class Bubble(QFrame):
    """One step: its title, its words, and the buttons onward, back and out.

    Signals:
        onward, back, left: what the reader wants.
    """

    onward = Signal()
    back = Signal()
    left = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self.setProperty("kind", "bubble")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.count = label(size=Size.SMALL, kind="soft")
        self.title = label(size=Size.TITLE, bold=True, wrap=True)
        self.words = label(wrap=True)
        self.leave_button = QPushButton("Skip the guide")
        self.back_button = QPushButton("Back")
        self.onward_button = QPushButton("Next")
        self.onward_button.setProperty("kind", "first")
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 14, 18, 14)
        column.setSpacing(6)
        for one in (self.count, self.title, self.words):
            column.addWidget(one)
        column.addSpacing(6)
        column.addLayout(self._buttons())
        self.setFixedWidth(_WIDTH)

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.leave_button)
        row.addStretch(1)
        row.addWidget(self.back_button)
        row.addWidget(self.onward_button)
        self.leave_button.clicked.connect(self.left)
        self.back_button.clicked.connect(self.back)
        self.onward_button.clicked.connect(self.onward)
        return row

    def show_step(self, title: str, words: str, number: int, of: int) -> None:
        """Say a step, the `number`th of so many."""
        self.count.setText(f"{number} of {of}")
        self.title.setText(title)
        self.words.setText(words)
        self.setAccessibleName(f"Guide, {number} of {of}: {title}")
        self.setAccessibleDescription(words)
        self.back_button.setVisible(number > 1)
        is_last = number == of
        self.leave_button.setVisible(not is_last)
        self.onward_button.setText("Begin" if is_last else "Next")
        inside = self.layout()
        if inside is not None:
            inside.activate()
            self.setFixedHeight(inside.heightForWidth(_WIDTH - 2 * _FRAME) + 2 * _FRAME)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        wanted = {
            Qt.Key.Key_Escape: self.left,
            Qt.Key.Key_Left: self.back,
            Qt.Key.Key_Right: self.onward,
            Qt.Key.Key_Return: self.onward,
            Qt.Key.Key_Enter: self.onward,
        }.get(Qt.Key(event.key()))
        if wanted is None:
            super().keyPressEvent(event)
        else:
            wanted.emit()


def place_beside(anchor: QRect, bubble: QSize, room: QSize) -> QPoint:
    """Give where a bubble stands: below the thing, above it, beside it, or else on it.

    It never leaves the room that the window has.
    """
    x = max(_APART, min(anchor.left(), room.width() - bubble.width() - _APART))
    y = max(_APART, min(anchor.top(), room.height() - bubble.height() - _APART))
    if anchor.bottom() + _APART + bubble.height() + _APART <= room.height():
        return QPoint(x, anchor.bottom() + _APART)
    if anchor.top() - _APART - bubble.height() >= 0:
        return QPoint(x, anchor.top() - _APART - bubble.height())
    if anchor.right() + _APART + bubble.width() + _APART <= room.width():
        return QPoint(anchor.right() + _APART, y)
    if anchor.left() - _APART - bubble.width() >= 0:
        return QPoint(anchor.left() - _APART - bubble.width(), y)
    middle = anchor.center() - QPoint(bubble.width() // 2, bubble.height() // 2)
    return QPoint(
        max(_APART, min(middle.x(), room.width() - bubble.width() - _APART)),
        max(_APART, min(middle.y(), room.height() - bubble.height() - _APART)),
    )
