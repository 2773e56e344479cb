from __future__ import annotations

from builders import (
    assayed,
    counted,
    mass,
    moved,
    received,
    sent,
    shop_of,
    sold,
    thing,
    weighed,
    worked,
)
from vault.core.daybook import Entry
from vault.core.items import Item, State


def item_after(*entries: Entry) -> Item:
    shop = shop_of(received(1, thing("R-1", "slag", "100 ± 0.1", "Ag 10", place="tray")), *entries)
    return shop.items["R-1"]


def test_a_received_item_is_on_hand_as_its_line_says() -> None:
    item = item_after()
    assert item.state is State.ON_HAND
    assert (item.gross, item.gross_u) == (mass("100"), mass("0.1"))
    assert item.place == "tray"
    assert item.is_residue


def test_the_last_weighing_counts_and_all_are_kept() -> None:
    item = item_after(weighed(2, "R-1", "99.5"))
    assert (item.gross, item.gross_u) == (mass("99.5"), None)
    assert [one.gross for one in item.weighings] == [mass("100"), mass("99.5")]


def test_the_last_place_counts() -> None:
    assert item_after(moved(2, "R-1", "safe")).place == "safe"


def test_an_item_that_nobody_weighed_or_placed_has_no_weight_and_no_place() -> None:
    item = shop_of(received(1, thing("R-1", "slag"))).items["R-1"]
    assert (item.gross, item.gross_u, item.place) == (None, None, "")


def test_state_follows_from_the_entries() -> None:
    assert item_after(sold(2, "R-1")).state is State.SOLD
    assert item_after(counted(2, missing="R-1")).state is State.MISSING
    assert item_after(worked(2, "pour", used="R-1", made=[thing("B-1", "bar")])).state is State.USED
    found = item_after(counted(2, missing="R-1"), counted(3, found=[thing("R-1")]))
    assert found.state is State.ON_HAND


def test_all_that_was_said_of_a_metal_is_found_in_order() -> None:
    item = item_after(assayed(2, "R-1", "Au 1, Ag 12 ± 1"), assayed(3, "R-1", "Au 2"))
    assert [(saying.entry, said.fineness.ppb) for saying, said in item.said_of("Ag")] == [
        (1, 10_000_000),
        (2, 12_000_000),
    ]


def test_an_item_forgets_what_one_entry_said_and_no_more() -> None:
    item = item_after(
        weighed(2, "R-1", "99"), moved(3, "R-1", "safe"), assayed(4, "R-1", "Ag 9"), sent(5, "R-1")
    )
    for number in (2, 3, 4, 5):
        item.forget(number)
    assert item == item_after()
    used = item_after(worked(2, "pour", used="R-1", made=[thing("B-1", "bar")]))
    used.forget(2)
    assert used == item_after()


def test_a_copy_goes_on_alone() -> None:
    item = item_after()
    copy = item.copy()
    assert copy == item
    copy.forget(1)
    assert copy != item
