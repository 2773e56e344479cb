"""Working the figures out: from the facts in the book to the tables that screens read at once.

`work_out` reckons everything and keeps the result in the book, labelled with the head of the chain
for which it holds. `tell_months` keeps, month end by month end, what was known at the time.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict
from datetime import date
from enum import Enum
from typing import TypeVar

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import ActionStopped
from vault.application.reckoned import Reckoned
from vault.core.daybook import EMPTY_HEAD, Entry
from vault.core.flow import flow_of
from vault.core.items import Item, State
from vault.core.knowledge import Figure
from vault.core.shop import Shop
from vault.core.turns import in_turns
from vault.reckoning.accounts import ownership
from vault.reckoning.chief_sources import chief_sources
from vault.reckoning.contents import Contents, LearnedFactor
from vault.reckoning.micrograms import figures_of_item, micrograms
from vault.reckoning.mixing import look_nowhere
from vault.reckoning.origins import Origins
from vault.reckoning.reckoner import Reckoner, ReckoningStopped, reckon
from vault.reckoning.reported import Report, Settled, month_ends, reports, settlements
from vault.reckoning.series import StockSeries, marks_of, series_of
from vault.reckoning.stock import Stock, Sum, stock_of
from vault.store.entries import load_entries
from vault.store.figures import (
    ALL_FORMS,
    ALL_RESIDUES,
    Figures,
    FiguresState,
    ItemOrigin,
    ReportedFactor,
    SeriesPoint,
    StockTotal,
    factor_days,
    figures_state,
    keep_figures,
    keep_reported,
    keep_reported_factors,
)
from vault.store.garbage import let_go

T = TypeVar("T")

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]

# Steps of a whole working-out, for showing how far it is.
_STEPS = 6
# Above so many items the month ends are not told one by one: each takes a whole reckoning.
MOST_ITEMS_TO_TELL = 20_000


def work_out(
    book: Book, progress: Progress | None = None, stopped: Stopped | None = None
) -> Changes:
    """Reckon the whole book, keep the figures in it, and hold them for further questions.

    Raises:
        ActionStopped: when asked to stop; the figures stay as they were.
    """
    step = _Steps(progress, stopped)
    step.done()
    reckoned = reckon_all(book, stopped=stopped)
    step.done()
    if book.may_write:
        figures = figures_of(reckoned, book, step)
        # Rows are worked out as they are written; stopped half way, all of it is taken back.
        with book.file.writing() as connection:
            keep_figures(connection, figures)
    # From here on there is nothing left to stop: those kept and those in mind are new together.
    before, book.reckoned = book.reckoned, reckoned
    step.end()
    if before is not None:
        records = before.records()
        del before
        let_go(records)
    return Changes(figures=True)


def settle_figures(book: Book, stopped: Stopped | None = None) -> Changes | None:
    """Keep all figures as the reckoning in memory has them, where entries were only taken in.

    None where there is nothing to do.

    Raises:
        ActionStopped: when asked to stop; the figures stay as they were.
    """
    reckoned = book.reckoned
    if reckoned is None or not book.may_write:
        return None
    with book.file.reading() as connection:
        state = figures_state(connection)
    if state is not None and state.head == reckoned.head:
        return None
    figures = figures_of(reckoned, book, _Steps(None, stopped))
    with book.file.writing() as connection:
        keep_figures(connection, figures)
    return Changes(figures=True)


def reckon_all(book: Book, *, at: date | None = None, stopped: Stopped | None = None) -> Reckoned:
    """Reckon the book as the facts tell it, all of them or those up to a day.

    Raises:
        ActionStopped: when asked to stop.
    """
    shop, head = facts_of(book, at=at, stopped=stopped)
    return reckoned_of(shop, head, stopped)


def facts_of(
    book: Book, *, at: date | None = None, stopped: Stopped | None = None
) -> tuple[Shop, bytes]:
    """Replay the facts, all of them or those up to a day, and give the head they lead to.

    Raises:
        ActionStopped: when asked to stop.
    """
    steps = _Steps(None, stopped)
    shop = Shop()
    head = EMPTY_HEAD
    with book.file.reading() as connection:
        for recorded in steps.over(load_entries(connection)):
            if at is not None and recorded.entry.when.day > at:
                break
            shop.take(recorded.entry)
            head = recorded.head
    return shop, head


def reckoned_of(shop: Shop, head: bytes, stopped: Stopped | None = None) -> Reckoned:
    """Reckon a shop.

    Raises:
        ActionStopped: when asked to stop.
    """
    flow = flow_of(shop)
    reckoner = Reckoner()
    try:
        contents = reckoner.begin(flow, stopped=stopped)
    except ReckoningStopped as stop:
        raise ActionStopped("Stopped; the figures stay as they were.") from stop
    return Reckoned(shop, flow, contents, shop.last_number, head, reckoner)


def are_fresh(book: Book) -> bool:
    """Tell whether the figures kept in the book hold for its last entry."""
    with book.file.reading() as connection:
        state = figures_state(connection)
        last = connection.exec_driver_sql(
            "SELECT head FROM entry ORDER BY number DESC LIMIT 1"
        ).scalar()
    if state is None:
        return False
    return state.head == (EMPTY_HEAD if last is None else bytes(last))


def figures_of(reckoned: Reckoned, book: Book, step: _Steps) -> Figures:
    """Give everything that a reckoning leaves in the book."""
    contents, shop = reckoned.contents, reckoned.shop
    stock = stock_of(step.over(shop.items.values()), contents)
    step.done()
    owners = {
        (metal, owner or ""): figure
        for metal in contents.metals
        for owner, figure in _owners(reckoned, metal, step.look)
    }
    step.done()
    series = series_of(shop, contents)
    step.done()
    return Figures(
        state=FiguresState(reckoned.entry, reckoned.head, book.clock()),
        contents=step.over(item_contents(contents, shop.items)),
        origins=step.over(item_origins(reckoned.origins, shop.items.values(), step.look)),
        totals=_totals(stock),
        owners=owners,
        series=_points(series),
        marks=[(mark.day, mark.words) for mark in marks_of(shop, _settled(reckoned))],
        findings=[json.dumps(asdict(one), default=_plain) for one in step.over(contents.findings)],
    )


def tell_months(
    book: Book, progress: Progress | None = None, stopped: Stopped | None = None
) -> Changes:
    """Keep what was known at every month end that was not told yet; nothing told is overwritten.

    Raises:
        ActionStopped: when asked to stop; months told so far stay.
    """
    with book.file.reading() as connection:
        # Every day told has its factors, if only to say that there were none; a book from before
        # they were kept has all its months told once more, and keeps what it has of them.
        told = set(factor_days(connection))
        entries = [recorded.entry for recorded in load_entries(connection)]
    days = [day for day in _month_ends(entries) if day not in told]
    if not days or not book.may_write:
        return Changes()
    for at, report in enumerate(reports(entries, days, reckon)):
        if stopped is not None and stopped():
            raise ActionStopped("Stopped; the months told so far are kept.")
        if progress is not None:
            progress(at + 1, len(days))
        _keep_report(book, report)
    return Changes(figures=True)


def _month_ends(entries: list[Entry]) -> tuple[date, ...]:
    return month_ends(entries[0].when.day, entries[-1].when.day) if entries else ()


def _keep_report(book: Book, report: Report) -> None:
    stock = report.stock
    totals = {(metal, form): one.figure for (metal, form), one in stock.forms.items()}
    totals |= {(metal, ALL_FORMS): one.figure for metal, one in stock.metals.items()}
    totals |= {(metal, ALL_RESIDUES): one.figure for metal, one in stock.residues.items()}
    contents = (
        (tag, metal, figure)
        for tag, figures in report.first_figures.items()
        for metal, figure in figures.items()
    )
    with book.file.writing() as connection:
        keep_reported(connection, report.day, report.last_entry, totals, contents)
        keep_reported_factors(connection, report.day, map(_factor, report.factors))


def _factor(one: LearnedFactor) -> ReportedFactor:
    shares = (one.guess, one.guess_u, one.now, one.now_u)
    return ReportedFactor(one.kind, one.metal, *(round(share * 1e9) for share in shares))


class _Steps:
    """Counts the steps of a long action and looks whether it should end."""

    def __init__(self, progress: Progress | None, stopped: Stopped | None) -> None:
        self._progress = progress
        self._stopped = stopped
        self._at = 0

    def look(self) -> None:
        """Look whether the action should end, or pause there for a while.

        Raises:
            ActionStopped: when it is to end.
        """
        if self._stopped is not None and self._stopped():
            raise ActionStopped("Stopped; the figures stay as they were.")

    def over(self, rows: Iterable[T]) -> Iterator[T]:
        """Give rows as they come, and look at each of them."""
        for row in rows:
            self.look()
            yield row

    def done(self) -> None:
        """Note one more step done.

        Raises:
            ActionStopped: when the action is to end.
        """
        self.look()
        self._at += 1
        if self._progress is not None:
            self._progress(min(self._at, _STEPS), _STEPS)

    def end(self) -> None:
        """Note that all is done, whether or not somebody wants it to stop."""
        if self._progress is not None:
            self._progress(_STEPS, _STEPS)


def _owners(
    reckoned: Reckoned, metal: str, look: Callable[[], None]
) -> Iterator[tuple[str | None, Figure]]:
    origins = reckoned.origins
    look()
    drawn = origins.drawn_from(reckoned.contents, metal, look=look)
    look()
    told = ownership(origins, reckoned.contents, metal, drawn)
    yield "*owed", told.owed
    yield "*ours", told.ours
    yield "*unclear", told.unclear
    for owner, figure in told.owners.items():
        if owner:
            yield owner, figure


def item_contents(contents: Contents, tags: Iterable[str]) -> Iterator[tuple[str, str, Figure]]:
    """Give the figure of every metal in every item."""
    for tag in in_turns(tags):
        for metal, figure in figures_of_item(contents, tag).items():
            yield tag, metal, figure


def item_origins(
    origins: Origins, items: Iterable[Item], look: Callable[[], None] = look_nowhere
) -> Iterator[ItemOrigin]:
    """Give what is kept of the origins of items; those used up are left out."""
    here = [item.tag for item in items if item.state is not State.USED]
    for tag, chief in chief_sources(origins, here, look).items():
        yield ItemOrigin(
            tag=tag,
            owner="*unclear" if chief.owner is None else chief.owner,
            owner_share_ppm=round(chief.owner_share * 1_000_000),
            lots=tuple(source.name for source in chief.sources),
            more_lots=chief.more,
        )


def _totals(stock: Stock) -> Iterator[StockTotal]:
    for metal, one in stock.metals.items():
        yield _total(metal, ALL_FORMS, one)
    for metal, one in stock.residues.items():
        yield _total(metal, ALL_RESIDUES, one)
    for (metal, form), one in stock.forms.items():
        yield _total(metal, form, one)


def _total(metal: str, form: str, one: Sum) -> StockTotal:
    return StockTotal(metal, form, one.items, len(one.not_known), one.figure)


def _points(series: dict[str, StockSeries]) -> Iterator[SeriesPoint]:
    for metal, one in series.items():
        for at, day in enumerate(one.days):
            yield _point(metal, day, ALL_FORMS, one.total_g[at], one.u_g[at])
            yield _point(metal, day, ALL_RESIDUES, one.residues_g[at], one.residues_u_g[at])
            for form, row in zip(one.forms, one.fine_g, strict=True):
                yield _point(metal, day, form, row[at], None)


def _point(metal: str, day: date, form: str, fine_g: float, u_g: float | None) -> SeriesPoint:
    return SeriesPoint(
        metal, day, form, micrograms(fine_g), None if u_g is None else micrograms(u_g)
    )


def _settled(reckoned: Reckoned) -> dict[int, Settled]:
    if len(reckoned.shop.items) > MOST_ITEMS_TO_TELL:
        return {}
    entries = list(reckoned.shop.entries.values())
    for one in settlements(entries, reckon, reckoned.settled):
        reckoned.settled[one.entry] = one
    return reckoned.settled


def _plain(value: object) -> object:
    if isinstance(value, Enum):
        return value.value
    raise TypeError(f"no plain form of {type(value).__name__}")
