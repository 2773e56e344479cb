"""What one figure for a whole shipment speaks of, and what leans on what."""

from __future__ import annotations

from builders import received, said, sent, settled, shop_of, struck, thing
from vault.core.daybook import Entry, Line
from vault.core.items import Agreed
from vault.core.rules import faults_of
from vault.core.shop import Shop

SENT = (
    received(1, thing("C-1", "spent cupel", "100"), thing("C-2", "spent cupel", "200")),
    received(2, thing("C-3", "spent cupel", "300"), lot="L-2"),
    sent(3, "C-1 C-2 C-3", ref="V-1"),
)


def whole(says: str, gross: str = "") -> Line:
    return thing("", "", gross, says, how="settlement")


def alone(tag: str, says: str) -> Line:
    return thing(tag, "", "", says, how="settlement")


def agreed(shop: Shop, tag: str) -> dict[tuple[int, str], tuple[str, ...]]:
    """Give by settlement and metal the items that share a figure with this one."""
    return {(one.entry, one.metal): one.tags for one in shop.items[tag].agreed}


def settle(number: int, *lines: Line, ref: str = "V-1") -> Entry:
    return settled(number, *lines, ref=ref)


def test_a_line_without_a_tag_speaks_of_all_that_was_sent() -> None:
    shop = shop_of(*SENT, settle(4, whole("Ag 2, Au 0.1", "590")))
    everything = ("C-1", "C-2", "C-3")
    for tag in everything:
        assert agreed(shop, tag) == {(4, "Ag"): everything, (4, "Au"): everything}
    told = shop.items["C-1"].agreed[0]
    assert isinstance(told, Agreed)
    assert told.ref == "V-1"
    assert told.sayings[0].contents == said("Ag 2, Au 0.1")
    assert told.sayings[0].gross is not None
    assert told.sayings[0].gross.grams == 590.0
    assert shop.items["C-1"].sayings == []


def test_what_was_agreed_by_itself_is_left_out_of_the_rest_metal_by_metal() -> None:
    shop = shop_of(*SENT, settle(4, alone("C-1", "Ag 5"), whole("Ag 2, Au 0.1", "590")))
    assert agreed(shop, "C-1") == {(4, "Au"): ("C-1", "C-2", "C-3")}
    assert agreed(shop, "C-2")[4, "Ag"] == ("C-2", "C-3")


def test_what_an_earlier_settlement_agreed_by_itself_is_left_out_too() -> None:
    shop = shop_of(*SENT, settle(4, alone("C-1", "Ag 5")), settle(5, whole("Ag 2", "490")))
    assert agreed(shop, "C-1") == {}
    assert agreed(shop, "C-2") == {(5, "Ag"): ("C-2", "C-3")}


def test_a_later_figure_of_one_item_stands_beside_that_of_the_whole() -> None:
    shop = shop_of(*SENT, settle(4, whole("Ag 2", "590")), settle(5, alone("C-1", "Ag 5")))
    assert agreed(shop, "C-1") == {(4, "Ag"): ("C-1", "C-2", "C-3")}
    assert len(shop.items["C-1"].sayings) == 1


def test_a_whole_of_which_everything_was_agreed_by_itself_speaks_of_nothing() -> None:
    each = [alone(tag, "Ag 5") for tag in ("C-1", "C-2", "C-3")]
    shop = shop_of(*SENT, settle(4, *each, whole("Ag 2", "590")))
    assert all(not item.agreed for item in shop.items.values())


def test_drum_by_drum_is_one_whole() -> None:
    shop = shop_of(*SENT, settle(4, whole("Ag 2", "290"), whole("Ag 3", "300")))
    (told,) = shop.items["C-3"].agreed
    assert [one.contents for one in told.sayings] == [said("Ag 2"), said("Ag 3")]


def test_another_shipment_is_not_spoken_of() -> None:
    more = received(4, thing("C-9", "spent cupel", "100"), lot="L-9")
    shop = shop_of(*SENT, more, sent(5, "C-9", ref="V-2"), settle(6, whole("Ag 2", "590")))
    assert shop.items["C-9"].agreed == []
    assert shop.shipment("V-2") == ("C-9",)
    assert shop.shipment("V-7") == ()


def test_a_strike_takes_the_figure_of_the_whole_back() -> None:
    shop = shop_of(*SENT, settle(4, whole("Ag 2", "590")), struck(5, 4))
    assert all(not item.agreed for item in shop.items.values())


def test_one_more_entry_leaves_the_shop_before_it_as_it_was() -> None:
    before = shop_of(*SENT)
    after = before.after([settle(4, whole("Ag 2", "590"))])
    assert all(not item.agreed for item in before.items.values())
    assert all(item.agreed for item in after.items.values())
    back = after.after([struck(5, 4)])
    assert all(item.agreed for item in after.items.values())
    assert all(not item.agreed for item in back.items.values())
    assert after.copy().items["C-1"].agreed == after.items["C-1"].agreed


def test_a_figure_of_the_rest_leans_on_those_of_single_items_before_it() -> None:
    shop = shop_of(*SENT, settle(4, alone("C-1", "Ag 5")), settle(5, whole("Ag 2", "490")))
    assert shop.leaning_on(4) == [5]
    assert shop.leaning_on(3) == [4, 5]
    (fault,) = faults_of(struck(6, 4), shop)
    assert fault.sentence.startswith("Entry 4 cannot be struck while later entries lean on it: 5.")
    assert faults_of(struck(6, 5), shop) == []


def test_single_items_do_not_lean_on_a_figure_of_the_whole() -> None:
    shop = shop_of(*SENT, settle(4, whole("Ag 2", "590")), settle(5, alone("C-1", "Ag 5")))
    assert shop.leaning_on(4) == []
