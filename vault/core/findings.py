"""Findings: what does not add up, told in a sentence, with everything that could be wrong.

A finding never changes anything. It names every record that could be at fault, what each would
have to read instead, and leaves the decision to the owner.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class FindingKind(Enum):
    """What a finding is about."""

    CONTRADICTION = "contradiction"
    SWAPPED = "swapped"
    BELOW_NOTHING = "below nothing"
    MORE_THAN_ITS_WEIGHT = "more than its weight"
    LIGHTER = "lighter"
    WITHOUT_WEIGHT = "without weight"
    DRIFT = "drift"


class Severity(Enum):
    """How much a finding wants the owner's attention."""

    ALARM = "alarm"
    LOOK = "look"


@dataclass(frozen=True, slots=True)
class Suspect:
    """One record that would settle a finding if it alone were wrong.

    Attributes:
        words: what the record is ("assay of B-0031, Ag").
        entry: the entry that says it; None for a guess of the handbook.
        tag: the item it is about, or empty.
        reads: what it says, in its own unit ("925.0 ‰").
        proposed: what it would have to say ("952.3 ‰"), or empty where a guess is meant.
        change_g: the same change in grams of fine metal.
        z: how many of its own standard uncertainties the balance pulls at it, signed.
    """

    words: str
    entry: int | None
    tag: str
    reads: str
    proposed: str
    change_g: float
    z: float


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that does not add up.

    Attributes:
        kind: what it is about.
        severity: how much it wants attention.
        sentence: what is wrong, expected, found and difference, and what to look at.
        entries: the entries it concerns, rising.
        tags: the items it concerns.
        metal: the metal's symbol, or empty for gross weight.
        expected_g, found_g: the two figures that disagree, None where there is no single pair.
        proposed: the corrections that would settle it, one sentence each, likeliest first.
        noticeable_g: the smallest error of the likeliest record that would have been noticed.
        suspects: every record that could be at fault, likeliest first.
    """

    kind: FindingKind
    severity: Severity
    sentence: str
    entries: tuple[int, ...] = ()
    tags: tuple[str, ...] = ()
    metal: str = ""
    expected_g: float | None = None
    found_g: float | None = None
    proposed: tuple[str, ...] = ()
    noticeable_g: float | None = None
    suspects: tuple[Suspect, ...] = ()
