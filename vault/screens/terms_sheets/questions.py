"""What the screen of terms asks of a book, has done in it, and works with besides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from vault.application.changes import Changes
from vault.application.queries.answers.terms_sheets import ExampleParcel, ExampleReturn, KnownTerms
from vault.core.terms_sheets import TermsSheet
from vault.screens.choosers import Choosers
from vault.screens.drafts import DraftDesk
from vault.screens.recorder import Recorder


class SheetsRead(Protocol):
    """What came of reading a file of sheets."""

    @property
    def kept(self) -> tuple[TermsSheet, ...]:
        """The versions that are new in the book."""

    @property
    def already(self) -> int:
        """How many it held already."""

    @property
    def changes(self) -> Changes:
        """What changed in the book."""


@dataclass(frozen=True, slots=True)
class TermsQuestions:
    """Plain functions of a book, but for `example`, which needs none.

    Attributes:
        known: the shop's sheets, and what a form for one wants to know.
        interest: cost of money, a share of it a year, as the owner set it.
        example: what a sheet makes of a parcel, with the cost of money.
        keep: keeps a sheet as the next version.
        take_away: takes a sheet away, by refinery and name.
        write_out: writes every sheet to a file; gives how many.
        read_in: reads the sheets of a file.
    """

    known: Callable[[Any], KnownTerms]
    interest: Callable[[Any], float]
    example: Callable[[TermsSheet, ExampleParcel, float], ExampleReturn]
    keep: Callable[[Any, TermsSheet], Changes]
    take_away: Callable[[Any, str, str], Changes]
    write_out: Callable[[Any, Path], int]
    read_in: Callable[[Any, Path], SheetsRead]


@dataclass(frozen=True, slots=True)
class TermsHands:
    """What the screen works with besides asking.

    Attributes:
        recorder: has sheets kept.
        drafts: keep what is typed over a crash.
        choosers: ask for files.
    """

    recorder: Recorder
    drafts: DraftDesk
    choosers: Choosers
