"""Very many records at once: made without a search for garbage cycles, given up bit by bit."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

from vault.core.turns import in_turns


@contextmanager
def no_search_for_cycles() -> Iterator[None]:
    """Make a great many records without Python looking through all of them time and again.

    Entries, items and rows hold no cycles, and the search through them takes longer than their
    making. Where it is switched off already (while a window is open), it stays so.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def let_go(records: list[object]) -> None:
    """Give very many records up one by one; nobody else may hold them any more.

    Dropped as a whole they are taken apart in one piece, in which no other thread, the window's
    among them, comes to its turn.
    """
    for _ in in_turns(range(len(records))):
        records.pop()
