"""Seals that are on things now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class SealFacts:
    """An unbroken seal.

    Attributes:
        name: the item or the container that it is on.
        number: what stands on the seal.
        last: `applied` or `checked`, whichever was said last.
        day, by, witness: when that was, who did it, and who saw it; the last may be empty.
    """

    name: str
    number: str
    last: str
    day: date
    by: str
    witness: str
