"""Weights of what was not weighed follow from the works around it."""

from __future__ import annotations

import numpy as np
import pytest

from builders import received, thing, worked
from unit.reckoning.grounds import facts
from vault.core.daybook import Entry
from vault.reckoning.weights import weights_of


def weight_of(tag: str, *entries: Entry) -> tuple[float, float]:
    found = facts(*entries)
    weights = weights_of(found)
    place = found.tags.index(tag)
    return float(weights.gross_g[place]), float(weights.u_g[place])


def test_a_weight_off_the_scale_stands_as_it_is() -> None:
    assert weight_of("A", received(1, thing("A", "sweeps", "500 ± 0.02"))) == (500.0, 0.02)


def test_the_one_part_that_was_not_weighed_is_what_the_others_leave() -> None:
    grams, u = weight_of(
        "B",
        received(1, thing("A", "sweeps", "500 ± 0.02")),
        worked(2, "divide", used="A", made=[thing("B", "sweeps"), thing("C", "sweeps", "300")]),
    )
    assert grams == pytest.approx(200.0)
    assert 1.0 < u < 5.0


def test_two_parts_without_weight_share_the_rest_with_a_wide_doubt() -> None:
    entries = (
        received(1, thing("A", "sweeps", "500")),
        worked(
            2,
            "divide",
            used="A",
            made=[thing("B", "sweeps"), thing("C", "sweeps"), thing("D", "sweeps", "300")],
        ),
    )
    grams, u = weight_of("B", *entries)
    assert grams == pytest.approx(100.0)
    assert u == pytest.approx(200.0 / np.sqrt(12.0), rel=0.01)


def test_slag_weighs_flux_after_its_gas_and_what_the_button_left() -> None:
    """50 g of soda ash give off 41.52 % (by atomic weights); 300 g fed gave 200 g of metal."""
    grams, u = weight_of(
        "S",
        received(1, thing("A", "sweeps", "300")),
        worked(
            2,
            "smelt",
            used="A",
            added=[thing("", "soda ash", "50")],
            made=[thing("K", "button", "200"), thing("S", "slag")],
        ),
    )
    assert grams == pytest.approx(100.0 + 50.0 * (1 - 0.4152))
    assert u > 0.1 * grams


def test_a_spent_cupel_carries_its_cupel_and_the_lead_as_litharge() -> None:
    """Lead gains 7.722 % as litharge (by atomic weights)."""
    grams, _ = weight_of(
        "C",
        received(1, thing("A", "button", "100")),
        worked(
            2,
            "cupel",
            used="A",
            added=[thing("", "lead", "200"), thing("", "new cupel", "300")],
            made=[thing("B", "bead", "90"), thing("C", "spent cupel")],
        ),
    )
    assert grams == pytest.approx(10.0 + 300.0 + 200.0 * 1.07722)


def test_what_was_used_unweighed_follows_from_what_it_gave() -> None:
    grams, u = weight_of(
        "A",
        received(1, thing("A", "grain")),
        worked(2, "remelt", used="A", made=[thing("B", "bar", "250")]),
    )
    assert grams == pytest.approx(250.0)
    assert u < 10.0


def test_what_burning_leaves_is_known_only_widely() -> None:
    grams, u = weight_of(
        "B",
        received(1, thing("A", "sweeps", "400")),
        worked(2, "burn off", used="A", made=[thing("B", "ash")]),
    )
    assert 0.0 < grams < 400.0
    assert u > 0.3 * grams


def test_where_neither_metal_nor_slag_was_weighed_either_may_be_anything() -> None:
    grams, u = weight_of(
        "K",
        received(1, thing("A", "sweeps", "400")),
        worked(2, "smelt", used="A", made=[thing("K", "button"), thing("S", "slag")]),
    )
    assert grams == pytest.approx(200.0)
    assert u > 100.0


def test_what_no_closure_reaches_has_no_weight() -> None:
    grams, _ = weight_of("A", received(1, thing("A", "dust")))
    assert np.isnan(grams)


def test_a_flux_that_was_not_weighed_leaves_the_slag_without_weight() -> None:
    grams, _ = weight_of(
        "S",
        received(1, thing("A", "sweeps", "300")),
        worked(
            2,
            "smelt",
            used="A",
            added=[thing("", "soda ash")],
            made=[thing("K", "button", "200"), thing("S", "slag")],
        ),
    )
    assert np.isnan(grams)
