"""Scales and how they were checked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class CheckVerdict:
    """One check of a scale, and whether it was within its limit.

    Attributes:
        scale: its name.
        entry, day: what records it, and when.
        nominal, showed: the test weight, and what the scale showed under it.
        limit: how far it may be off at that load; None where nothing sets a limit.
    """

    scale: str
    entry: int
    day: date
    nominal: Mass
    showed: Mass
    limit: Mass | None

    @property
    def error(self) -> Mass:
        """What it showed too much; below zero where too little."""
        return self.showed - self.nominal

    @property
    def is_within(self) -> bool | None:
        """Whether it was within its limit; None where nothing sets one."""
        if self.limit is None:
            return None
        return abs(self.error.micrograms) <= self.limit.micrograms
