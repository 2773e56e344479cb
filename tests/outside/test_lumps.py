"""Sample weights for lumpy material against a published table after Gy."""

from __future__ import annotations

from math import sqrt

import pytest

from vault.reckoning.guesses import sampling_constant
from vault.reckoning.handbook import handbook
from vault.reckoning.lumps import lumps_of, sample_share_u, sample_wanted, sample_wanted_g


@pytest.mark.parametrize(
    ("largest_cm", "published_g"), [(2.5, 1_369_632), (0.5, 24_501), (0.1, 438), (0.004, 0.07)]
)
def test_sample_weights_of_a_lead_ore_are_those_of_the_table(
    largest_cm: float, published_g: float
) -> None:
    """B. A. Wills (1982), sample size by Gy's formula, as a worksheet of JKTech (2005) has it.

    Ore of 5 % lead, galena (86.6 % lead, 7.5 g/cm³) in gangue of 2.65 g/cm³, free below 0.015 cm;
    2 % relative at 95 % confidence over four stages, and twice the weight for safety (published;
    read in a stored copy). Each stage may take a quarter of the variance.
    """
    lumps = lumps_of(
        part=0.05 / 0.866,
        density=7.5,
        rest_density=2.65,
        largest_cm=largest_cm,
        grain_cm=0.015,
    )
    u = 0.02 / 1.96 / sqrt(4)
    weight = 2.0 * sample_wanted_g(lumps, 1e12, u)
    assert weight == pytest.approx(published_g, rel=0.001 if published_g > 1 else 0.05)


def test_slag_with_prills_is_off_by_7_percent_at_100_grams_and_sweeps_by_4_5() -> None:
    """Common practice, no source; the handbook's constants say the same."""
    slag, sweeps = (sampling_constant(form) for form in ("slag", "sweeps"))
    assert sample_share_u(slag, 100.0, 1e9) == pytest.approx(0.07, abs=0.001)
    assert sample_share_u(sweeps, 100.0, 1e9) == pytest.approx(0.045, abs=0.001)


def test_the_whole_is_its_own_sample() -> None:
    assert sample_share_u(0.5, 300.0, 300.0) == 0.0
    assert sample_wanted_g(0.5, 300.0, 0.0) == pytest.approx(300.0)


@pytest.mark.parametrize("lumps", [0.02, 0.2, 0.5])
@pytest.mark.parametrize("whole_g", [150.0, 5_000.0, 200_000.0])
@pytest.mark.parametrize("u", [0.005, 0.02, 0.1])
def test_a_sample_as_advised_adds_no_more_than_was_asked_and_little_less(
    lumps: float, whole_g: float, u: float
) -> None:
    found = sample_wanted(lumps, whole_g, u)
    assert found.increments == handbook("sending")["sampling"]["increments"]
    assert found.sample_g == pytest.approx(found.each_g * found.increments)
    assert found.sample_g <= whole_g * (1 + 1e-9)
    assert found.u <= u * (1 + 1e-9)
    exact = sample_wanted_g(lumps, whole_g, u)
    assert exact * (1 - 1e-9) <= found.sample_g <= 1.11 * exact
    assert found.u == pytest.approx(sample_share_u(lumps, found.sample_g, whole_g))


def test_crushing_to_half_the_size_makes_an_eighth_of_the_sample_do_where_metal_lies_free() -> None:
    coarse, fine = (
        lumps_of(part=0.01, density=10.5, rest_density=2.8, largest_cm=size, grain_cm=1.0)
        for size in (0.4, 0.2)
    )
    assert coarse / fine == pytest.approx(8.0)
