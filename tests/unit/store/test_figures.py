from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from builders import received, struck, thing
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.store.figures import (
    ALL_FORMS,
    Figures,
    FiguresState,
    ItemOrigin,
    ReportedFactor,
    SeriesPoint,
    StockTotal,
    change_contents,
    contents_of,
    factor_days,
    figures_state,
    findings_told,
    first_reported,
    keep_figures,
    keep_reported,
    keep_reported_factors,
    reported_factors,
    reported_totals,
    series_marks,
    series_of,
    stock_owners,
    stock_totals,
)
from vault.store.standing import item_id

NOON = datetime(2031, 3, 1, 12, 0, 0, 7, tzinfo=UTC)
MARCH, APRIL = date(2031, 3, 1), date(2031, 4, 1)
A, B = item_id(1, 0), item_id(2, 0)
FEW = Figure(10_000_001, 20_000, How.ASSAYED)
MORE = Figure(12_000_000, 30_000, How.WORKED_OUT)

FIGURES = Figures(
    state=FiguresState(2, b"\x01" * 32, NOON),
    contents=(("A", "Ag", FEW), ("A", "Au", NOTHING_KNOWN), ("B", "Ag", MORE)),
    origins=(
        ItemOrigin("A", "Pennant", 1_000_000, ("L-1", "L-2"), 3),
        ItemOrigin("B", "", 5, (), 0),
    ),
    totals=(StockTotal("Ag", ALL_FORMS, 2, 0, MORE), StockTotal("Ag", "bar", 1, 1, FEW)),
    owners={("Ag", "*ours"): Figure(5, 1, How.WORKED_OUT)},
    series=(SeriesPoint("Ag", MARCH, "", 5, 1), SeriesPoint("Ag", APRIL, "bar", 6, None)),
    marks=((MARCH, "drum A sent"), (MARCH, "drum A sent"), (APRIL, "counted")),
    findings=('{"sentence": "look at B"}', '{"sentence": "look at A"}'),
)


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Europe/Oslo", operator="Imke") as ledger:
        import_entries(
            ledger,
            [
                received(1, thing("A", "bar", "10"), lot="L-1"),
                received(2, thing("B", "bar"), lot="L-2"),
            ],
        )
        with ledger.file.writing() as connection:
            keep_figures(connection, FIGURES)
        yield ledger


def everything(ledger: Book) -> dict[str, object]:
    with ledger.file.reading() as connection:
        origins = connection.exec_driver_sql(
            "SELECT item, owner, owner_share_ppm, lots, more_lots FROM item_origin ORDER BY item"
        )
        return {
            "state": figures_state(connection),
            "contents": contents_of(connection, [A, B]),
            "origins": [tuple(row) for row in origins],
            "totals": sorted(stock_totals(connection), key=lambda one: one.form),
            "owners": stock_owners(connection),
            "series": series_of(connection, "Ag"),
            "marks": series_marks(connection),
            "findings": findings_told(connection),
        }


def test_what_was_worked_out_is_read_as_it_was_written(ledger: Book) -> None:
    assert everything(ledger) == {
        "state": FIGURES.state,
        "contents": {A: {"Ag": FEW, "Au": NOTHING_KNOWN}, B: {"Ag": MORE}},
        "origins": [(A, "Pennant", 1_000_000, "L-1\nL-2", 3), (B, "", 5, "", 0)],
        "totals": list(FIGURES.totals),
        "owners": FIGURES.owners,
        "series": list(FIGURES.series),
        "marks": [(MARCH, "drum A sent"), (APRIL, "counted")],
        "findings": list(FIGURES.findings),
    }


def test_new_figures_take_the_place_of_all_old_ones(ledger: Book) -> None:
    before = everything(ledger)
    state = FiguresState(2, b"\x02" * 32, NOON)
    with ledger.file.writing() as connection:
        keep_figures(connection, Figures(state=state))
    after = everything(ledger)
    assert after.pop("state") == state
    assert not any(after.values())
    with ledger.file.writing() as connection:
        keep_figures(connection, FIGURES)
    assert everything(ledger) == before


def test_figures_of_one_item_change_without_the_others(ledger: Book) -> None:
    before = everything(ledger)
    with ledger.file.writing() as connection:
        change_contents(
            connection,
            ["A"],
            [("A", "Ag", MORE)],
            [ItemOrigin("A", "Lowland", 7, ("L-9",), 0)],
        )
    assert everything(ledger) == before | {
        "contents": {A: {"Ag": MORE}, B: {"Ag": MORE}},
        "origins": [(A, "Lowland", 7, "L-9", 0), (B, "", 5, "", 0)],
    }


def test_figures_of_an_item_go_with_it_when_its_making_is_struck(ledger: Book) -> None:
    import_entries(ledger, [struck(3, 2)])
    after = everything(ledger)
    assert after["contents"] == {A: {"Ag": FEW, "Au": NOTHING_KNOWN}}
    assert after["origins"] == [(A, "Pennant", 1_000_000, "L-1\nL-2", 3)]
    # A reckoning that began before the strike still names the item.
    with ledger.file.writing() as connection:
        keep_figures(connection, FIGURES)
        change_contents(connection, ["A", "B"], FIGURES.contents, FIGURES.origins)
    assert everything(ledger)["contents"] == after["contents"]


def test_what_was_told_once_is_never_overwritten(ledger: Book) -> None:
    with ledger.file.writing() as connection:
        keep_reported(connection, MARCH, 2, {("Ag", ""): FEW}, [("A", "Ag", FEW)])
        keep_reported(connection, MARCH, 2, {("Ag", ""): MORE}, [("A", "Ag", MORE)])
        keep_reported(connection, APRIL, 2, {("Ag", ""): MORE}, [("A", "Ag", MORE)])
        keep_reported(connection, APRIL, 2, {("Au", ""): NOTHING_KNOWN}, [("gone", "Ag", FEW)])
    told = {
        day: Figure(one.fine_ug, one.u_ug, How.WORKED_OUT)
        for day, one in ((MARCH, FEW), (APRIL, MORE))
    }
    with ledger.file.reading() as connection:
        assert reported_totals(connection, "Ag", "") == told
        assert reported_totals(connection, "Au", "") == {}
        assert first_reported(connection, A) == {"Ag": (MARCH, told[MARCH])}


def test_what_residues_were_believed_to_keep_is_never_overwritten(ledger: Book) -> None:
    first = ReportedFactor("spent cupel", "Ag", 10, 5, 9, 2)
    later = ReportedFactor("spent cupel", "Ag", 10, 5, 7, 1)
    with ledger.file.writing() as connection:
        keep_reported_factors(connection, MARCH, [first])
        keep_reported_factors(connection, MARCH, [later])
        keep_reported_factors(connection, APRIL, [])
    with ledger.file.reading() as connection:
        assert reported_factors(connection) == {MARCH: [first]}
        # A month in which nothing was kept was told all the same.
        assert factor_days(connection) == [MARCH, APRIL]


def test_a_book_without_figures_says_so(tmp_path: Path) -> None:
    with (
        Book.create(tmp_path / "new.shop", zone="Europe/Oslo") as new,
        new.file.reading() as connection,
    ):
        assert figures_state(connection) is None
        assert stock_totals(connection) == []
        assert factor_days(connection) == []
