"""How a content is known: the four marks that stand beside every figure."""

from __future__ import annotations

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
