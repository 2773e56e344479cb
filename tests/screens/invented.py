"""An invented shop that answers the screens' questions from memory; no file, no reckoning."""

from __future__ import annotations

import time
from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path
from typing import Any

from screens.invented_papers import receipt, tag_label
from screens.invented_record import residue_record
from screens.invented_shipments import own, papers
from vault.application.queries.answers.items import (
    BudgetShare,
    GroupBy,
    HistoryLine,
    ItemDetail,
    ItemGroup,
    ItemIndex,
    ItemQuery,
    ItemRow,
    MetalOfItem,
    OriginShare,
    Showing,
    SortBy,
)
from vault.application.queries.answers.labels import TagLabel
from vault.application.queries.answers.safe import (
    MetalCard,
    Part,
    Safe,
    Worth,
)
from vault.application.queries.answers.series import Series
from vault.application.reports.letter import Letter
from vault.application.reports.receipt import Receipt
from vault.application.reports.residue_record import ResidueRecord
from vault.application.reports.shipment import OwnEstimate, ShipmentPapers
from vault.core.forms import RESIDUE_FORMS
from vault.core.items import State
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.core.tags import tag_of_scan
from vault.screens.background import Progress, Stopped
from vault.screens.doors import Doors, ReadIn
from vault.screens.safe.questions import SafeQuestions

TODAY = date(2031, 3, 14)
G = 1_000_000


def figure(grams: float, u: float, how: How = How.WORKED_OUT) -> Figure:
    return Figure(round(grams * G), round(u * G), how)


def item(
    number: int,
    tag: str,
    form: str,
    gross: float | None,
    *,
    ag: Figure | None = None,
    au: Figure | None = None,
    lots: Sequence[str] = ("L-118",),
    more_lots: int = 0,
    owner: str = "ours",
    share: float | None = 1.0,
    place: str = "safe, top shelf",
    age_days: int = 9,
    fineness: float | None = None,
    state: State = State.ON_HAND,
) -> ItemRow:
    contents = {metal: one for metal, one in (("Ag", ag), ("Au", au)) if one is not None}
    return ItemRow(
        id=number,
        tag=tag,
        form=form,
        gross_ug=None if gross is None else round(gross * G),
        gross_u_ug=None if gross is None else 20_000,
        contents=contents,
        lots=tuple(lots),
        more_lots=more_lots,
        owner=owner,
        owner_share=share,
        place=place,
        state=state,
        since=TODAY - timedelta(days=age_days),
        is_residue=form in RESIDUE_FORMS,
        fineness_ppb=None if fineness is None else round(fineness * G),
    )


A, W, D = How.ASSAYED, How.WORKED_OUT, How.DECLARED
LONG_NAME = "The Pennant and Saltmarsh Joint Workshop for Bench Jewellers and Enamellers, Evenings"


