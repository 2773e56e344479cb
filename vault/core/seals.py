"""Seals: numbered ones, applied to an item or a container, looked at, and broken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vault.core.daybook import Role


@dataclass(frozen=True, slots=True)
class Sealing:
    """What one entry says of a seal.

    Attributes:
        entry: the entry that says it.
        role: applied, checked or broken.
        number: what stands on the seal.
        witness: the second person who saw it.
    """

    entry: int
    role: Role
    number: str
    witness: str = ""


def unbroken(sealings: Sequence[Sealing]) -> Sealing | None:
    """Give the last that was said of a seal that still holds; None where none does."""
    return sealings[-1] if sealings and sealings[-1].role is not Role.BROKEN else None


def seals_after(sealings: Sequence[Sealing], number: int) -> list[int]:
    """List the entries that lean on what an entry said of a seal.

    What was applied is checked and broken later; what was broken makes room for the next.
    """
    at = next((place for place, one in enumerate(sealings) if one.entry == number), None)
    if at is None or sealings[at].role is Role.CHECKED:
        return []
    leaning: list[int] = []
    for one in sealings[at + 1 :]:
        if (one.role is Role.APPLIED) == (sealings[at].role is Role.APPLIED):
            break
        leaning.append(one.entry)
        if one.role is not Role.CHECKED:
            break
    return leaning
