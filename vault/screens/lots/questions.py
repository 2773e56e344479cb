"""What the lots' screen may ask of a book."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vault.application.queries.answers.lots import LotDetail, LotRow
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class LotsQuestions:
    """Plain functions of a book.

    Attributes:
        lots: every lot that holds each word of a text, newest first.
        lot_detail: all about one lot, told in the reader's number style.
    """

    lots: Callable[[object, str], Sequence[LotRow]]
    lot_detail: Callable[[object, str, Numbers], LotDetail]
