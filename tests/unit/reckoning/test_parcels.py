from __future__ import annotations

from datetime import date
from math import sqrt

import pytest

from builders import received, shop_of, thing
from mixed_books import contents_of
from vault.core.flow import Flow, flow_of
from vault.core.makeup import makeup_from_text
from vault.reckoning.gathering import gathering_of
from vault.reckoning.guesses import sampling_constant
from vault.reckoning.parcels import Parcelled, making_of, parcelled

NAN = float("nan")


def drum() -> Flow:
    return flow_of(
        shop_of(
            received(
                1,
                thing("C1", "spent cupel", "400"),
                thing("C2", "spent cupel", "600"),
                thing("C3", "spent cupel"),
                thing("D1", "dust", "50"),
                on="2031-03-03",
            )
        )
    )


def taken(together: float = 0.0, au: dict[str, float] | None = None) -> Parcelled:
    flow = drum()
    grams = {"Ag": {"C1": 4.0, "C2": 6.0, "C3": 1.0, "D1": NAN}, "Au": au or {}}
    u = {("Ag", "C1"): 0.3, ("Ag", "C2"): 0.4}
    contents = contents_of(flow, grams, u=u, together=together)
    return parcelled(list(flow.items.values()), contents)


def test_a_total_and_its_doubt_carry_the_covariance_of_the_items() -> None:
    """0.3 and 0.4 g: 0.5 g apart, 0.7 g where they err together."""
    assert taken().residues.covariance_g2[0][0] == pytest.approx(0.25)
    assert taken(together=1.0).residues.covariance_g2[0][0] == pytest.approx(0.49)
    assert taken().residues.fine_g == (11.0,)


def test_a_thing_of_which_nothing_is_known_is_named_and_its_weight_is_not_counted() -> None:
    found = taken()
    assert found.residues.left_out == ("D1",)
    assert found.residues.received_g == 1000.0
    assert found.items == 3


def test_what_has_no_weight_is_named() -> None:
    assert taken().not_weighed == ("C3",)


def test_a_metal_known_of_some_is_told_apart_from_one_known_of_none() -> None:
    some = taken(au={"C1": 0.1, "C2": NAN})
    assert (some.residues.metals, some.residues.not_known) == (("Ag", "Au"), ())
    assert some.part_not_known == {"Au": ("C2",)}
    none = taken(au={"C1": NAN, "C2": NAN})
    assert (none.residues.metals, none.residues.not_known) == (("Ag",), ("Au",))
    assert none.part_not_known == {}


def made_of(**said: str) -> Parcelled:
    """1000 g of cupels and 250 g of slag."""
    lot = received(
        1, thing("C1", "spent cupel", "1000"), thing("S1", "slag", "250"), on="2031-03-03"
    )
    flow = flow_of(shop_of(lot))
    contents = contents_of(flow, {"Ag": {"C1": 4.0, "S1": 6.0}}, u={})
    makeup = {form.replace("_", " "): makeup_from_text(text) for form, text in said.items()}
    return parcelled(list(flow.items.values()), contents, makeup)


def test_dry_share_and_elements_of_two_forms_are_taken_by_their_weights() -> None:
    found = made_of(spent_cupel="dry 98 %, Pb 50 %", slag="dry 90 %, Pb 10 %").residues
    assert found.dry_share == pytest.approx((4 * 0.98 + 0.90) / 5)
    assert found.shares == {"Pb": pytest.approx((4 * 0.5 + 0.1) / 5)}


def test_what_is_said_of_one_form_alone_is_not_known_of_both_together() -> None:
    found = made_of(spent_cupel="dry 98 %, Pb 50 %, As 1 %", slag="As 2 %").residues
    assert found.dry_share is None
    assert found.shares == {"As": pytest.approx((4 * 0.01 + 0.02) / 5)}
    assert (taken().residues.dry_share, taken().residues.shares) == (None, {})


def test_the_lumpiest_form_in_it_sets_how_hard_it_is_to_sample() -> None:
    assert taken().residues.lumps_g == sampling_constant("spent cupel")


def test_what_is_made_each_week_is_told_of_the_metals_asked_for() -> None:
    flow = drum()
    cupels = [item for item in flow.items.values() if item.form == "spent cupel"]
    contents = contents_of(flow, {"Ag": {"C1": 4.0, "C2": 6.0, "C3": 1.0}, "Au": {"C1": 1.0}})
    gathering = gathering_of(cupels, contents, until=date(2031, 3, 5), most_weeks=26)
    making = making_of(gathering, ["Ag"])
    assert making is not None
    assert making.weight_g == 1000.0
    assert set(making.fine_g) == {"Ag"}
    assert making.fine_g["Ag"][0] == pytest.approx(11.0)
    assert sqrt(making.weight_u_g) > 0


def test_a_shop_that_makes_none_adds_none() -> None:
    flow = drum()
    contents = contents_of(flow, {"Ag": {}})
    nothing = gathering_of([], contents, until=date(2031, 3, 5), most_weeks=26)
    assert making_of(nothing, ["Ag"]) is None
