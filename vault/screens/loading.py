"""What is slow to load and uses Qt: in the window's thread, a small part with each event.

No other thread may load it. PySide makes the classes of Qt when they are first named, and two
threads that do so at a time bring its tables into disorder: the program ends without a word.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module

from PySide6.QtCore import QObject, QTimer

from vault.screens.background import Background

# The parts of a load, one after the other; between two of them the window goes first.
Parts = Callable[[], Iterator[None]]

_A_PART_S = 0.01
_IN_A_WHILE_MS = 1500
_STEP_MS = 250
# Nobody uses the window who has asked it nothing for so long.
_QUIET_S = 1.0


def _always() -> bool:
    return True


class Loading(QObject):
    """Loads some modules before they are wanted, or once they are."""

    def __init__(
        self,
        parts: Parts,
        background: Background,
        parent: QObject | None = None,
        *,
        plain: Sequence[str] = (),
    ) -> None:
        """Take what is to be loaded.

        Args:
            parts: loads modules that use Qt, and yields after each.
            background: its readers load the plain modules, and it knows who uses the window.
            parent: this goes with it.
            plain: modules without Qt that the others want, and that are slow to load.
        """
        super().__init__(parent)
        self._parts = parts
        self._background = background
        self._plain = tuple(plain)
        self._asker = background.asker(self)
        self._waiting: list[Callable[[], object]] = []
        self._left: Iterator[None] | None = None
        self._is_begun = self._is_done = False
        self._may: Callable[[], bool] = _always
        self._next = QTimer(self, singleShot=True)
        self._next.timeout.connect(self._on_next)

    def then(self, done: Callable[[], object]) -> None:
        """Do something once all is loaded, at once where it is."""
        if self._is_done:
            done()
            return
        self._waiting.append(done)
        if not self._asker.is_waiting:
            self._asker.expect()
        if not self._is_begun or self._next.isActive():
            self._is_begun = True
            self._next.start(0)

    def in_a_while(self, may: Callable[[], bool]) -> None:
        """Load it some time from now, while nobody uses the window and nothing goes on.

        Args:
            may: tells whether it would be a help just now; a load that cannot be parted any
                further still holds the window for a moment, and whoever weighs a bar in between
                should not feel it.
        """
        if not self._is_begun:
            self._is_begun = True
            self._may = may
            self._next.start(_IN_A_WHILE_MS)

    def _on_next(self) -> None:
        if not self._waiting and (self._is_somebody_busy() or not self._may()):
            self._next.start(_STEP_MS)
        elif self._left is None:
            self._left = self._parts()
            plain = [one for one in self._plain if one not in sys.modules]
            self._asker.ask(lambda: [import_module(one) for one in plain], self._on_plain_loaded)
        else:
            self._load(self._left)

    def _is_somebody_busy(self) -> bool:
        return self._background.unused_s < _QUIET_S or not self._background.is_idle

    def _on_plain_loaded(self, _modules: object) -> None:
        if self._waiting:
            self._asker.expect()
        self._next.start(0)

    def _load(self, left: Iterator[None]) -> None:
        for _part in left:
            self._next.start(0)
            return
        self._is_done = True
        self._asker.forget()
        waiting, self._waiting = self._waiting, []
        for done in waiting:
            done()


def modules(*names: str) -> Iterator[None]:
    """Load modules, one with each part."""
    for name in names:
        import_module(name)
        yield


def classes_of(module: str) -> Iterator[None]:
    """Have the classes of a module of Qt made, some with each part.

    For what names them all as it is loaded, and would hold the window for a third of a second.
    """
    made = import_module(module)
    until_s = time.monotonic() + _A_PART_S
    for name in dir(made):
        getattr(made, name)
        if time.monotonic() > until_s:
            yield
            until_s = time.monotonic() + _A_PART_S
