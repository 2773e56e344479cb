from __future__ import annotations

import doctest

import pytest

from builders import received, sent, shop_of, thing, worked
from mixed_books import contents_of
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.reckoning import micrograms
from vault.reckoning.micrograms import shared_out
from vault.reckoning.stock import Stock, stock_of, sums_of

NAN = float("nan")
GRAMS = {"A": 100.0, "B1": 60.0000004, "B2": 30.0000004, "S1": 4.0, "S2": NAN, "C1": 2.0, "V": 1.0}


def shop() -> Flow:
    return flow_of(
        shop_of(
            received(1, thing("A", "sweeps", "500")),
            worked(
                2,
                "smelt",
                used="A",
                made=[
                    thing("B1", "bar", "62", place="safe"),
                    thing("B2", "bar", "31", place="tray"),
                    thing("S1", "slag", "80", place="drum D"),
                    thing("S2", "slag", place="drum D"),
                    thing("C1", "spent cupel", "90", place="drum D"),
                    thing("V", "slag", "3", place="drum D"),
                ],
            ),
            sent(3, "V"),
        )
    )


def stock(together: float = 0.0) -> Stock:
    flow = shop()
    u = {("Ag", "B1"): 0.3, ("Ag", "B2"): 0.4, ("Ag", "S1"): 1.0, ("Ag", "C1"): 1.0}
    return stock_of(flow.items.values(), contents_of(flow, {"Ag": GRAMS}, u=u, together=together))


def test_what_is_on_hand_is_summed_and_what_is_used_or_gone_is_not() -> None:
    found = stock().metals["Ag"]
    assert found.figure.fine_ug == 96_000_000
    assert found.items == 4
    assert found.not_known == ("S2",)


def test_the_forms_add_up_to_the_metal_in_whole_micrograms() -> None:
    found = stock()
    forms = {form: one.figure.fine_ug for (_, form), one in found.forms.items()}
    assert forms == {"bar": 90_000_000, "slag": 4_000_000, "spent cupel": 2_000_000}
    assert sum(amount or 0 for amount in forms.values()) == found.metals["Ag"].figure.fine_ug


def test_the_doubt_of_a_sum_carries_the_covariance() -> None:
    """Two bars ± 0.3 and 0.4 g: 0.5 g together when free of each other, 0.7 g when tied (own)."""
    assert stock().forms["Ag", "bar"].figure.u_ug == 500_000
    assert stock(together=1.0).forms["Ag", "bar"].figure.u_ug == 700_000


def test_residues_are_summed_by_place_and_form() -> None:
    found = stock()
    assert found.residues["Ag"].figure == Figure(6_000_000, 1_414_214, How.WORKED_OUT)
    slag, cupels = found.containers
    assert (slag.place, slag.form, slag.tags) == ("drum D", "slag", ("S1", "S2"))
    assert (slag.gross_ug, slag.not_weighed) == (80_000_000, 1)
    assert slag.not_known == ("S2",)
    assert slag.contents["Ag"].figure.fine_ug == 4_000_000
    assert cupels.contents["Ag"].figure.fine_ug == 2_000_000
    assert found.not_known == ("S2",)


def test_a_form_of_which_nothing_is_known_is_not_known_and_never_nothing() -> None:
    flow = shop()
    found = sums_of(contents_of(flow, {"Ag": GRAMS}), "Ag", {"slag": ["S2"], "none": []})
    assert found["slag"].figure == NOTHING_KNOWN
    assert found["slag"].not_known == ("S2",)
    assert "none" not in found


@pytest.mark.parametrize("total", [7, 8, 9, -3, 1000])
def test_parts_are_rounded_to_add_up(total: int) -> None:
    parts = {"a": 2.6e-6, "b": 2.6e-6, "c": 2.8e-6}
    assert sum(shared_out(parts, total).values()) == total


def test_the_largest_remainders_are_rounded_up() -> None:
    assert shared_out({"a": 2.6e-6, "b": 2.6e-6, "c": 2.8e-6}, 8) == {"a": 3, "b": 2, "c": 3}
    assert shared_out({"loss": -1.4e-6, "rest": 5.4e-6}, 4) == {"loss": -1, "rest": 5}


def test_the_examples_of_rounding_are_true() -> None:
    found = doctest.testmod(micrograms)
    assert found.attempted > 0
    assert found.failed == 0
