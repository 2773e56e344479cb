"""What is asked of single items, on the example daybook."""

from __future__ import annotations

import pytest

from vault.application.book import Book
from vault.application.queries.answers.items import (
    GroupBy,
    ItemQuery,
    Showing,
    SortBy,
)
from vault.application.queries.items import (
    NoSuchItem,
    find,
    item_detail,
    item_index,
    item_rows,
)
from vault.core.items import State
from vault.core.knowledge import How
from vault.core.tags import payload_of


def tags(book: Book, query: ItemQuery) -> list[str]:
    return [row.tag for row in item_rows(book, list(item_index(book, query).ids))]


def test_on_hand_is_what_neither_left_nor_was_used_up(example: Book) -> None:
    assert tags(example, ItemQuery(group_by=GroupBy.NOTHING)) == ["A-0001", "S-0001", "S-0002"]
    assert tags(example, ItemQuery(showing=Showing.RESIDUES)) == ["S-0001", "S-0002"]
    gone = tags(example, ItemQuery(showing=Showing.GONE, group_by=GroupBy.NOTHING))
    assert gone == ["B-0001", "C-0001"]
    everything = tags(example, ItemQuery(showing=Showing.ALL, group_by=GroupBy.NOTHING))
    assert {"R-0001", "K-0001", "B-0001", "A-0001"} <= set(everything)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("slag", ["S-0001", "S-0002"]),
        ("slag drum", ["S-0001"]),
        ("SLAG tub", ["S-0002"]),
        ('"drum D"', ["S-0001"]),
        ('"drum D" slag', ["S-0001"]),
        ('"D drum"', []),
        ('"drum', ["S-0001"]),
        ("assay box", ["A-0001"]),
    ],
)
def test_every_word_is_looked_for_and_what_is_quoted_as_a_whole(
    example: Book, text: str, found: list[str]
) -> None:
    assert tags(example, ItemQuery(text=text, group_by=GroupBy.NOTHING)) == found


def test_groups_count_their_items_and_what_was_not_weighed(example: Book) -> None:
    index = item_index(example, ItemQuery(group_by=GroupBy.PLACE))
    told = {group.name: (group.items, group.gross_ug, group.not_weighed) for group in index.groups}
    assert told == {
        "assay box": (1, 2_200_000, 0),
        "drum D": (1, 0, 1),
        "tub 2": (1, 51_000_000, 0),
    }


def test_items_are_sorted_either_way(example: Book) -> None:
    query = ItemQuery(group_by=GroupBy.NOTHING, sort_by=SortBy.GROSS)
    assert tags(example, query)[-1] == "S-0002"


def test_an_assayed_item_tells_its_mark_its_source_and_its_history(example: Book) -> None:
    detail = item_detail(example, "A-0001")
    silver = next(one for one in detail.metals if one.metal == "Ag")
    assert silver.figure.how is How.ASSAYED
    assert silver.known_from == "2.2 g on the scale × 991.0 ± 0.4 ‰ (fire assay F-31)"
    assert detail.row.owner == "Pennant Bench School"
    assert [(line.entry, line.words) for line in detail.history] == [
        (7, "divided from K-0002, 2.2 g"),
        (8, "fire assay Ag 991.0 ± 0.4 ‰, Au 2.10 ± 0.20 ‰ (F-31)"),
    ]
    assert detail.cautions == ()


def test_origins_add_up_to_all_of_it_and_name_the_silver_that_came_with_the_lead(
    example: Book,
) -> None:
    silver = next(one for one in item_detail(example, "B-0001").metals if one.metal == "Ag")
    assert [one.lot for one in silver.origins] == ["L-001", "added: lead, entry 6"]
    assert sum(one.share or 0.0 for one in silver.origins) == pytest.approx(1.0)


def test_a_strike_leaves_no_trace_in_where_a_thing_is(example: Book) -> None:
    detail = item_detail(example, "C-0001")
    assert detail.row.state is State.SENT
    assert detail.row.place == "drum C"
    assert [line.entry for line in detail.history] == [6, 15, 16]
    assert any(one.startswith("Lead.") for one in detail.cautions)


def test_a_tag_that_names_nothing_is_refused(example: Book) -> None:
    with pytest.raises(NoSuchItem, match="There is no item B-9999 in this book; check the tag"):
        item_detail(example, "B-9999")


@pytest.mark.parametrize(
    ("text", "hits"),
    [
        ("B-0001", [("item", "B-0001")]),
        ("b-0001", [("item", "B-0001")]),
        ("L-001", [("lot", "L-001")]),
        ("Pennant Bench School", [("party", "Pennant Bench School")]),
        ("", []),
        ("nowhere", []),
    ],
)
def test_a_scanned_word_finds_what_it_names(
    example: Book, text: str, hits: list[tuple[str, str]]
) -> None:
    assert find(example, text) == hits


@pytest.mark.parametrize("text", ["K000282", "k-0002 82", "k0002"])
def test_a_scanned_tag_finds_its_item_alone(example: Book, text: str) -> None:
    assert payload_of("K-0002") == "K000282"
    assert find(example, text) == [("item", "K-0002")]