def few_items() -> list[ItemRow]:
    tray, drum = "safe, tray of buttons", "drum C"
    return [
        item(
            1,
            "B-0031",
            "bar",
            1004.62,
            ag=figure(1002.6, 0.6, A),
            fineness=998.0,
            lots=("L-118", "L-121"),
            more_lots=1,
            share=0.62,
        ),
        item(
            2,
            "B-0030",
            "bar",
            871.15,
            ag=figure(868.5, 0.5, A),
            fineness=997.0,
            lots=("L-114",),
            owner="Saltmarsh Camera Club",
            age_days=23,
        ),
        item(
            3,
            "B-0029",
            "bar",
            443.2,
            ag=figure(441.9, 1.3),
            fineness=997.1,
            lots=("L-112", "L-113"),
            age_days=41,
        ),
        item(
            4,
            "B-0028",
            "bar",
            88.41,
            ag=figure(1.6, 0.2),
            au=figure(86.3, 0.1, A),
            fineness=976.1,
            lots=("L-109",),
            owner="Fernhill Dental Lab",
            age_days=52,
        ),
        item(
            5,
            "K-0212",
            "button",
            236.4,
            ag=figure(151.5, 2.9),
            au=figure(0.4, 0.1),
            fineness=640.8,
            lots=("L-124",),
            owner=LONG_NAME,
            place=tray,
            age_days=2,
        ),
        item(
            6,
            "K-0210",
            "bead",
            63.15,
            ag=figure(62.7, 0.2),
            fineness=992.9,
            lots=("L-123",),
            place=tray,
            age_days=3,
        ),
        item(
            7,
            "K-0207",
            "bead",
            47.82,
            ag=figure(47.3, 0.4, D),
            fineness=989.1,
            lots=("L-123",),
            place=tray,
            age_days=310,
        ),
        item(
            8,
            "C-0164",
            "spent cupel",
            402.1,
            ag=figure(4.9, 1.4),
            fineness=12.2,
            lots=("L-123",),
            place=drum,
            age_days=3,
        ),
        item(
            9,
            "C-0163",
            "spent cupel",
            377.85,
            ag=figure(3.1, 0.9),
            au=figure(0.1, 0.06),
            fineness=8.2,
            lots=("L-124",),
            owner=LONG_NAME,
            place=drum,
            age_days=2,
        ),
        item(
            10,
            "C-0162",
            "spent cupel",
            391.0,
            ag=NOTHING_KNOWN,
            lots=("L-122",),
            share=None,
            place=drum,
            age_days=6,
        ),
        item(
            11,
            "S-0049",
            "slag",
            None,
            ag=figure(13.1, 4.0),
            lots=("L-118",),
            place=drum,
            age_days=1200,
        ),
        item(
            12,
            "K-0201",
            "button",
            664.1,
            ag=figure(621.8, 2.1),
            lots=("L-118",),
            place="",
            age_days=12,
            fineness=936.3,
            state=State.USED,
        ),
    ]


def many_items(number: int) -> list[ItemRow]:
    """Give any number of items, over and over the same forms in forty places."""
    forms = ("bar", "button", "bead", "spent cupel", "slag")
    return [
        item(
            one,
            f"X-{one:06}",
            forms[one % 5],
            100 + one % 900,
            ag=figure(50 + one % 400, 0.5 + one % 7),
            au=figure(one % 9, 0.3) if one % 3 == 0 else None,
            fineness=500.0 + one % 400,
            lots=(f"L-{one % 60}",),
            owner=f"Customer {one % 12}",
            place=f"shelf {one % 40:02}",
            age_days=one % 700,
        )
        for one in range(1, number + 1)
    ]


_KEYS: dict[SortBy, Callable[[ItemRow, str], Any]] = {
    SortBy.TAG: lambda row, _: row.tag,
    SortBy.FORM: lambda row, _: row.form,
    SortBy.GROSS: lambda row, _: row.gross_ug or 0,
    SortBy.FINE: lambda row, metal: _fine(row, metal or "Ag"),
    SortBy.PLACE: lambda row, _: row.place,
    SortBy.OWNER: lambda row, _: row.owner,
    SortBy.SINCE: lambda row, _: row.since,
}
_GROUPS: dict[GroupBy, Callable[[ItemRow], str]] = {
    GroupBy.PLACE: lambda row: row.place,
    GroupBy.LOT: lambda row: row.lots[0],
    GroupBy.FORM: lambda row: row.form,
    GroupBy.METAL: lambda row: next(iter(row.contents), ""),
    GroupBy.OWNER: lambda row: row.owner,
    GroupBy.NOTHING: lambda _: "",
}


def _fine(row: ItemRow, metal: str) -> int:
    one = row.contents.get(metal)
    return (one.fine_ug or 0) if one else 0


