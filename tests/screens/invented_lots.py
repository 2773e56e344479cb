"""Invented lots of a shop that does not exist."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from threading import Event

from screens.invented import LONG_NAME, TODAY, figure
from vault.application.queries.answers.items import HistoryLine
from vault.application.queries.answers.lots import (
    FateItem,
    LotAccount,
    LotDetail,
    LotRow,
)
from vault.core.items import State
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.screens.lots.questions import LotsQuestions

G = 1_000_000


def lot(
    name: str,
    party: str,
    grams: float | None,
    *,
    terms: str = "toll",
    age_days: int = 10,
    words: str = "sweeps",
    progress: str = "all begun",
    received: dict[str, Figure] | None = None,
) -> LotRow:
    return LotRow(
        lot=name,
        party=party,
        terms=terms,
        received_on=TODAY - timedelta(days=age_days),
        items=2,
        gross_ug=round((grams or 0) * G),
        not_weighed=2 if grams is None else 0,
        words=words,
        progress=progress,
        received=received or {},
        entry=7,
    )


def few_lots() -> tuple[LotRow, ...]:
    return (
        lot("L-124", LONG_NAME, 1342.4, received={"Ag": figure(457.4, 2.2)}, age_days=2),
        lot(
            "L-123",
            "the house",
            None,
            terms="own",
            age_days=4,
            progress="waiting",
            received={"Ag": NOTHING_KNOWN, "Au": NOTHING_KNOWN},
        ),
        lot(
            "L-118",
            "Fernhill Dental Lab",
            90.5,
            terms="bought",
            words="scrap",
            received={"Ag": figure(10.5, 0.3, How.ASSAYED), "Au": figure(59.7, 0.3, How.ASSAYED)},
            age_days=30,
        ),
    )


def many_lots(number: int) -> tuple[LotRow, ...]:
    return tuple(
        lot(
            f"L-{at:05}",
            f"Customer {at % 12}",
            100.0 + at % 900,
            received={"Ag": figure(50 + at % 400, 1)},
            age_days=number - at,
        )
        for at in range(number, 0, -1)
    )


def account(metal: str, scale: float = 1.0) -> LotAccount:
    return LotAccount(
        metal=metal,
        received=figure(457.4 * scale, 2.2 * scale),
        on_hand=figure(2.18 * scale, 0.01 * scale),
        in_residues=figure(2.5 * scale, 1.4 * scale),
        out=figure(453.5 * scale, 1.1 * scale),
        unaccounted=figure(-0.8 * scale, 1.7 * scale),
        yield_share=0.996,
    )


def fate(tag: str, grams: float, state: State = State.ON_HAND, place: str = "drum D") -> FateItem:
    return FateItem(tag, "slag", place, state, {"Ag": round(grams * G)})


@dataclass
class InventedLots:
    """Answers what the screen asks, and keeps what was asked."""

    rows: tuple[LotRow, ...] = field(default_factory=few_lots)
    has_figures: bool = True
    waiting: tuple[str, ...] = ("R-0001", "R-0002")
    hold: str = ""
    receipts: tuple[tuple[int, date], ...] = ((7, date(2031, 3, 1)),)
    asked: list[str] = field(default_factory=list)
    may_answer: Event = field(default_factory=Event)

    def __post_init__(self) -> None:
        self.may_answer.set()

    def lots(self, book: object, text: str) -> Sequence[LotRow]:
        self.asked.append(text)
        self.may_answer.wait(5)
        words = text.casefold().split()
        return [
            row
            for row in self.rows
            if all(word in f"{row.lot} {row.party} {row.words}".casefold() for word in words)
        ]

    def lot_detail(self, book: object, name: str, numbers: object) -> LotDetail:
        row = next(row for row in self.rows if row.lot == name)
        accounts = (account("Ag"), account("Au", 0.001)) if self.has_figures else ()
        return LotDetail(
            row=row,
            accounts=accounts,
            items=(
                fate("B-0001", 450.9, State.RETURNED, "safe"),
                fate("S-0001", 1.56),
                fate("A-0001", 2.18, place=""),
            ),
            more_items=4,
            history=(HistoryLine(7, date(2031, 3, 1), f"receive: lot {name} from {row.party}"),),
            waiting=self.waiting,
            hold=self.hold,
            receipts=self.receipts,
        )

    def questions(self) -> LotsQuestions:
        return LotsQuestions(lots=self.lots, lot_detail=self.lot_detail)
