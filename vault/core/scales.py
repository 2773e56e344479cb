"""Scales: what each showed under a weight of known mass."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class ScaleCheck:
    """One check of a scale with a test weight.

    Attributes:
        entry: the entry that says it.
        day: when it was checked.
        nominal: the mass of the test weight.
        showed: what the scale showed.
    """

    entry: int
    day: date
    nominal: Mass
    showed: Mass

    @property
    def error(self) -> Mass:
        """What the scale showed too much; below zero where it showed too little."""
        return self.showed - self.nominal