def _is_shown(row: ItemRow, query: ItemQuery) -> bool:
    on_hand = row.state is State.ON_HAND
    shown = {
        Showing.ON_HAND: on_hand,
        Showing.RESIDUES: on_hand and row.is_residue,
        Showing.GONE: not on_hand,
        Showing.ALL: True,
    }[query.showing]
    words = f"{row.tag} {row.form} {row.owner} {row.place} {' '.join(row.lots)}".lower()
    return (
        shown and query.text.lower() in words and (not query.metal or query.metal in row.contents)
    )


@dataclass(frozen=True)
class Check:
    """What a check of the invented book gives."""

    verdict: str = "The book holds: 412 entries."
    broken: tuple[str, ...] = ()
    findings: tuple[str, ...] = ("The smelt of 3 March gained silver.",)
    photos: tuple[str, ...] = ()


@dataclass
class InventedShop:
    """Answers what the screens ask, and keeps what was asked.

    Attributes:
        figures_of: up to which entry the figures stand; None before they are worked out.
        is_due: whether it says that figures are due.
        slow_s: how long each answer takes.
        index_takes_s, was_stopped: how long it takes to tell which items there are, and whether
            that was stopped.
    """

    rows: list[ItemRow] = field(default_factory=few_items)
    figures_of: int | None = 412
    last_entry: int = 412
    findings: int = 2
    is_due: bool = False
    slow_s: float = 0.0
    index_takes_s: float = 0.0
    was_stopped: bool = False
    asked: list[object] = field(default_factory=list)
    closed: list[object] = field(default_factory=list)
    signed: list[object] = field(default_factory=list)
    faults: Sequence[object] = ()
    limits: str = ""
    worked_out: int = 0
    looked_back: int = 0
    unpriced: tuple[str, ...] = ()
    written: list[tuple[str, Path]] = field(default_factory=list)
    check: Check = field(default_factory=Check)
    cards: tuple[MetalCard, ...] = field(default_factory=lambda: metal_cards())  # noqa: PLW0108  it stands further down

    def safe(self, book: object) -> Safe:
        if self.figures_of is None or self.last_entry == 0:
            worth = Worth("EUR", None, None, None, None, None, None, ())
            return Safe((), worth, 0, self.figures_of, self.last_entry)
        return Safe(
            self.cards,
            replace(_worth(), unpriced=self.unpriced),
            self.findings,
            self.figures_of,
            self.last_entry,
        )

    def item_index(
        self, book: object, query: ItemQuery, stopped: Callable[[], bool] = bool
    ) -> ItemIndex:
        time.sleep(self.slow_s)
        until = time.monotonic() + self.index_takes_s
        while time.monotonic() < until and not stopped():
            time.sleep(0.005)
        self.was_stopped |= stopped()
        self.asked.append(query)
        rows = [row for row in self.rows if _is_shown(row, query)]
        rows.sort(
            key=lambda row: _KEYS[query.sort_by](row, query.sort_metal), reverse=query.descending
        )
        rows.sort(key=_GROUPS[query.group_by])
        groups = [
            _group(name, list(members))
            for name, members in groupby(rows, key=_GROUPS[query.group_by])
        ]
        ids = array("q", [row.id for row in rows])
        return ItemIndex(query, tuple(groups), memoryview(ids), ("Ag", "Au"))

    def item_rows(self, book: object, ids: Sequence[int]) -> list[ItemRow]:
        self.asked.append(len(ids))
        by_id = self._by_id
        return [by_id[one] for one in ids]

    @property
    def _by_id(self) -> dict[int, ItemRow]:
        return {row.id: row for row in self.rows}

    def item_detail(self, book: object, tag: str, numbers: object) -> ItemDetail:
        row = next(row for row in self.rows if row.tag == tag)
        cautions = ("Lead. Spent cupels hold litharge: keep the drum shut, no dry sweeping.",)
        return ItemDetail(
            row=row,
            note="",
            metals=tuple(_metal_of(row, metal) for metal in row.contents),
            history=_history(row),
            cautions=cautions if row.form == "spent cupel" else (),
        )

    def stock_series(self, book: object, metal: str) -> Series:
        days = tuple(TODAY - timedelta(days=30 * back) for back in range(24, -1, -1))
        bars = tuple(1000.0 + 40 * at for at in range(25))
        slag = tuple(300.0 + 8 * at for at in range(25))
        total = tuple(bar + rest for bar, rest in zip(bars, slag, strict=True))
        return Series(
            metal,
            days,
            ("bar", "slag"),
            (False, True),
            (bars, slag),
            total,
            tuple(0.01 * one for one in total),
        )

    def find(self, book: object, text: str) -> list[tuple[str, str]]:
        hits = [("item", row.tag) for row in self.rows if row.tag.lower() == text.lower()]
        if not hits:
            owners = sorted({row.owner for row in self.rows})
            hits = [("party", one) for one in owners if text.lower() in one.lower()]
        return hits

    def open_book(self, path: Path) -> object:
        return f"book of {path.name}"

    def questions(self) -> SafeQuestions:
        return SafeQuestions(
            safe=self.safe,
            item_index=self.item_index,
            item_rows=self.item_rows,
            item_detail=self.item_detail,
            stock_series=self.stock_series,
            today=lambda _: TODAY,
        )

    def doors(self) -> Doors:
        return Doors(
            open_book=self.open_book,
            make_book=lambda path: f"book of {path.name}",
            make_demonstration=self._demonstration,
            close_book=self.closed.append,
            sign=self.signed.append,
            read_in=self._read_in,
            is_due=lambda _: self.is_due,
            work_out=self._work_out,
            take_in=self._work_out,
            settle=self._settle,
            look_back=self._look_back,
            write_out=self._write_out,
            back_up=self._back_up,
            check=self._check,
            find=self.find,
            read_scan=lambda _, text: tag_of_scan(text, self.is_known),
            shop_name=lambda _: "Tidewater Melt Shop",
            limits=lambda _: self.limits,
        )

    def tag_labels(self, book: object, tags: Sequence[str]) -> list[TagLabel]:
        return [tag_label(tag) for tag in tags]

    def receipt_of(self, book: object, entry: int) -> Receipt:
        return receipt(entry)

    def residue_record(self, book: object) -> ResidueRecord:
        return residue_record()

    def shipment_papers(self, book: object, entry: int) -> ShipmentPapers:
        return papers()

    def own_estimate(self, book: object, entry: int) -> OwnEstimate:
        return own()

    def letter_of(self, book: object, about: str, text: str) -> Letter:
        return Letter("Tidewater Melt Shop", "Imke", date(2031, 3, 14), about, (text,))

    def is_known(self, tag: str) -> bool:
        return any(one.tag == tag for one in self.rows)

    def _demonstration(self, progress: Progress, stopped: Stopped) -> Path:
        return Path("demonstration.shop")

    def _read_in(self, book: object, daybook: Path, progress: Progress, stopped: Stopped) -> ReadIn:
        return ReadIn(0 if self.faults else 3, self.faults)  # type: ignore[arg-type]  # a fake's

    def _look_back(self, book: object, progress: Progress, stopped: Stopped) -> None:
        self.looked_back += 1

    def _write_out(
        self, book: object, what: str, to: Path, progress: Progress, stopped: Stopped
    ) -> None:
        progress(0, 2)
        if to.parent.name == "full":
            raise OSError(28, "No space left on device", str(to))
        self.written.append((what, to))

    def _back_up(self, book: object, to: Path) -> tuple[str, ...]:
        self.written.append(("backup", to))
        return self.check.photos

    def _check(self, book: object, progress: Progress, stopped: Stopped) -> Check:
        return self.check

    def _settle(self, book: object, stopped: Stopped) -> str:
        return "settled"

    def _work_out(self, book: object, progress: Progress, stopped: Stopped) -> str:
        for step in range(200):
            if stopped():
                return "stopped"
            progress(step, 200)
            time.sleep(self.slow_s / 10)
        self.figures_of = self.last_entry
        self.worked_out += 1
        return "worked out"


