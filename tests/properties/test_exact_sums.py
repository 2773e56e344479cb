"""Exact sums: whatever came and went, what is left is the correctly rounded sum of what is there.

Reference: `math.fsum` of Python's own library, which rounds once.
"""

from __future__ import annotations

import doctest
from math import fsum
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.reckoning import house
from vault.reckoning.house import ExactSums

TERMS = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e300, max_value=1e300)


@given(stay=st.lists(TERMS, max_size=20), go=st.lists(TERMS, max_size=20), order=st.randoms())
def test_terms_that_went_leave_no_trace(stay: list[float], go: list[float], order: Random) -> None:
    sums = ExactSums(2)
    both = [*stay, *go]
    for term in order.sample(both, len(both)):
        sums.add([1], [term], 1)
    for term in go:
        sums.add([1], [term], -1)
    assert sums.rounded().tolist() == [0.0, fsum(stay)]


def test_the_smallest_float_counts_beside_a_very_large_one() -> None:
    sums = ExactSums(1)
    for term, times in ((1e300, 1), (5e-324, 1), (1e300, -1)):
        sums.add([0], [term], times)
    assert sums.rounded().tolist() == [5e-324]


@pytest.mark.parametrize("term", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(term: float) -> None:
    with pytest.raises((OverflowError, ValueError)):
        ExactSums(1).add([0], [term], 1)


def test_the_example_holds() -> None:
    assert doctest.testmod(house).failed == 0
