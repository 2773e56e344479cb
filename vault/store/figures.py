"""Writing figures into the book and reading them back; they can always be worked out again."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import Connection, insert, select

from vault.core.knowledge import Figure, How
from vault.core.turns import in_turns
from vault.store.rows import instant_to_us, put_many, us_to_instant
from vault.store.tables import (
    CONTENT,
    FIGURE_TABLES,
    FIGURES_STATE,
    FINDING,
    REPORTED,
    REPORTED_CONTENT,
    REPORTED_FACTOR,
    SERIES_MARK,
    SERIES_POINT,
    STOCK_OWNER,
    STOCK_TOTAL,
)

# Stand in the place of a form for sums over forms; no form can be named like the second.
ALL_FORMS = ""
ALL_RESIDUES = "*residues"


@dataclass(frozen=True, slots=True)
class ItemOrigin:
    """Whose an item is, and which lots gave it most of its metal."""

    tag: str
    owner: str
    owner_share_ppm: int | None
    lots: tuple[str, ...]
    more_lots: int


@dataclass(frozen=True, slots=True)
class StockTotal:
    """All of one metal in one form on hand; the form is empty for all forms together."""

    metal: str
    form: str
    items: int
    not_known: int
    figure: Figure


@dataclass(frozen=True, slots=True)
class SeriesPoint:
    """Stock of one metal in one form on one day; the form is empty for all forms together."""

    metal: str
    day: date
    form: str
    fine_ug: int
    u_ug: int | None


@dataclass(frozen=True, slots=True)
class ReportedFactor:
    """What residues of a kind were believed to keep of a metal, in ppb of the metal fed.

    Attributes:
        guess_ppb, guess_u_ppb: the first guess and its doubt.
        now_ppb, now_u_ppb: as believed on the day.
    """

    kind: str
    metal: str
    guess_ppb: int
    guess_u_ppb: int
    now_ppb: int
    now_u_ppb: int


@dataclass(frozen=True, slots=True)
class FiguresState:
    """For which state of the daybook the figures in the book hold."""

    entry: int
    head: bytes
    worked_out_at: datetime


@dataclass(frozen=True, slots=True)
class Figures:
    """Everything that a reckoning leaves in the book.

    Attributes:
        state: for which head they hold.
        contents: (tag, metal) and what is known of it.
        owners: by (metal, owner); the house has the empty name.
        findings: told as JSON text, in the order of their weight.
    """

    state: FiguresState
    contents: Iterable[tuple[str, str, Figure]] = ()
    origins: Iterable[ItemOrigin] = ()
    totals: Iterable[StockTotal] = ()
    owners: Mapping[tuple[str, str], Figure] = field(default_factory=dict)
    series: Iterable[SeriesPoint] = ()
    marks: Iterable[tuple[date, str]] = ()
    findings: Iterable[str] = ()


def keep_figures(connection: Connection, figures: Figures) -> None:
    """Put these figures in the place of all that were there."""
    for table in FIGURE_TABLES:
        connection.exec_driver_sql(f"DELETE FROM {table.name}")
    ids = _ids_by_tag(connection)
    _keep_contents(connection, figures.contents, figures.origins, ids)
    _keep_totals(connection, figures)
    _keep_series(connection, figures)
    _keep_state(connection, figures.state)


def change_contents(
    connection: Connection,
    tags: Iterable[str],
    contents: Iterable[tuple[str, str, Figure]],
    origins: Iterable[ItemOrigin],
) -> None:
    """Put what is known of some items in the place of what was known of them.

    Sums and findings stay as they are, and so does the head for which all figures hold, until
    `keep_figures` puts everything anew.

    Args:
        connection: of a writing transaction.
        tags: the items; what was known of items that are no more went with them.
        contents: (tag, metal) and what is known of it, of these items alone.
        origins: of those of them that were not used up.
    """
    ids: dict[str, int] = dict(
        connection.exec_driver_sql(
            "SELECT tag, id FROM item WHERE tag IN (SELECT value FROM json_each(?))",
            (json.dumps(sorted(tags)),),
        ).all()
    )
    for name in ("content", "item_origin"):
        put_many(connection, f"DELETE FROM {name} WHERE item = ?", ((one,) for one in ids.values()))
    _keep_contents(connection, contents, origins, ids)


def _ids_by_tag(connection: Connection) -> dict[str, int]:
    """Give the ids of all items; row by row, since all at once would hold every other thread."""
    rows = connection.exec_driver_sql("SELECT tag, id FROM item")
    return {tag: one for tag, one in in_turns(rows)}  # noqa: C416  as told above


def _keep_contents(
    connection: Connection,
    contents: Iterable[tuple[str, str, Figure]],
    origins: Iterable[ItemOrigin],
    ids: Mapping[str, int],
) -> None:
    """Write contents and origins; an item struck since they were worked out is left out."""
    put_many(
        connection,
        "INSERT INTO content (item, metal, fine_ug, u_ug, how) VALUES (?, ?, ?, ?, ?)",
        (
            (ids[tag], metal, one.fine_ug, one.u_ug, one.how.value)
            for tag, metal, one in contents
            if tag in ids
        ),
    )
    put_many(
        connection,
        "INSERT INTO item_origin (item, owner, owner_share_ppm, lots, more_lots) "
        "VALUES (?, ?, ?, ?, ?)",
        (
            (ids[one.tag], one.owner, one.owner_share_ppm, "\n".join(one.lots), one.more_lots)
            for one in origins
            if one.tag in ids
        ),
    )


def _keep_state(connection: Connection, state: FiguresState) -> None:
    connection.execute(
        insert(FIGURES_STATE).values(
            one=1,
            entry=state.entry,
            head=state.head,
            worked_out_at_us=instant_to_us(state.worked_out_at),
        )
    )


def _keep_totals(connection: Connection, figures: Figures) -> None:
    put_many(
        connection,
        "INSERT INTO stock_total (metal, form, items, not_known, fine_ug, u_ug, how) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            (
                one.metal,
                one.form,
                one.items,
                one.not_known,
                one.figure.fine_ug,
                one.figure.u_ug,
                one.figure.how.value,
            )
            for one in figures.totals
        ),
    )
    put_many(
        connection,
        "INSERT INTO stock_owner (metal, owner, fine_ug, u_ug) VALUES (?, ?, ?, ?)",
        ((metal, owner, one.fine_ug, one.u_ug) for (metal, owner), one in figures.owners.items()),
    )
    put_many(
        connection,
        "INSERT INTO finding (position, told) VALUES (?, ?)",
        enumerate(figures.findings),
    )


def _keep_series(connection: Connection, figures: Figures) -> None:
    put_many(
        connection,
        "INSERT INTO series_point (metal, day, form, fine_ug, u_ug) VALUES (?, ?, ?, ?, ?)",
        (
            (one.metal, one.day.toordinal(), one.form, one.fine_ug, one.u_ug)
            for one in figures.series
        ),
    )
    put_many(
        connection,
        "INSERT INTO series_mark (day, words) VALUES (?, ?)",
        ((day.toordinal(), words) for day, words in dict.fromkeys(figures.marks)),
    )


def keep_reported(
    connection: Connection,
    day: date,
    entry: int,
    totals: Mapping[tuple[str, str], Figure],
    contents: Iterable[tuple[str, str, Figure]],
) -> None:
    """Keep figures as they were told on a day; what was told before is never overwritten.

    Args:
        connection: of a writing transaction.
        day: the day for which they were told.
        entry: the last entry that they rest on.
        totals: by metal and form.
        contents: of items; only the first that is ever told of an item and metal is kept.
    """
    put_many(
        connection,
        "INSERT OR IGNORE INTO reported (day, metal, form, entry, fine_ug, u_ug) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (
            (day.toordinal(), metal, form, entry, one.fine_ug, one.u_ug or 0)
            for (metal, form), one in totals.items()
            if one.fine_ug is not None
        ),
    )
    ids = _ids_by_tag(connection)
    put_many(
        connection,
        "INSERT OR IGNORE INTO reported_content (item, metal, day, fine_ug, u_ug) "
        "VALUES (?, ?, ?, ?, ?)",
        (
            (ids[tag], metal, day.toordinal(), one.fine_ug, one.u_ug or 0)
            for tag, metal, one in contents
            if one.fine_ug is not None and tag in ids
        ),
    )


def keep_reported_factors(
    connection: Connection, day: date, factors: Iterable[ReportedFactor]
) -> None:
    """Keep what residues were believed to keep on a day; what was told before stays.

    Args:
        connection: of a writing transaction.
        day: the day for which it was told.
        factors: of every kind and metal; none where nothing was kept yet, which is told, too.
    """
    rows = [
        (one.kind, one.metal, one.guess_ppb, one.guess_u_ppb, one.now_ppb, one.now_u_ppb)
        for one in factors
    ]
    put_many(
        connection,
        "INSERT OR IGNORE INTO reported_factor "
        "(day, kind, metal, guess_ppb, guess_u_ppb, now_ppb, now_u_ppb) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        ((day.toordinal(), *row) for row in rows or [("", "", 0, 0, 0, 0)]),
    )


def factor_days(connection: Connection) -> list[date]:
    """Give the days on which it was told what residues keep, in order."""
    found = connection.scalars(
        select(REPORTED_FACTOR.c.day).distinct().order_by(REPORTED_FACTOR.c.day)
    )
    return [date.fromordinal(day) for day in found]


def reported_factors(connection: Connection) -> dict[date, list[ReportedFactor]]:
    """Give what residues were believed to keep, by the day on which it was told."""
    found: dict[date, list[ReportedFactor]] = {}
    rows = connection.execute(select(REPORTED_FACTOR).order_by(REPORTED_FACTOR.c.day))
    for day, kind, *shares in rows:
        if kind:
            found.setdefault(date.fromordinal(day), []).append(ReportedFactor(kind, *shares))
    return found


def figures_state(connection: Connection) -> FiguresState | None:
    """Say for which head the figures hold; None where there are none."""
    row = connection.execute(
        select(FIGURES_STATE.c.entry, FIGURES_STATE.c.head, FIGURES_STATE.c.worked_out_at_us)
    ).first()
    return None if row is None else FiguresState(row[0], bytes(row[1]), us_to_instant(row[2]))


def stock_totals(connection: Connection) -> list[StockTotal]:
    """Give every total of the stock, by metal and form."""
    rows = connection.execute(select(STOCK_TOTAL))
    return [
        StockTotal(
            row.metal,
            row.form,
            row.items,
            row.not_known,
            Figure(row.fine_ug, row.u_ug, How(row.how)),
        )
        for row in rows
    ]


def stock_owners(connection: Connection) -> dict[tuple[str, str], Figure]:
    """Give whose metal it is, by metal and owner; the house has the empty name."""
    table = STOCK_OWNER.c
    rows = connection.execute(select(table.metal, table.owner, table.fine_ug, table.u_ug))
    return {(row[0], row[1]): Figure(row[2], row[3], How.WORKED_OUT) for row in rows}


def series_of(connection: Connection, metal: str) -> list[SeriesPoint]:
    """Give the stock of a metal over time, by day and form."""
    table = SERIES_POINT.c
    rows = connection.execute(
        select(table.day, table.form, table.fine_ug, table.u_ug)
        .where(table.metal == metal)
        .order_by(table.day, table.form)
    )
    return [
        SeriesPoint(metal, date.fromordinal(day), form, fine_ug, u_ug)
        for day, form, fine_ug, u_ug in rows
    ]


def series_marks(connection: Connection) -> list[tuple[date, str]]:
    """Give the days worth a line across a chart of stock, with their words."""
    table = SERIES_MARK.c
    rows = connection.execute(select(table.day, table.words).order_by(table.day))
    return [(date.fromordinal(day), words) for day, words in rows]


def reported_totals(connection: Connection, metal: str, form: str) -> dict[date, Figure]:
    """Give the totals of a metal and form as they were told, by day."""
    table = REPORTED.c
    rows = connection.execute(
        select(table.day, table.fine_ug, table.u_ug).where(table.metal == metal, table.form == form)
    )
    return {date.fromordinal(row[0]): Figure(row[1], row[2], How.WORKED_OUT) for row in rows}


def first_reported(connection: Connection, item: int) -> dict[str, tuple[date, Figure]]:
    """Give what was first told of an item's contents, by metal."""
    table = REPORTED_CONTENT.c
    rows = connection.execute(
        select(table.metal, table.day, table.fine_ug, table.u_ug).where(table.item == item)
    )
    return {
        row[0]: (date.fromordinal(row[1]), Figure(row[2], row[3], How.WORKED_OUT)) for row in rows
    }


def findings_told(connection: Connection) -> list[str]:
    """Give the findings as JSON texts, weightiest first."""
    return list(connection.scalars(select(FINDING.c.told).order_by(FINDING.c.position)))


def contents_of(connection: Connection, items: Iterable[int]) -> dict[int, dict[str, Figure]]:
    """Give the contents of items by id and metal."""
    found: dict[int, dict[str, Figure]] = {}
    table = CONTENT.c
    rows = connection.execute(
        select(table.item, table.metal, table.fine_ug, table.u_ug, table.how).where(
            table.item.in_(list(items))
        )
    )
    for item, metal, fine_ug, u_ug, how in rows:
        found.setdefault(item, {})[metal] = Figure(fine_ug, u_ug, How(how))
    return found


def metals_kept(connection: Connection) -> list[str]:
    """Give the metals of which the figures speak."""
    return list(connection.scalars(select(STOCK_TOTAL.c.metal).distinct()))
