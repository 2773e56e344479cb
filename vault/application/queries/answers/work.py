"""What the Work screen shows before a work is recorded: frozen records, no figure left to work out.

Masses are whole micrograms, sentences are ready to show. `None` is "not known", never nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from vault.core.knowledge import Figure


class Gravity(Enum):
    """How much a finding about a draft matters."""

    REFUSES = "refuses"
    """The book would refuse the work as it stands: it cannot be true."""
    LACKS = "lacks"
    """Something is not filled in yet that the book cannot do without."""
    WARNS = "warns"
    """Worth a look; it can be recorded all the same."""


class Side(Enum):
    """The part of the draft that a finding is about."""

    USED = "used"
    ADDED = "added"
    MADE = "made"
    WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class WorkFinding:
    """Something that a person looking over one's shoulder would say about the draft.

    Attributes:
        gravity: how much it matters.
        side: what it is about; `WHOLE` for the work as such.
        line: position in `draft.used`, `draft.added` or `draft.made`; None for all of the side.
        field: "tag", "form", "gross", "place", "contents", "part", "process", "when" or "".
        sentence: what it is and what to do.
    """

    gravity: Gravity
    side: Side
    line: int | None
    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class MadeMetal:
    """One metal in one thing that comes out, as worked out."""

    tag: str
    form: str
    figure: Figure
    is_residue: bool


@dataclass(frozen=True, slots=True)
class BetterKnown:
    """One item that went in, as the work would let it be known.

    Attributes:
        tag, form: the item.
        before, now: its metal before the work, and with it.
        sentence: `the button is now known better`.
    """

    tag: str
    form: str
    before: Figure
    now: Figure
    sentence: str


@dataclass(frozen=True, slots=True)
class MetalPreview:
    """The balance of one metal over the draft.

    Attributes:
        metal: its symbol.
        went_in: with what was added, as known before the work.
        made: every thing that comes out, in the order of the form.
        lost: gone as fume or spilled; below zero an apparent gain.
        better: the items that went in and would now be known clearly better.
        closes: whether it closes; None where too little is known to say.
        sentence: why it does not close, or what is not known; empty where it closes.
    """

    metal: str
    went_in: Figure
    made: tuple[MadeMetal, ...]
    lost: Figure
    better: tuple[BetterKnown, ...]
    closes: bool | None
    sentence: str


@dataclass(frozen=True, slots=True)
class WeightLine:
    """One line of the balance of the whole weight.

    Attributes:
        words: `metal that left the button, with the lead`.
        low_ug, high_ug: between these; equal where it is one figure, None where not known.
        is_result: whether it is what is left over in the end.
    """

    words: str
    low_ug: int | None
    high_ug: int | None
    is_result: bool = False


@dataclass(frozen=True, slots=True)
class WeightPreview:
    """The balance of the whole weight over the draft.

    Attributes:
        lines: to be shown one under the other.
        closes: whether it closes; None where too little is weighed to say.
        sentence: why it does not close, or what is not weighed; empty where it closes.
    """

    lines: tuple[WeightLine, ...]
    closes: bool | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Aid:
    """One reckoning aid: a short title, sentences, and where the values are from."""

    title: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution in place: a short title and what to do."""

    title: str
    text: str


@dataclass(frozen=True, slots=True)
class WorkPreview:
    """All that can be said of a work before it is recorded.

    Attributes:
        metals: one for every metal that plays a part, that of which most went in first.
        weight: the balance of the whole weight.
        sentence: the outcome in a line (`Both balances close.`).
        closes: whether all balances close; None where too little is known to say.
        aids, cautions: in the order in which they are shown.
        findings: refusals first, then what is lacking, then warnings.
        figures_of: number of the entry up to which the figures stand; None where the book has not
            been reckoned yet.
        stale: what to say where figures are behind the daybook, or are missing; empty otherwise.
    """

    metals: tuple[MetalPreview, ...]
    weight: WeightPreview
    sentence: str
    closes: bool | None
    aids: tuple[Aid, ...]
    cautions: tuple[Caution, ...]
    findings: tuple[WorkFinding, ...]
    figures_of: int | None
    stale: str

    @property
    def may_be_recorded(self) -> bool:
        """Whether the book would take the work as it stands."""
        return all(one.gravity is Gravity.WARNS for one in self.findings)
