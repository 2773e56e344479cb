"""What the residues' screen may ask of a book."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vault.application.queries.answers.learning import Learning
from vault.application.queries.answers.residues import NextAssay, Residues
from vault.application.queries.answers.send_out import SendOut
from vault.application.queries.answers.series import Series
from vault.application.queries.answers.turnover import YearlyRecord
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class ResiduesQuestions:
    """Plain functions of a book.

    Attributes:
        residues: what is locked up, in which container, and what residues keep.
        residue_series: what is locked up of a metal over time.
        learning: what was learnt of what residues keep.
        next_assay: what to sample so that the total of a metal becomes surest.
        choice: what could be done with containers, told by place and form; figures are written as
            the reader has them.
        yearly_record: what was kept of each class, made and moved on, year by year.
    """

    residues: Callable[[object], Residues]
    residue_series: Callable[[object, str], Series]
    learning: Callable[[object], Learning]
    next_assay: Callable[[object, str], NextAssay | None]
    choice: Callable[[object, Sequence[tuple[str, str]], Numbers], SendOut]
    yearly_record: Callable[[object], YearlyRecord]
