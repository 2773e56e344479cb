"""The fixed draws behind every choice: exact in mean and covariance, the same each time."""

from __future__ import annotations

import numpy as np
import pytest

from vault.reckoning.draws import jointly, normal_draws, prices_at

# The first draw of three quantities, as it came out when this was written.
AS_MADE = (0.8332668, 1.5957112, 1.757828)


def test_draws_have_exactly_no_mean_and_the_unit_covariance() -> None:
    drawn = normal_draws(4096, 9)
    assert np.abs(drawn.mean(axis=1)).max() < 1e-12
    assert np.abs(drawn @ drawn.T / 4096 - np.eye(9)).max() < 1e-12


def test_each_quantity_keeps_close_to_its_slices_of_the_normal_distribution() -> None:
    """Kolmogorov's distance of 4096 random draws would be about 0.014 on average."""
    for row in normal_draws(4096, 9):
        below = np.searchsorted(np.sort(row), [-1.644854, -1.0, 0.0, 1.0, 1.644854]) / 4096
        assert below == pytest.approx([0.05, 0.158655, 0.5, 0.841345, 0.95], abs=0.004)


def test_the_same_question_has_the_same_draws_to_the_last_bit() -> None:
    first = normal_draws(512, 5).tobytes()
    normal_draws.cache_clear()
    assert normal_draws(512, 5).tobytes() == first


def test_the_draws_are_those_of_the_day_they_were_made() -> None:
    """Three figures of our own, so that an altered seed or generator is noticed."""
    drawn = normal_draws(1000, 3)
    assert drawn[:, 0] == pytest.approx(AS_MADE, abs=1e-6)


def test_joint_draws_have_the_covariance_asked_for_also_where_it_is_singular() -> None:
    covariance = np.array([[4.0, 2.0, 4.0], [2.0, 1.0, 2.0], [4.0, 2.0, 4.0]])
    drawn = jointly(np.array([1.0, 2.0, 3.0]), covariance, normal_draws(2048, 3))
    assert np.cov(drawn, bias=True) == pytest.approx(covariance, abs=1e-9)
    assert drawn.mean(axis=1) == pytest.approx([1.0, 2.0, 3.0])


@pytest.mark.parametrize("years", [0.0, 0.25, 1.0, 5.0])
def test_a_price_keeps_its_mean_and_spreads_with_the_root_of_time(years: float) -> None:
    drawn = prices_at(0.9, 0.30, years, normal_draws(4096, 4)[2])
    assert drawn.min() > 0.0
    assert drawn.mean() == pytest.approx(0.9, rel=2e-3)
    assert np.log(drawn).std() == pytest.approx(np.sqrt(np.log(1.09) * years))


def test_a_spread_of_a_year_is_the_relative_standard_deviation_after_a_year() -> None:
    drawn = prices_at(80.0, 0.16, 1.0, normal_draws(4096, 4)[1])
    assert drawn.std() / drawn.mean() == pytest.approx(0.16, rel=0.01)
