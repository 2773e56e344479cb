from __future__ import annotations

import pytest

from builders import counted, priced, received, shop_of, struck, thing, worked
from vault.core.flow import flow_of, work_of, works_of

BOOK = (
    received(1, thing("R-1", "filings", "100"), thing("R-2", "scrap", "50")),
    worked(
        2,
        "smelt",
        used="R-1",
        added=[thing("", "borax", "40", "Ag 1")],
        made=[thing("K-1", "button"), thing("S-1", "slag")],
    ),
    worked(3, "pour", used="K-1 R-2", made=[thing("B-1", "bar")]),
    counted(4, extra=[thing("X-1", "dust")]),
    worked(5, "smelt", used="S-1", made=[thing("K-2", "button")]),
    worked(6, "crush", used="X-1", made=[thing("X-2", "dust")]),
    struck(7, 6),
)


def test_works_are_in_order_and_struck_ones_left_out() -> None:
    flow = flow_of(shop_of(*BOOK))
    assert list(flow.works) == [2, 3, 5]
    assert flow.works[2].used == ("R-1",)
    assert flow.works[2].made == ("K-1", "S-1")
    assert [added.form for added in flow.works[2].added] == ["borax"]


def test_an_item_knows_its_maker_and_its_user() -> None:
    flow = flow_of(shop_of(*BOOK))
    assert flow.maker_of("R-1") is None
    assert flow.maker_of("B-1") is flow.works[3]
    assert flow.user_of("R-1") is flow.works[2]
    assert flow.user_of("B-1") is None
    assert flow.user_of("X-1") is None


def test_ancestors_and_descendants_reach_through_any_depth() -> None:
    flow = flow_of(shop_of(*BOOK))
    assert flow.ancestors_of("B-1") == {"K-1", "R-2", "R-1"}
    assert flow.descendants_of("R-1") == {"K-1", "S-1", "B-1", "K-2"}
    assert flow.ancestors_of("R-1") == set()


def test_an_item_reached_on_two_ways_is_reached_once() -> None:
    flow = flow_of(
        shop_of(
            received(1, thing("R-1", "filings")),
            worked(2, "sort", used="R-1", made=[thing("A", "scrap"), thing("B", "scrap")]),
            worked(3, "pour", used="A B", made=[thing("C", "bar")]),
        )
    )
    assert flow.ancestors_of("C") == {"A", "B", "R-1"}


def test_sources_are_what_no_work_made() -> None:
    assert [item.tag for item in flow_of(shop_of(*BOOK)).sources()] == ["R-1", "R-2", "X-1"]


def test_only_a_work_is_a_work() -> None:
    with pytest.raises(ValueError, match="entry 1 is no work"):
        work_of(priced(1, "Ag", "1 EUR"))
    assert works_of([priced(1, "Ag", "1 EUR")], {}) == {}
