from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from builders import FIRST_DAY, counted, received, sent, settled, shop_of, struck, thing, worked
from mixed_books import contents_of
from vault.core.flow import flow_of
from vault.core.shop import Shop
from vault.reckoning.reported import Agreement, Settled
from vault.reckoning.series import StockSeries, marks_of, sampled_days, series_of, stays

NAN = float("nan")
GRAMS = {"A": 100.0, "B": 60.0, "K": 90.0, "S": 4.0, "D": NAN}


def day(number: int) -> date:
    return FIRST_DAY + timedelta(days=number - 1)


def shop() -> Shop:
    """Day 1: A; 3: B; 4: A melted; 6: slag sent; 7: B missing; 9: B found; 10: D, unknown."""
    return shop_of(
        received(1, thing("A", "scrap")),
        received(3, thing("B", "bar"), lot="L-2"),
        worked(4, "smelt", used="A", made=[thing("K", "bar"), thing("S", "slag")]),
        sent(6, "S"),
        counted(7, missing="B"),
        counted(9, found=[thing("B")]),
        received(10, thing("D", "dust"), lot="L-3"),
    )


def series(days: list[date] | None = None, together: float = 0.0) -> StockSeries:
    here = shop()
    u = {("Ag", "K"): 0.3, ("Ag", "B"): 0.4, ("Ag", "S"): 1.0, ("Ag", "A"): 2.0}
    contents = contents_of(flow_of(here), {"Ag": GRAMS}, u=u, together=together)
    return series_of(here, contents, days)["Ag"]


def test_stock_is_what_was_on_hand_at_the_end_of_each_day() -> None:
    found = series()
    assert [one.toordinal() - FIRST_DAY.toordinal() + 1 for one in found.days] == [
        1,
        3,
        4,
        6,
        7,
        9,
        10,
    ]
    assert list(found.total_g) == [100, 160, 154, 150, 90, 150, 150]
    assert dict(zip(found.forms, found.fine_g, strict=True)) == {
        "bar": (0, 60, 150, 150, 90, 150, 150),
        "scrap": (100, 100, 0, 0, 0, 0, 0),
        "slag": (0, 0, 4, 0, 0, 0, 0),
    }
    assert dict(zip(found.forms, found.residues, strict=True)) == {
        "bar": False,
        "scrap": False,
        "slag": True,
    }
    assert list(found.residues_g) == [0, 0, 4, 0, 0, 0, 0]
    assert list(found.not_known) == [0, 0, 0, 0, 0, 0, 1]


def test_a_day_between_holds_what_the_last_entry_left() -> None:
    found = series([day(2), day(5), day(8), day(400)])
    assert list(found.total_g) == [100, 154, 90, 150]
    assert list(found.not_known) == [0, 0, 0, 1]


def test_a_day_before_everything_holds_nothing() -> None:
    found = series([date(2030, 1, 1)])
    assert (found.total_g, found.u_g, found.forms) == ((0,), (0,), ())


def test_the_band_carries_the_covariance() -> None:
    """On day 9 two bars, ± 0.3 and 0.4 g: together 0.5 g if free, 0.7 g if tied (own)."""
    assert series([day(9)]).u_g == pytest.approx((0.5,))
    assert series([day(9)], together=1.0).u_g == pytest.approx((0.7,))
    assert series([day(4)]).residues_u_g == pytest.approx((1.0,))


def test_an_item_made_and_used_on_one_day_was_never_on_hand_at_its_end() -> None:
    here = shop_of(
        received(1, thing("A", "scrap"), on="2031-01-01"),
        worked(2, "smelt", used="A", made=[thing("K", "bar")], on="2031-01-01"),
    )
    contents = contents_of(flow_of(here), {"Ag": {"A": 5.0, "K": 4.0}})
    assert series_of(here, contents)["Ag"].total_g == (4.0,)


def test_an_item_stays_until_it_leaves_and_again_from_when_it_is_found() -> None:
    here = shop()
    assert list(stays(here.items["B"], here)) == [(day(3), day(7)), (day(9), None)]
    assert list(stays(here.items["A"], here)) == [(day(1), day(4))]
    assert list(stays(here.items["S"], here)) == [(day(4), day(6))]


def test_a_book_of_nothing_has_no_series() -> None:
    assert series_of(Shop(), contents_of(flow_of(Shop()), {"Ag": {}})) == {}


def test_few_days_are_all_taken_and_many_are_spread_with_the_first_and_last() -> None:
    here = shop_of(*(received(n, thing(f"A{n}", "scrap"), lot=f"L{n}") for n in range(1, 301)))
    assert len(sampled_days(here, 300)) == 300
    some = sampled_days(here, 61)
    assert (len(some), some[0], some[-1]) == (61, day(1), day(300))
    gaps = np.diff([one.toordinal() for one in some])
    assert set(gaps.tolist()) <= {4, 5, 6}


def test_a_struck_entry_marks_no_day() -> None:
    here = shop_of(
        received(1, thing("A", "scrap")), received(2, thing("B", "scrap"), lot="L2"), struck(3, 2)
    )
    assert sampled_days(here) == (day(1),)


def test_shipments_and_settlements_mark_the_chart() -> None:
    here = shop_of(
        received(1, thing("A", "slag", "500"), thing("B", "slag", "200")),
        sent(2, "A B", ref="V-7"),
        settled(3, thing("A", says="Ag 20", how="settlement"), ref="V-7"),
        received(4, thing("C", "slag"), lot="L-2"),
        sent(5, "C", ref="V-8"),
        settled(6, thing(money="-30 EUR"), ref="V-8"),
    )
    agreed = Settled(
        3,
        day(3),
        "V-7",
        {"Ag": Agreement(9.6, 0.1, 10.0, 1.0), "Au": Agreement(1.0, 0.1, None, None)},
    )
    assert [(one.day, one.words) for one in marks_of(here, {3: agreed})] == [
        (day(2), "V-7 sent to Lowland, 2 items"),
        (day(3), "V-7 settled: silver 96 % of own estimate"),
        (day(5), "V-8 sent to Lowland, 1 item"),
        (day(6), "V-8 settled"),
    ]
