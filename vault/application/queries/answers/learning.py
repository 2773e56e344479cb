"""What the house has learnt of what its residues keep, from the first guess to today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class FactorPoint:
    """What residues were believed to keep on a day: a share of the metal fed, and its doubt."""

    day: date
    share: float
    u: float


@dataclass(frozen=True, slots=True)
class FactorMark:
    """A day on which residues of the kind were measured.

    Attributes:
        words: what was done: a shipment settled, an assay.
        entry: that says it.
        is_settlement: whether a refinery agreed to it.
    """

    day: date
    words: str
    entry: int
    is_settlement: bool


@dataclass(frozen=True, slots=True)
class FactorDrift:
    """A change in what residues keep that is more than chance.

    Attributes:
        since: day of the first work after the change, and `entry` its number.
        before, after: what was kept before and is kept since.
        chance: how often chance alone shows as much where nothing changed.
        measured: how many works it rests on.
    """

    since: date
    entry: int
    before: FactorPoint
    after: FactorPoint
    chance: float
    measured: int


@dataclass(frozen=True, slots=True)
class LearntFactor:
    """What residues of one kind keep of one metal.

    Attributes:
        guess, guess_u: the first guess, a share of the metal fed; `source` says where it is from.
        points: as believed at each month's end then, and last as believed now.
        marks: when such residues were measured, in order.
        measured: works whose residue was measured, `is_enough` whether a change could be seen.
        drift: None where no change is to be seen.
    """

    kind: str
    metal: str
    guess: float
    guess_u: float
    source: str
    points: tuple[FactorPoint, ...]
    marks: tuple[FactorMark, ...]
    measured: int
    is_enough: bool
    drift: FactorDrift | None

    @property
    def now(self) -> FactorPoint:
        """What is believed now."""
        return self.points[-1]


@dataclass(frozen=True, slots=True)
class Learning:
    """All house factors.

    Attributes:
        factors: by metal and kind, known kinds in their own order; empty where nothing was ever
            kept or nothing is worked out yet.
    """

    factors: tuple[LearntFactor, ...]
