"""What the daybook's screen may ask of a book."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vault.application.queries.answers.daybook import (
    ChainProof,
    DaybookQuery,
    DaybookRow,
    EntryDetail,
    FindingRow,
)
from vault.screens.background import Progress
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class DaybookQuestions:
    """Plain functions of a book.

    Attributes:
        entry_numbers: the numbers of all entries that a query wants, in its order.
        daybook_rows: the rows of these numbers, told in the reader's number style.
        entry_detail: all about one entry.
        chain_proof: whether any entry was altered; reads the whole book and tells how far it is.
        findings: what does not add up, weightiest first.
    """

    entry_numbers: Callable[[object, DaybookQuery], tuple[int, ...]]
    daybook_rows: Callable[[object, tuple[int, ...], Numbers], Sequence[DaybookRow]]
    entry_detail: Callable[[object, int, Numbers], EntryDetail]
    chain_proof: Callable[[object, Progress], ChainProof]
    findings: Callable[[object], Sequence[FindingRow]]