def _group(name: str, rows: Sequence[ItemRow]) -> ItemGroup:
    fine = {}
    for metal in ("Ag", "Au"):
        total = sum(_fine(row, metal) for row in rows)
        if total:
            fine[metal] = Figure(total, total // 200 if total > 0 else 500_000, How.WORKED_OUT)
    weighed = [row.gross_ug for row in rows if row.gross_ug is not None]
    return ItemGroup(name, len(rows), sum(weighed), len(rows) - len(weighed), fine)


def metal_cards() -> tuple[MetalCard, ...]:
    def part(form: str, grams: float, u: float, items: int) -> Part:
        return Part(form, figure(grams, u), items, 0, form in RESIDUE_FORMS)

    silver = (
        part("bar", 2314, 1.5, 4),
        part("button", 846, 4, 11),
        part("sweeps", 489, 9, 3),
        part("slag", 489, 26, 38),
        part("spent cupel", 312, 17, 64),
    )
    gold = (part("bar", 86.3, 0.1, 1), part("button", 24.3, 0.4, 6), part("slag", 11, 0.8, 20))
    palladium = (part("button", 8.0, 0.3, 2), part("dust", 5.7, 1.1, 5))
    return (
        MetalCard("Ag", figure(4450, 31), silver, figure(2960, 20), figure(1490, 24), 3),
        MetalCard("Au", figure(121.6, 0.9), gold, figure(74, 0.6), figure(47.6, 0.7), 0),
        MetalCard("Pd", figure(13.7, 1.1), palladium, figure(0, 0), figure(13.7, 1.1), 0),
    )


def _worth() -> Worth:
    return Worth("EUR", 24310.0, 190.0, 9720.0, 2080.0, 170.0, date(2031, 3, 14), ())


def _metal_of(row: ItemRow, metal: str) -> MetalOfItem:
    known = row.contents[metal]
    fine = known.fine_ug
    origins = (
        ()
        if fine is None
        else (
            OriginShare("L-118", "flatware offcuts, ours", round(fine * 0.62), 2_100_000, 0.62),
            OriginShare(
                "L-121", f"bench filings, {LONG_NAME}", round(fine * 0.29), 1_700_000, 0.29
            ),
            OriginShare("R-7", "slag smelted again on 2 Feb", round(fine * 0.09), 1_900_000, 0.09),
        )
    )
    return MetalOfItem(
        metal=metal,
        figure=known,
        fineness_ppb=row.fineness_ppb,
        known_from="1 004.62 g on the scale × 998.0 ‰ (fire assay A-077)",
        budget=()
        if fine is None
        else (
            BudgetShare("the fire assay of B-0031", 377, 0.71),
            BudgetShare("how the silver of the pour divides", None, 0.22),
            BudgetShare("the scale", 375, 0.07),
        ),
        origins=origins,
        more_origins=4 if fine else 0,
        noticeable_ug=4_200_000 if fine else None,
        reported_fine_ug=1_001_900_000 if row.tag == "B-0031" else None,
        reported_u_ug=1_100_000 if row.tag == "B-0031" else None,
        reported_on=date(2031, 3, 5) if row.tag == "B-0031" else None,
    )


def _history(row: ItemRow) -> tuple[HistoryLine, ...]:
    return (
        HistoryLine(375, date(2031, 3, 5), "poured from K-0201, K-0203 and K-0205"),
        HistoryLine(377, date(2031, 3, 6), "fire assay A-077: Ag 998.0 ± 0.4 ‰"),
        HistoryLine(378, date(2031, 3, 6), f"moved to {row.place or 'the bench'}"),
    )


def gone(row: ItemRow) -> ItemRow:
    return replace(row, state=State.SOLD)
