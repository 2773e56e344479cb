"""An invented daybook: entry after entry over the same acts, one of them struck."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from screens.invented import TODAY
from vault.application.queries.answers.daybook import (
    ChainProof,
    DaybookQuery,
    DaybookRow,
    EntryDetail,
    FindingRow,
)
from vault.core.daybook import Act
from vault.screens.background import Progress
from vault.screens.daybook.questions import DaybookQuestions

HEAD = "2b29f0c1" * 8
_ACTS = (Act.RECEIVE, Act.ASSAY, Act.WORK, Act.MOVE, Act.WEIGH)
STRUCK, STRIKE = 12, 13


def entry_row(number: int) -> DaybookRow:
    if number == STRIKE:
        return DaybookRow(
            number=number,
            day=TODAY,
            at=None,
            by="Imke",
            act=Act.STRIKE,
            words=f"entry {STRUCK}, because: wrong drum",
            tags=(),
            struck_by=None,
            strikes=STRUCK,
            reason="wrong drum",
        )
    is_struck = number == STRUCK
    return DaybookRow(
        number=number,
        day=TODAY - timedelta(days=number % 300),
        at=datetime(2031, 3, 6, 9, 5, tzinfo=UTC) if number % 2 else None,
        by="Imke",
        act=_ACTS[number % 5],
        words=f"K-{number:04} and what was done with it, told at some length so that it is cut",
        tags=(f"K-{number:04}",),
        struck_by=STRIKE if is_struck else None,
        strikes=None,
        reason="wrong drum" if is_struck else "",
    )


def few_findings() -> tuple[FindingRow, ...]:
    return (
        FindingRow(
            words="R-0229 and R-0230 may have been swapped. Look at the two labels.",
            metal="Ag",
            tags=("R-0229", "R-0230"),
            entries=(8, 17),
            severity="alarm",
            more=("R-0230 in entry 8, R-0229 in entry 17.",),
        ),
        FindingRow("B-0007 is 0.4 g lighter than the book says.", "", ("B-0007",), (), "look"),
    )


@dataclass
class InventedDaybook:
    """Answers what the screen asks, and keeps what was asked.

    Attributes:
        proof_steps: how many entries a proof reads, one every two thousandths of a second.
        broken: what the proof finds; empty where all holds.
    """

    entries: int = 40
    findings: Sequence[FindingRow] = field(default_factory=few_findings)
    proof_steps: int = 3
    broken: str = ""
    lines: int = 2
    asked: list[object] = field(default_factory=list)
    proofs: int = 0

    def entry_numbers(self, book: object, query: DaybookQuery) -> tuple[int, ...]:
        self.asked.append(query)
        numbers = [one for one in range(1, self.entries + 1) if self._is_wanted(one, query)]
        return tuple(reversed(numbers)) if query.newest_first else tuple(numbers)

    def _is_wanted(self, number: int, query: DaybookQuery) -> bool:
        row = entry_row(number)
        struck = row.struck_by is not None or row.strikes is not None
        return (
            (query.act is None or row.act is query.act)
            and (query.struck_too or not struck)
            and query.text.lower() in row.words.lower()
        )

    def daybook_rows(
        self, book: object, numbers: tuple[int, ...], style: object
    ) -> list[DaybookRow]:
        self.asked.append(len(numbers))
        return [entry_row(number) for number in numbers]

    def entry_detail(self, book: object, number: int, style: object) -> EntryDetail:
        return EntryDetail(
            row=entry_row(number),
            lines=tuple(f"used K-{number:04}-{line}" for line in range(self.lines)),
            recorded_at=datetime(2031, 3, 6, 10, 17, tzinfo=UTC),
            head=HEAD,
            leaned_on_by=(18, 20) if number == 17 else (),
        )

    def chain_proof(self, book: object, progress: Progress) -> ChainProof:
        self.proofs += 1
        for step in range(self.proof_steps):
            progress(step, self.proof_steps)
            time.sleep(0.002)
        words = self.broken or f"All {self.entries} entries are as they were recorded."
        return ChainProof(self.entries, HEAD, not self.broken, words)

    def questions(self) -> DaybookQuestions:
        return DaybookQuestions(
            entry_numbers=self.entry_numbers,
            daybook_rows=self.daybook_rows,
            entry_detail=self.entry_detail,
            chain_proof=self.chain_proof,
            findings=lambda _: self.findings,
        )
