"""Whether residues are worth sending: what each thing to do brings, and what that hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Ask(Enum):
    """What is needed before anything can be said."""

    NOTHING = ""
    FIGURES = "figures"
    CONTENTS = "contents"
    PRICES = "prices"
    SHEETS = "sheets"


@dataclass(frozen=True, slots=True)
class NetLine:
    """One line of a net return.

    Attributes:
        words: what it is.
        amount: money, charges below zero; None where the line only tells.
        is_sum: whether it is what is left of the lines above it.
    """

    words: str
    amount: float | None
    is_sum: bool = False


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One thing that could be done, against keeping the residues.

    Attributes:
        words: what it is, short.
        net, u: expected amount and its standard uncertainty.
        low, high: its 90 % range.
        worse: the chance that it brings less than keeping, between 0 and 1.
        more: the same in a sentence, with from where it pays.
        lines: how the net at today's prices comes about.
        is_best: whether nothing brings more.
        is_sheet: whether it is sending now under one of several sheets.
    """

    words: str
    net: float
    u: float
    low: float
    high: float
    worse: float
    more: str
    lines: tuple[NetLine, ...] = ()
    is_best: bool = False
    is_sheet: bool = False


@dataclass(frozen=True, slots=True)
class SendOut:
    """The answer to “is it worth sending out?” for residues taken together.

    Attributes:
        tags: the items.
        asks: what is needed first; nothing else is filled in then but `heading`.
        currency: of every amount.
        heading: the verdict in a few words.
        verdict: the verdict in one sentence, with what it brings.
        reasons: why, each a sentence.
        hangs_on: at which price or content it changes, each a sentence.
        not_known: what is left out because nobody knows it, each a sentence.
        rows: everything that could be done.
    """

    tags: tuple[str, ...]
    asks: Ask
    heading: str
    currency: str = ""
    verdict: str = ""
    reasons: tuple[str, ...] = ()
    hangs_on: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    rows: tuple[ChoiceRow, ...] = ()

    @property
    def is_to_be_sent(self) -> bool:
        """Whether nothing brings more than sending it now."""
        return any(one.is_best and one.is_sheet for one in self.rows)
