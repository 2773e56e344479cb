"""The program tries itself: it opens the demonstration shop and draws every screen."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QEventLoop, QObject, QTimer
from PySide6.QtGui import QImage

from vault.screens.main_window import MainWindow
from vault.screens.parts import Parts

_LOOK_EVERY_MS = 100
_PATIENCE_MS = 300_000
# A drawn screen has at least its ground, its cards, its lines and its ink.
_LEAST_COLOURS = 6
_SAMPLED_EVERY = 7
PICTURE_SIZE = (1440, 900)


class SelfTest(QObject):
    """Walks through the window and keeps what went wrong."""

    def __init__(self, window: MainWindow, parts: Parts, pictures: Path | None = None) -> None:
        """Take the window to walk through, and a folder for pictures of every screen, if any."""
        super().__init__()
        self._pictures = pictures
        self._window = window
        self._background = parts.background
        self._left = list(window.plan_names)
        self._shown = ""
        self.troubles: list[str] = []
        self.drawn: list[str] = []
        self._loop = QEventLoop()
        parts.failures.told.connect(self._on_trouble)
        parts.failures.reported.connect(self._on_trouble)

    def run(self) -> int:
        """Try everything and give the exit status: 0 if all of it was drawn."""
        look = QTimer()
        look.timeout.connect(self._on_look)
        look.start(_LOOK_EVERY_MS)
        patience = QTimer()
        patience.setSingleShot(True)
        patience.timeout.connect(self._on_out_of_patience)
        patience.start(_PATIENCE_MS)
        if self._pictures is not None:
            self._pictures.mkdir(parents=True, exist_ok=True)
            self._window.resize(*PICTURE_SIZE)
        self._window.leads_newcomers = False
        self._window.desk.demonstrate()
        self._loop.exec()
        look.stop()
        patience.stop()
        self._window.close()
        for trouble in self.troubles:
            print(trouble, file=sys.stderr)  # noqa: T201  the window is closed already
        told = f"screens drawn: {', '.join(self.drawn) or 'none'}"
        print(told, file=sys.stderr if self.troubles else sys.stdout)
        return 1 if self.troubles else 0

    def _on_look(self) -> None:
        if self.troubles:
            self._loop.quit()
        elif self._window.desk.book is None or not self._background.is_idle:
            return
        elif self._shown:
            self._judge(self._window.grab().toImage())
            self._shown = ""
        elif self._left:
            self._shown = self._left.pop(0)
            self._window.go_to(self._shown)
        else:
            self._loop.quit()

    def _judge(self, image: QImage) -> None:
        colours = {
            image.pixel(x, y)
            for x in range(0, image.width(), _SAMPLED_EVERY)
            for y in range(0, image.height(), _SAMPLED_EVERY)
        }
        if len(colours) < _LEAST_COLOURS:
            self.troubles.append(f"The screen {self._shown} was left blank.")
        else:
            self.drawn.append(self._shown)
            if self._pictures is not None:
                image.save(str(self._pictures / f"{self._shown}.png"))

    def _on_trouble(self, words: str) -> None:
        self.troubles.append(words)

    def _on_out_of_patience(self) -> None:
        self.troubles.append("The demonstration shop was not ready within five minutes.")
        self._loop.quit()
