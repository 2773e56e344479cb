from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from builders import assayed, received, sent, settled, struck, thing
from mixed_books import contents_of
from vault.core.daybook import Entry
from vault.core.flow import Flow
from vault.core.knowledge import Figure, How
from vault.reckoning.contents import Contents
from vault.reckoning.reported import Report, month_ends, reports, settlements

JANUARY, FEBRUARY, MARCH = date(2031, 1, 31), date(2031, 2, 28), date(2031, 3, 31)


def reckon(flow: Flow) -> Contents:
    """Believe the last word on each item and nothing else: weight times fineness, ± 1 g."""
    grams = {}
    for item in flow.items.values():
        words = [said.fineness.share for _, said in item.said_of("Ag")]
        if item.gross is not None:
            grams[item.tag] = item.gross.grams * words[-1] if words else float("nan")
    u = {("Ag", tag): 1.0 for tag in grams}
    return contents_of(flow, {"Ag": grams}, u=u)


BOOK: list[Entry] = [
    received(1, thing("A", "slag", "1000", "Ag 10"), thing("B", "slag", "500"), on="2031-01-10"),
    received(2, thing("C", "bar", "50", "Ag 900"), lot="L-2", on="2031-01-31"),
    assayed(3, "B", "Ag 20", on="2031-02-10"),
    assayed(4, "A", "Ag 12", on="2031-02-20"),
    sent(5, "A B", ref="V-1", on="2031-03-05"),
    settled(64, thing("A", "", "990", "Ag 11", how="settlement"), thing(money="9 EUR")),
    received(80, thing("D", "bar", "10", "Ag 999"), lot="L-3"),
]


def told() -> list[Report]:
    return list(reports(BOOK, (JANUARY, FEBRUARY, MARCH), reckon))


def test_each_report_knows_only_the_facts_up_to_its_day() -> None:
    january, february, march = told()
    assert [one.last_entry for one in (january, february, march)] == [2, 4, 80]
    assert january.stock.metals["Ag"].figure.fine_ug == 55_000_000
    assert january.stock.metals["Ag"].not_known == ("B",)
    assert february.stock.metals["Ag"].figure.fine_ug == 67_000_000
    assert february.stock.residues["Ag"].figure == Figure(22_000_000, 1_414_214, How.WORKED_OUT)
    assert march.stock.metals["Ag"].figure.fine_ug == 54_990_000


def test_an_item_keeps_the_figure_of_its_first_report() -> None:
    january, february, march = told()
    assert january.first_figures["A"]["Ag"] == Figure(10_000_000, 1_000_000, How.WORKED_OUT)
    assert set(january.first_figures) == {"A", "C"}
    assert set(february.first_figures) == {"B"}
    assert set(march.first_figures) == {"D"}


def test_reports_go_on_from_earlier_ones() -> None:
    [march] = reports(BOOK, (MARCH,), reckon, already={"A", "B", "C"})
    assert march.stock == told()[2].stock
    assert set(march.first_figures) == {"D"}


def test_what_is_struck_later_was_known_until_then() -> None:
    book = [
        received(1, thing("A", "bar", "50", "Ag 900"), on="2031-01-10"),
        received(2, thing("B", "bar", "10", "Ag 900"), lot="L-2", on="2031-01-11"),
        struck(40, 2),
    ]
    january, february = reports(book, (JANUARY, FEBRUARY), reckon)
    assert january.stock.metals["Ag"].figure.fine_ug == 54_000_000
    assert february.stock.metals["Ag"].figure.fine_ug == 45_000_000


def test_reports_are_worked_out_one_by_one_so_that_they_can_be_stopped() -> None:
    asked: list[int] = []

    def counting(flow: Flow) -> Contents:
        asked.append(len(flow.items))
        return reckon(flow)

    first = next(reports(BOOK, (JANUARY, FEBRUARY, MARCH), counting))
    assert first.day == JANUARY
    assert asked == [3]


def test_months_end_where_they_ended_by_the_last_day() -> None:
    assert month_ends(date(2031, 1, 10), date(2031, 3, 30)) == (JANUARY, FEBRUARY)
    assert month_ends(date(2031, 1, 31), MARCH) == (JANUARY, FEBRUARY, MARCH)
    assert month_ends(date(2030, 12, 5), date(2031, 1, 30)) == (date(2030, 12, 31),)
    assert month_ends(date(2032, 2, 1), date(2032, 2, 29)) == (date(2032, 2, 29),)
    assert month_ends(MARCH, JANUARY) == ()


def test_a_settlement_is_set_beside_what_was_believed_just_before() -> None:
    [found] = settlements(BOOK, reckon)
    assert (found.entry, found.ref) == (64, "V-1")
    assert found.metals["Ag"].agreed_g == pytest.approx(990 * 0.011)
    assert found.metals["Ag"].own_g == pytest.approx(12.0)
    assert found.metals["Ag"].own_u_g == pytest.approx(1.0)


def test_a_settlement_of_what_was_not_known_has_nothing_beside_it() -> None:
    book = [
        received(1, thing("A", "slag", "1000"), thing("B", "slag", "1000", "Ag 3")),
        sent(2, "A B", ref="V-1"),
        settled(3, thing("A", says="Ag 10", how="settlement"), thing("B", says="Ag 2")),
    ]
    [found] = settlements(book, reckon)
    assert found.metals["Ag"].agreed_g == pytest.approx(12.0)
    assert found.metals["Ag"].own_g is None


def test_a_settlement_of_the_rest_adds_to_that_of_single_items() -> None:
    """Agreed are 12 g of A alone and 500 g of the rest at 30 ‰; the doubts by hand."""
    agreed = [
        thing("A", says="Ag 12 ± 0.5", how="settlement"),
        thing("", "", "500", "Ag 30 ± 1", how="settlement"),
    ]
    [found] = settlements([*BOOK[:5], settled(64, *agreed)], reckon)
    silver = found.metals["Ag"]
    assert silver.agreed_g == pytest.approx(12.0 + 15.0)
    assert silver.agreed_u_g == pytest.approx(np.hypot(0.5, 0.5), rel=1e-3)
    assert silver.own_g == pytest.approx(12.0 + 10.0)
    assert silver.own_u_g == pytest.approx(np.sqrt(2.0))


def test_a_settlement_without_a_weight_anywhere_is_set_beside_nothing() -> None:
    book = [
        received(1, thing("A", "slag"), thing("B", "slag", "1000", "Ag 3")),
        sent(2, "A B", ref="V-1"),
        settled(3, thing("", says="Ag 10", how="settlement")),
    ]
    assert list(settlements(book, reckon)) == []


def test_settlements_looked_at_already_cost_no_reckoning() -> None:
    def never(flow: Flow) -> Contents:
        raise AssertionError(flow)

    assert list(settlements(BOOK, never, already=[64])) == []
