"""How a content is known: the four marks that stand beside every figure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class How(Enum):
    """The way in which a content is known, best first; the value is the word people read."""

    ASSAYED = "assayed"
    WORKED_OUT = "worked out"
    DECLARED = "declared"
    NOT_KNOWN = "not known"


DECLARED = "declared"
SETTLEMENT = "settlement"

# The methods that an assay may name; `other` is the way out for anything else.
METHODS = (
    "fire assay",
    "titration",
    "ICP",
    "XRF",
    "density",
    "touchstone",
    SETTLEMENT,
    "other",
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A worked-out content, or a total of contents, as it is kept and shown.

    Attributes:
        fine_ug: fine metal in whole micrograms, None where not known.
        u_ug: one standard uncertainty in whole micrograms, None where not known.
        how: how it is known.
    """

    fine_ug: int | None
    u_ug: int | None
    how: How


NOTHING_KNOWN = Figure(None, None, How.NOT_KNOWN)
