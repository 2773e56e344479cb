from __future__ import annotations

from dataclasses import replace

import pytest

from builders import (
    assayed,
    counted,
    day,
    entry,
    mass,
    moved,
    priced,
    received,
    returned,
    sent,
    settled,
    shop_of,
    sold,
    struck,
    thing,
    weighed,
    when,
    worked,
)
from vault.core.daybook import Entry, Line, Role
from vault.core.errors import RuleBroken
from vault.core.items import LEFT_THE_SHOP
from vault.core.shop import Shop, later

RECEIVED = received(1, thing("R-1", "filings", "100", place="bench"), thing("R-2", "scrap", "50"))
POURED = worked(2, "pour", used="R-1", made=[thing("B-1", "bar", "99")])


def test_an_empty_shop_has_nothing() -> None:
    shop = Shop()
    assert (shop.items, shop.latest, shop.last_number) == ({}, None, 0)


def test_a_work_uses_and_makes() -> None:
    shop = shop_of(RECEIVED, POURED)
    assert shop.items["R-1"].used_by == 2
    assert shop.items["B-1"].made_by == 2
    assert set(shop.given) == {"R-1", "R-2", "B-1"}
    assert shop.latest == day(2)


def test_a_lot_may_come_in_two_times() -> None:
    shop = shop_of(RECEIVED, received(2, thing("R-3", "scrap")), struck(3, 2))
    assert shop.lots["L-1"].received_by == [1]
    shop = shop_of(RECEIVED, struck(2, 1))
    assert shop.lots == {}


def test_what_leaves_the_shop_is_known_by_its_way() -> None:
    shop = shop_of(RECEIVED, sent(2, "R-1"), returned(3, "R-2"))
    assert {item.state for item in shop.items.values()} <= LEFT_THE_SHOP
    assert shop.items["R-1"].passages[0].ref == "V-1"
    assert shop.sent == {"V-1": [2]}


def test_a_settlement_tells_contents_and_no_weight_of_ours() -> None:
    shop = shop_of(
        RECEIVED,
        sent(2, "R-1"),
        settled(3, thing("R-1", "", "98", "Ag 900", how="settlement"), thing(money="-30.00 EUR")),
    )
    item = shop.items["R-1"]
    assert item.gross == mass("100")
    assert item.sayings[-1].gross == mass("98")
    assert shop.settled == {"V-1": [3]}


def test_an_assay_tells_the_weight_it_was_made_at() -> None:
    line = replace(thing("R-1", gross="2", says="Ag 900", how="ICP"), role=Role.OF)
    item = shop_of(RECEIVED, entry(2, "assay", line)).items["R-1"]
    assert item.sayings[-1].gross == mass("2")


def test_a_container_lies_where_it_was_put_and_its_items_with_it() -> None:
    shop = shop_of(RECEIVED, moved(2, "bench", "back room"), moved(3, "back room", "house"))
    assert shop.place_of(shop.items["R-1"]) == ("bench", "back room", "house")
    assert shop.place_of(shop.items["R-2"]) == ()
    assert shop_of(RECEIVED, moved(2, "bench", "back room"), struck(3, 2)).places_around(
        "bench"
    ) == ("bench",)


def test_only_a_move_makes_a_container() -> None:
    shop = Shop()
    shop.take(entry(1, "price", replace(thing("Ag", money="1 EUR"), role=Role.LINE)))
    assert shop.containers == {}


