"""The guide: goes through its steps, each beside the real thing of the window."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QRect, QTimer, Signal
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.screens.guide.bubble import Bubble, Ring, place_beside
from vault.screens.guide.steps import Step, steps_of
from vault.screens.house_style import HouseStyle

_RING_ROOM = 5
# Cards and panes are filled by answers that come after the guide has begun.
_LOOK_EVERY_MS = 200


class Guide(QObject):
    """Shows one step after the other; it can be left at any time.

    Signals:
        ended: the reader went through it or left it.
    """

    ended = Signal()

    def __init__(self, steps: Sequence[Step], style: HouseStyle, window: QWidget) -> None:
        super().__init__(window)
        self._steps = steps
        self._at = 0
        self._window = window
        self.ring = Ring(style, window)
        self.bubble = Bubble(window)
        self.bubble.onward.connect(self._on_onward)
        self.bubble.back.connect(self._on_back)
        self.bubble.left.connect(self.end)
        self._look = QTimer(self)
        self._look.setInterval(_LOOK_EVERY_MS)
        self._look.timeout.connect(self._place)
        window.installEventFilter(self)

    @property
    def step(self) -> Step:
        """The step that is shown."""
        return self._steps[self._at]

    def begin(self) -> None:
        """Show the first step."""
        self._at = 0
        self._look.start()
        self._show()

    def end(self) -> None:
        """Go away, for good."""
        self._look.stop()
        self._window.removeEventFilter(self)
        self.ring.hide()
        self.bubble.hide()
        self.ended.emit()
        for one in (self.ring, self.bubble, self):
            one.deleteLater()

    def _show(self) -> None:
        step = self.step
        self.bubble.show_step(step.title, step.words, self._at + 1, len(self._steps))
        self._place()

    def _place(self) -> None:
        anchor = self.step.anchor()
        room = self._window.size()
        # Who looks at another screen meanwhile finds the step again on the way back.
        was_away = not self.bubble.isVisible()
        for one in (self.ring, self.bubble):
            one.setVisible(anchor is not None)
        if anchor is None:
            return
        if was_away:
            self.bubble.onward_button.setFocus()
        corner = anchor.mapTo(self._window, anchor.rect().topLeft())
        where = QRect(corner, anchor.size())
        self.ring.setGeometry(where.adjusted(-_RING_ROOM, -_RING_ROOM, _RING_ROOM, _RING_ROOM))
        self.ring.raise_()
        self.bubble.move(place_beside(where, self.bubble.size(), room))
        self.bubble.raise_()

    def _on_onward(self) -> None:
        if self._at + 1 == len(self._steps):
            self.end()
            return
        self._at += 1
        self._show()

    def _on_back(self) -> None:
        if self._at:
            self._at -= 1
            self._show()

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._window and event.type() is QEvent.Type.Resize:
            self._place()
        if watched is self._window and event.type() is QEvent.Type.Close:
            # Not ended: who closes the window in the middle is shown the rest another time.
            self._look.stop()
        return super().eventFilter(watched, event)


def guide_through(window: QWidget, style: HouseStyle) -> Guide:
    """Begin the guide through a window and give it."""
    guide = Guide(steps_of(window), style, window)
    guide.begin()
    return guide
