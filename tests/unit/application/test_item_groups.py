"""The groups of the Safe: most metal first, residues below, ids and groups in one order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from builders import received, thing, worked
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.items import (
    GroupBy,
    ItemQuery,
    ItemRow,
    Showing,
)
from vault.application.queries.items import item_index, item_rows
from vault.core.daybook import Entry

ENTRIES = (
    received(
        1,
        thing("R-1", "filings", "500", "Ag 900 ± 9", place="bench"),
        thing("R-2", "bar", "80", "Ag 990 ± 1", place="a shelf"),
        lot="L-1",
    ),
    received(
        2,
        thing("R-3", "bar", "2000", "Ag 995 ± 1", place="the safe"),
        thing("R-4", "bar", "10", "Au 990 ± 1", place="a shelf"),
        lot="L-2",
        party="Orrin",
    ),
    received(
        3, thing("R-5", "spent cupel", "9000", "Ag 450 ± 9", place="drum"), lot="L-3", party="Hale"
    ),
    worked(
        4,
        "smelt",
        used="R-1",
        made=[
            thing("K-1", "button", "480", place="the tray"),
            thing("S-1", "slag", "300", place="box of slag"),
        ],
    ),
    received(5, thing("R-6", "sweeps", "70", place="Å bench"), lot="L-4", party="Vee"),
)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock) as book:
        fill(book, ENTRIES)
        yield book


def fill(book: Book, entries: tuple[Entry, ...]) -> None:
    import_entries(book, entries)
    work_out(book, lambda *_: None, lambda: False)


def names(book: Book, query: ItemQuery) -> list[str]:
    return [group.name for group in item_index(book, query).groups]


def rows_by_group(book: Book, query: ItemQuery) -> dict[str, list[ItemRow]]:
    index = item_index(book, query)
    rows = iter(item_rows(book, index.ids.tolist()))
    return {group.name: [next(rows) for _ in range(group.items)] for group in index.groups}


def test_places_of_products_come_first_by_metal_and_those_of_residues_after(book: Book) -> None:
    assert names(book, ItemQuery()) == [
        "the safe",
        "the tray",
        "a shelf",
        "Å bench",
        "drum",
        "box of slag",
    ]


def test_a_filter_of_metal_counts_that_metal(book: Book) -> None:
    assert names(book, ItemQuery(metal="Au"))[0] == "a shelf"


def test_typing_and_showing_residues_leave_the_order_of_places_alone(book: Book) -> None:
    whole = names(book, ItemQuery())
    for query in (ItemQuery(text="s"), ItemQuery(showing=Showing.RESIDUES)):
        shown = names(book, query)
        assert len(shown) > 1
        assert shown == [name for name in whole if name in shown]


def test_places_where_nothing_lies_any_more_come_last(book: Book) -> None:
    assert names(book, ItemQuery(showing=Showing.ALL))[-1] == "bench"


def test_lots_and_owners_come_by_their_metal(book: Book) -> None:
    assert names(book, ItemQuery(group_by=GroupBy.LOT)) == ["L-3", "L-2", "L-1", "L-4"]
    assert names(book, ItemQuery(group_by=GroupBy.OWNER)) == ["Hale", "Orrin", "Pennant", "Vee"]


@pytest.mark.parametrize("group_by", [GroupBy.PLACE, GroupBy.LOT, GroupBy.OWNER, GroupBy.FORM])
@pytest.mark.parametrize("showing", [Showing.ON_HAND, Showing.ALL])
def test_every_item_stands_in_its_own_group(
    book: Book, group_by: GroupBy, showing: Showing
) -> None:
    by_group = rows_by_group(book, ItemQuery(group_by=group_by, showing=showing))
    assert sum(len(rows) for rows in by_group.values()) == (8 if showing is Showing.ALL else 7)
    ways: dict[GroupBy, Callable[[ItemRow], str]] = {
        GroupBy.PLACE: lambda row: row.place,
        GroupBy.LOT: lambda row: row.lots[0],
        GroupBy.OWNER: lambda row: row.owner,
        GroupBy.FORM: lambda row: row.form,
    }
    told = ways[group_by]
    for name, rows in by_group.items():
        assert [told(row) for row in rows] == [name] * len(rows)
        assert [row.tag for row in rows] == sorted(row.tag for row in rows)


@pytest.mark.parametrize("group_by", list(GroupBy))
def test_a_first_look_is_the_beginning_of_the_whole(book: Book, group_by: GroupBy) -> None:
    whole = item_index(book, ItemQuery(group_by=group_by))
    for most in range(1, len(whole.ids)):
        first = item_index(book, ItemQuery(group_by=group_by, most=most))
        assert first.ids.tolist() == whole.ids.tolist()[: len(first.ids)]
        at = len(first.groups)
        assert [one.name for one in first.groups] == [one.name for one in whole.groups[:at]]
        assert first.is_whole or len(first.ids) == most