@pytest.mark.parametrize(
    "done",
    [
        pytest.param([weighed(3, "R-2", "51")], id="weighed"),
        pytest.param([assayed(3, "R-2", "Ag 900")], id="assayed"),
        pytest.param([moved(3, "R-2", "safe")], id="moved"),
        pytest.param([sent(3, "R-2")], id="sent"),
        pytest.param([returned(3, "R-2")], id="returned"),
        pytest.param([sold(3, "R-2")], id="sold"),
        pytest.param([counted(3, missing="R-2")], id="missing"),
        pytest.param([counted(3, found=[thing("R-2", gross="50")])], id="counted"),
        pytest.param([counted(3, extra=[thing("X-1", "dust")])], id="found"),
        pytest.param([worked(3, "pour", used="R-2", made=[thing("B-2", "bar")])], id="poured"),
        pytest.param([received(3, thing("R-3", "scrap"), lot="L-2")], id="received"),
        pytest.param([priced(3, "Ag", "1 EUR")], id="priced"),
    ],
)
def test_an_entry_followed_by_its_strike_leaves_everything_as_before(done: list[Entry]) -> None:
    before = shop_of(RECEIVED, POURED)
    after = shop_of(RECEIVED, POURED, *done, struck(4, 3))
    assert after.items == before.items
    assert after.lots == before.lots
    assert {ref: numbers for ref, numbers in after.sent.items() if numbers} == before.sent
    assert after.struck == {3: 4}
    # A tag stays given, whatever happens to its entry.
    assert after.given.keys() >= before.given.keys()


def test_a_strike_of_a_settlement_opens_the_shipment_again() -> None:
    shop = shop_of(RECEIVED, sent(2, "R-1"), settled(3, thing(money="1 EUR")), struck(4, 3))
    assert shop.settled == {"V-1": []}
    assert shop.leaning_on(2) == []


@pytest.mark.parametrize(
    ("entries", "number", "leaning"),
    [
        ([POURED], 1, [2]),
        ([POURED, weighed(3, "R-2", "51"), struck(4, 2), struck(5, 3)], 1, []),
        ([sent(2, "R-1"), settled(3, thing(money="1 EUR"))], 2, [3]),
        ([sent(2, "R-1"), assayed(3, "R-1", "Ag 9")], 2, [3]),
        ([sent(2, "R-1", ref="")], 2, []),
        ([counted(2, missing="R-1"), counted(3, found=[thing("R-1")]), sold(4, "R-1")], 3, [4]),
        ([counted(2, missing="R-1"), counted(3, found=[thing("R-1")])], 3, []),
        ([moved(2, "bench", "safe")], 2, []),
    ],
)
def test_what_leans_on_an_entry_is_listed(
    entries: list[Entry], number: int, leaning: list[int]
) -> None:
    assert shop_of(RECEIVED, *entries).leaning_on(number) == leaning


@pytest.mark.parametrize(
    ("reached", "then", "latest"),
    [
        ("2031-01-01", "2031-01-02", "2031-01-02"),
        ("2031-01-01 09:00", "2031-01-01", "2031-01-01 09:00"),
        ("2031-01-01", "2031-01-01 09:00", "2031-01-01 09:00"),
        ("2031-01-01 09:00", "2031-01-01 10:00", "2031-01-01 10:00"),
        ("2031-01-01 10:00", "2031-01-01 09:00", "2031-01-01 10:00"),
        ("2031-01-02", "2031-01-01 09:00", "2031-01-02"),
    ],
)
def test_a_bare_day_does_not_forget_the_time_reached(reached: str, then: str, latest: str) -> None:
    assert later(when(reached), when(then)) == when(latest)
    assert later(None, when(then)) == when(then)


def test_a_refused_entry_changes_nothing() -> None:
    with pytest.raises(RuleBroken):
        shop_of(RECEIVED, entry(2, "move", Line(Role.OF, tag="R-9", place="safe")))


def test_a_copy_goes_on_alone() -> None:
    shop = shop_of(RECEIVED, moved(2, "bench", "safe"), sent(3, "R-1"))
    copy = shop.copy()
    assert vars(copy) == vars(shop)
    before = vars(shop.copy())
    for one in (settled(4, thing(money="1 EUR")), struck(5, 4), moved(6, "bench", "house")):
        copy.take(one)
    copy.take(received(7, thing("R-7", "bar", place="attic")))
    assert vars(shop) == before
    assert vars(copy) != before
