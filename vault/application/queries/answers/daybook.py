"""Entries, the proof of the chain, and findings."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from vault.core.daybook import Act


@dataclass(frozen=True, slots=True)
class DaybookQuery:
    """Which entries to list."""

    text: str = ""
    act: Act | None = None
    struck_too: bool = True
    newest_first: bool = True


@dataclass(frozen=True, slots=True)
class DaybookRow:
    """One entry in the list.

    Attributes:
        at: the time it happened, in the shop's own zone; None where only the day was noted.
        struck_by: number of the entry that struck it, None where it stands.
        strikes: number of the entry that it strikes itself.
        reason: why it was struck, or why it strikes.
    """

    number: int
    day: date
    at: datetime | None
    by: str
    act: Act
    words: str
    tags: tuple[str, ...]
    struck_by: int | None
    strikes: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class EntryDetail:
    """The chosen entry in full: what each line says, and its proof.

    Attributes:
        recorded_at: when it was recorded, in the shop's own zone.
        head: the head of the chain up to and with this entry.
        leaned_on_by: later entries that must be struck before this one can be.
    """

    row: DaybookRow
    lines: tuple[str, ...]
    recorded_at: datetime
    head: str
    leaned_on_by: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class WhatLeans:
    """What stands in the way of striking an entry.

    Attributes:
        entry: the one that would be struck.
        leaning: the entries that must be struck before it, the last one first.
        refusal: why it cannot be struck, in a sentence; empty where it can.
    """

    entry: DaybookRow
    leaning: tuple[DaybookRow, ...]
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class ChainProof:
    """Whether the daybook is as it was recorded."""

    entries: int
    head: str
    holds: bool
    words: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """Something that does not add up, and what to look at."""

    words: str
    metal: str
    tags: tuple[str, ...]
    entries: tuple[int, ...]
    severity: str
    more: tuple[str, ...] = field(default=())
