"""One thread for the linear algebra: for small matrices more threads only wait for each other."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache

from threadpoolctl import ThreadpoolController


def one_thread() -> AbstractContextManager[object]:
    """Give a block in which the linear algebra keeps to the thread that asks."""
    found: AbstractContextManager[object] = _controller().limit(limits=1)
    return found


@cache
def _controller() -> ThreadpoolController:
    """Find the libraries once: that takes some milliseconds each time, longer than a small solve.

    All of them are loaded by then, since whoever asks has imported what it solves with.
    """
    return ThreadpoolController()
