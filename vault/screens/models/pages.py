"""Rows by page: keys of everything in a packed list, rows only of the pages that were seen.

What a table shows is told by a list of keys. A row that is wanted and not here is noted; what was
noted within a moment is asked for at once, whole pages of it. Nothing here grows with the number
of rows but the keys, so a million rows are shown as fast as a thousand.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

PAGE = 256
_MOST_PAGES = 64
_GATHER_MS = 10

R = TypeVar("R")


class Pages(QObject, Generic[R]):
    """The rows at hand, by their place among the keys.

    Signals:
        wanted: keys (a list) of rows that are seen and not here.
    """

    wanted = Signal(object)

    def __init__(self, key_of: Callable[[R], int], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._key_of = key_of
        self._keys: Sequence[int] = ()
        self._pages: OrderedDict[int, dict[int, R]] = OrderedDict()
        self._missing: set[int] = set()
        self._asked: tuple[int, ...] = ()
        self._gathering = QTimer(self)
        self._gathering.setSingleShot(True)
        self._gathering.setInterval(_GATHER_MS)
        self._gathering.timeout.connect(self._on_gathering_over)

    @property
    def keys(self) -> Sequence[int]:
        """The keys of all rows, in order."""
        return self._keys

    def begin(self, keys: Sequence[int], first_rows: Iterable[R] = ()) -> None:
        """Begin anew with other keys, and the rows of their first page."""
        self._keys = keys
        self._pages.clear()
        self._missing.clear()
        self._asked = ()
        self._gathering.stop()
        if len(keys):
            self._keep(first_rows, [0])

    def at(self, place: int) -> R | None:
        """Give the row at a place; where it is not here yet, it will be asked for."""
        page = self._pages.get(place // PAGE)
        if page is not None:
            return page.get(self._keys[place])
        self._missing.add(place // PAGE)
        if not self._gathering.isActive():
            self._gathering.start()
        return None

    def take(self, rows: Iterable[R]) -> tuple[int, int] | None:
        """Take the rows that were wanted last; give the first and the last place they fill."""
        if not self._asked:
            return None
        self._keep(rows, self._asked)
        last = min((self._asked[-1] + 1) * PAGE, len(self._keys)) - 1
        filled = (self._asked[0] * PAGE, last)
        self._asked = ()
        return filled

    def _keep(self, rows: Iterable[R], pages: Sequence[int]) -> None:
        by_key = {self._key_of(row): row for row in rows}
        for page in pages:
            keys = self._keys[page * PAGE : (page + 1) * PAGE]
            self._pages[page] = {one: by_key[one] for one in keys if one in by_key}
            self._pages.move_to_end(page)
        while len(self._pages) > _MOST_PAGES:
            self._pages.popitem(last=False)

    def _on_gathering_over(self) -> None:
        # What is still seen and still missing is asked for again at the next painting.
        self._asked = tuple(sorted(self._missing))
        self._missing.clear()
        keys = [key for page in self._asked for key in self._keys[page * PAGE : (page + 1) * PAGE]]
        if keys:
            self.wanted.emit(keys)
