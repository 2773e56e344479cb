"""What the Safe may ask of a book."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from vault.application.queries.answers.items import (
    ItemDetail,
    ItemIndex,
    ItemQuery,
    ItemRow,
)
from vault.application.queries.answers.safe import Safe
from vault.application.queries.answers.series import Series
from vault.screens.background import Stopped
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class SafeQuestions:
    """Plain functions of a book.

    Attributes:
        safe: the cards, the worth and the number of findings.
        item_index: which items answer a query, in groups and order; it may be stopped.
        item_rows: the rows of these ids, in this order.
        item_detail: all about the item of a tag, told in the reader's number style.
        stock_series: stock of a metal over time.
        today: the day from which ages are counted.
    """

    safe: Callable[[object], Safe]
    item_index: Callable[[object, ItemQuery, Stopped], ItemIndex]
    item_rows: Callable[[object, array[int]], Sequence[ItemRow]]
    item_detail: Callable[[object, str, Numbers], ItemDetail]
    stock_series: Callable[[object, str], Series]
    today: Callable[[object], date]
