from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.uncertainty import Estimate, place_of_last_digit, rounded


def test_a_figure_is_rounded_to_match_its_uncertainty() -> None:
    """JCGM 100:2008 (GUM), 7.2.6: 10.05762 Ω with u = 27 mΩ is stated as 10.058 Ω."""
    assert rounded(10.05762, 0.027) == ("10.058", "0.027")


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (12345.6, 340, ("12300", "300")),
        (12345.6, 120, ("12350", "120")),
        (3.5, 35, ("0", "40")),
        (0.0, 0.4, ("0.0", "0.4")),
        (5, 0.0296, ("5.000", "0.030")),
        (0, 0.96, ("0.0", "1.0")),
        (-0.0001, 0.2, ("0.00", "0.20")),
        (-1.26, 0.4, ("-1.3", "0.4")),
        (Decimal(10) ** 20, 1e-9, ("100000000000000000000.0000000000", "0.0000000010")),
    ],
)
def test_digits_that_count_are_kept_and_no_more(
    value: float, u: float, text: tuple[str, str]
) -> None:
    assert rounded(value, u) == text


def test_halves_go_to_the_even_digit() -> None:
    assert rounded(Decimal("2.5"), 4)[0] == "2"
    assert rounded(Decimal("3.5"), 4)[0] == "4"


def test_an_exact_figure_keeps_all_its_digits() -> None:
    assert rounded(Decimal("452.123456"), 0) == ("452.123456", "0")
    assert rounded(100, 0) == ("100", "0")


def test_a_figure_of_unknown_uncertainty_says_nothing_of_it() -> None:
    assert rounded(1 / 3, None) == ("0.333333", "")


@pytest.mark.parametrize("number", [math.nan, math.inf, Decimal("NaN")])
def test_what_is_no_number_is_refused(number: float | Decimal) -> None:
    with pytest.raises(ValueError, match="never infinite"):
        rounded(number, 1)


def test_an_uncertainty_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="never below zero"):
        rounded(1, -1)


def test_a_number_from_an_array_is_read_like_any_other() -> None:
    numpy = pytest.importorskip("numpy")
    assert rounded(numpy.float64(10.05762), numpy.float64(0.027)) == ("10.058", "0.027")


@given(
    st.floats(-1e9, 1e9, allow_nan=False),
    st.floats(1e-9, 1e9, allow_nan=False),
)
def test_rounding_adds_at_most_a_sixth_of_u_to_a_figure(value: float, u: float) -> None:
    figure, doubt = rounded(value, u)
    assert abs(Decimal(figure) - Decimal(repr(value))) <= Decimal(repr(u)) / 6 * Decimal("1.0001")
    assert abs(Decimal(doubt) / Decimal(repr(u)) - 1) < Decimal("0.17")
    step = Decimal(1).scaleb(place_of_last_digit(Decimal(repr(u))))
    assert Decimal(1) / 30 <= step / Decimal(repr(u)) <= Decimal(1) / 3


def test_an_interval_is_cut_at_zero_and_only_there() -> None:
    """The display rule for contents that cannot be below zero: max(0, x − 1.96 u) … x + 1.96 u."""
    assert Estimate(Decimal(1), Decimal(1)).interval_95() == (Decimal(0), Decimal("2.96"))
    assert Estimate(Decimal(100), Decimal(1)).interval_95() == (Decimal("98.04"), Decimal("101.96"))
    assert Estimate(Decimal(-1), Decimal(1)).interval_95() == (Decimal(0), Decimal("0.96"))
    assert Estimate(Decimal(-5), Decimal(1)).interval_95() == (Decimal(0), Decimal(0))


def test_an_unknown_uncertainty_gives_no_interval() -> None:
    assert Estimate(Decimal(1), None).interval_95() is None


def test_an_estimate_is_written_like_its_figures() -> None:
    assert Estimate(Decimal("8.4321"), Decimal("2.2")).rounded() == ("8.4", "2.2")
