"""Lots, their accounts and their fate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from vault.application.queries.answers.items import HistoryLine
from vault.core.items import State
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class LotAccount:
    """Where one metal of a lot is now; the parts add up to what was received.

    Attributes:
        on_hand: in products on hand; `in_residues` is what lies in slag, cupels and dust.
        out: returned, sold and sent.
        yield_share: recovered (on hand in products or out) over received.
    """

    metal: str
    received: Figure
    on_hand: Figure
    in_residues: Figure
    out: Figure
    unaccounted: Figure
    yield_share: float | None


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot in the list.

    Attributes:
        entry: the first entry that received it; 0 where that is of no matter.
        is_held: whether it must not be worked yet; `progress` says until when.
    """

    lot: str
    party: str
    terms: str
    received_on: date
    items: int
    gross_ug: int
    not_weighed: int
    words: str
    progress: str
    received: Mapping[str, Figure]
    entry: int = 0
    is_held: bool = False


@dataclass(frozen=True, slots=True)
class FateItem:
    """An item that holds some of a lot's metal now, or took it out of the shop."""

    tag: str
    form: str
    place: str
    state: State
    fine_ug: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class LotDetail:
    """The chosen lot.

    Attributes:
        waiting: tags of what is still on hand as it was received.
        receipts: the entries that received it and stand, with their days; the first one first.
        hold: says until when it is held and what that means; empty where it is not.
    """

    row: LotRow
    accounts: tuple[LotAccount, ...]
    items: tuple[FateItem, ...]
    more_items: int
    history: tuple[HistoryLine, ...]
    waiting: tuple[str, ...] = ()
    receipts: tuple[tuple[int, date], ...] = ()
    hold: str = ""
