"""Turns: what takes long lets others go first, where whoever runs it has said how.

Python lets one thread run at a time. What reads or reckons calls `give_way` between its steps, a
few milliseconds apart; in a thread whose owner said nothing that does nothing.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

T = TypeVar("T")

# Of the quickest rows so many take a tenth of a millisecond, of slow ones a few.
_ROWS_A_TURN = 100

_of_thread = threading.local()


def give_way_by(way: Callable[[], None]) -> None:
    """Say how this thread gives way from now on; `way` comes back once it may go on."""
    _of_thread.way = way


def give_way() -> None:
    """Let others go first, if this thread was told how."""
    way = getattr(_of_thread, "way", None)
    if way is not None:
        way()


def in_turns(rows: Iterable[T]) -> Iterator[T]:
    """Give rows as they come, and let others go first now and then."""
    for at, row in enumerate(rows):
        if not at % _ROWS_A_TURN:
            give_way()
        yield row
