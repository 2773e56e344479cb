"""The handbook's circumstances; what smelting here gives follows from what residues keep."""

from __future__ import annotations

import pytest

from vault.reckoning.circumstances import usual, usual_working
from vault.reckoning.handbook import handbook


def test_recovery_here_is_what_slag_cupel_and_loss_leave() -> None:
    """Silver by hand: (1 − 0.10 − 0.0015)(1 − 0.010 − 0.003) = 0.8868."""
    working = usual_working(["Ag"])
    recovered, u = working.recovery["Ag"]
    assert recovered == pytest.approx((1 - 0.10 - 0.0015) * (1 - 0.010 - 0.003))
    assert u == pytest.approx(0.085, abs=0.001)
    assert working.kept["Ag"] == pytest.approx(0.10 + 0.8985 * 0.010)
    assert recovered + working.kept["Ag"] < 1.0


def test_every_priced_metal_has_a_spread_and_those_without_one_a_wide_one() -> None:
    found = usual("EUR", {"Ag": 0.9, "Au": 75.0, "Rh": 150.0})
    assert set(found.price_spread) == {"Ag", "Au", "Rh"}
    assert found.price_spread["Au"] < found.price_spread["Ag"] < found.price_spread["Rh"]


def test_the_handbook_s_circumstances_are_taken_as_they_stand() -> None:
    found, table = usual("EUR", {"Ag": 0.9}), handbook("sending")
    assert found.interest == table["interest"]["per_year"]
    assert found.space_per_kg_week == table["space"]["per_kg_week"]
    assert found.wage_per_hour == table["wage"]["per_hour"]
    assert found.sampling is not None
    assert found.sampling.assay == table["sampling"]["assay"]
