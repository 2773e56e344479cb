"""The way a form writes: one operation on the open book, its figures taken in afterwards."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol


class Recorder(Protocol):
    """Has operations done on the open book, one after the other."""

    def record(
        self,
        operation: Callable[[Any], Any],
        then: Callable[[Any], None],
        on_failure: Callable[[BaseException], None],
        words: str = "",
    ) -> None:
        """Have an operation done off the window's thread.

        Args:
            operation: gets the open book, gives its `Changes`.
            then: gets the `Changes`, in the window's thread, when every screen was told of them;
                the figures follow later.
            on_failure: gets what was raised, in the window's thread: `RuleBroken` with every
                fault of an entry that the book refuses, or trouble with the file.
            words: what is being done, for whoever waits.
        """
