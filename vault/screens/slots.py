"""Slots for signals that carry more than is wanted."""

from __future__ import annotations

from collections.abc import Callable


def without_words(done: Callable[[], object]) -> Callable[[], None]:
    """Give a slot that takes none of what a signal carries."""

    def slot() -> None:
        done()

    return slot
