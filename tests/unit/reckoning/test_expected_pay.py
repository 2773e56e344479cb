"""Exact expectations of what is paid for a doubtful content, against numerical integration."""

from __future__ import annotations

import doctest
from itertools import pairwise
from types import ModuleType

import numpy as np
import pytest
from scipy.integrate import quad

from terms import pays
from vault.core.terms_sheets import MetalTerms
from vault.reckoning import expected_pay, lumps, payable
from vault.reckoning.expected_pay import expected_payable, payable_moments
from vault.reckoning.payable import payable_of, pieces_of

WEIGHT_G = 10_000.0
TERMS = [
    pays("Ag", 0.95),
    pays("Ag", 0.95, deduction=0.002),
    pays("Ag", 0.90, deduction=0.002, lesser=True),
    pays("Ag", 0.80, deduction=0.001, least_grade=0.004, bands=[(0.006, 0.85), (0.02, 0.9)]),
    pays("Ag", 0.80, deduction=0.001, lesser=True, least_fine_g=40.0, bands=[(0.02, 0.95)]),
]


def integrated(terms: MetalTerms, mean: float, u: float, power: int) -> float:
    """The same moment by quadrature of the density, piece by piece between the breaks."""

    def density(content: float) -> float:
        height = np.exp(-0.5 * ((content - mean) / u) ** 2) / (u * np.sqrt(2.0 * np.pi))
        return float(payable_of(terms, content, WEIGHT_G) ** power * height)

    breaks = np.clip(pieces_of(terms, WEIGHT_G).starts, 0.0, mean + 10.0 * u)
    ends = np.unique(np.concatenate([breaks, [max(mean - 10.0 * u, 0.0), mean + 10.0 * u]]))
    return sum(quad(density, a, b)[0] for a, b in pairwise(ends.tolist()))


@pytest.mark.parametrize("terms", TERMS)
@pytest.mark.parametrize(
    ("mean", "u"), [(20.0, 15.0), (50.0, 10.0), (-3.0, 5.0), (45.0, 0.5), (300.0, 60.0)]
)
def test_mean_and_variance_are_those_of_the_integral(
    terms: MetalTerms, mean: float, u: float
) -> None:
    expected, variance = payable_moments(pieces_of(terms, WEIGHT_G), mean, u)
    first, second = (integrated(terms, mean, u, power) for power in (1, 2))
    assert float(expected) == pytest.approx(first, rel=1e-6, abs=1e-9)
    assert float(variance) == pytest.approx(second - first**2, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("terms", TERMS)
def test_of_a_content_known_exactly_the_payable_metal_itself_is_expected(
    terms: MetalTerms,
) -> None:
    contents = np.array([-5.0, 0.0, 5.0, 20.0, 40.0, 60.0, 200.0, 900.0])
    expected, variance = payable_moments(
        pieces_of(terms, np.full(8, WEIGHT_G)), contents, np.zeros(8)
    )
    assert expected == pytest.approx(payable_of(terms, contents, WEIGHT_G))
    assert variance == pytest.approx(np.zeros(8))


def test_many_weights_and_contents_go_at_once() -> None:
    weights = np.array([1_000.0, 10_000.0, 100_000.0])
    means, doubts = 0.004 * weights, 0.001 * weights
    together = expected_payable(pieces_of(TERMS[2], weights), means, doubts)
    for at in range(3):
        alone = expected_payable(pieces_of(TERMS[2], weights[at]), means[at], doubts[at])
        assert together[at] == pytest.approx(float(alone))
    assert together[2] == pytest.approx(100.0 * together[0])


@pytest.mark.parametrize("module", [payable, expected_pay, lumps])
def test_the_examples_in_the_words_of_a_module_come_out_as_they_say(module: ModuleType) -> None:
    found = doctest.testmod(module)
    assert found.attempted > 0
    assert found.failed == 0
