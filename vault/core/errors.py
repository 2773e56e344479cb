"""The errors of the rules.

VaultError                 everything that the program says in one sentence
├── RuleBroken             an entry that the rules of the book refuse (carries its faults)
├── TextNotUnderstood      a text that cannot be read as a mass, a fineness, a date …
│   └── TextUnclear        a text that could mean two things (carries the ways to write them)
└── (StoreError, …)        each layer to the right hangs its own below VaultError
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class VaultError(Exception):
    """Trouble that a person can do something about, told in one plain sentence."""


class TextNotUnderstood(VaultError):
    """A text that means nothing, or could mean two things, where a value was expected."""


class TextUnclear(TextNotUnderstood):
    """A text that could mean two things; the sentence asks which.

    Attributes:
        meant: for each thing that it could mean, the text that can mean nothing else.
    """

    def __init__(self, question: str, meant: Sequence[str]) -> None:
        self.meant = tuple(meant)
        super().__init__(question)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with an entry, and where.

    Attributes:
        line: index of the line within the entry, or None for the entry as a whole.
        column: name of the daybook column that is at fault.
        sentence: what is wrong and what to do, as a person would say it.
    """

    line: int | None
    column: str
    sentence: str


class RuleBroken(VaultError):
    """An entry that cannot be true; nothing of it was recorded.

    Attributes:
        faults: everything that is wrong with it.
        place: which one it is, from 0 upwards, where several were to be recorded together.
    """

    def __init__(self, faults: Sequence[Fault], *, place: int = 0) -> None:
        self.faults = tuple(faults)
        self.place = place
        super().__init__(" ".join(fault.sentence for fault in self.faults))
