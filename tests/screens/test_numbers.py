"""How figures are written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from vault.core.fineness import Fineness
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.core.masses import Mass
from vault.screens.numbers import Numbers, age, day, day_of_year

G = 1_000_000
NARROW = "\u202f"


def figure(grams: str, u: str) -> Figure:
    return Figure(int(Decimal(grams) * G), int(Decimal(u) * G), How.ASSAYED)


def test_a_content_is_rounded_to_its_doubt_and_grouped() -> None:
    assert Numbers().figure(figure("1002.6143", "0.58")) == f"1{NARROW}002.6 ± 0.6"


def test_a_large_doubt_takes_decimals_away() -> None:
    assert Numbers().figure_with_unit(figure("4450.2", "110")) == f"4{NARROW}450 ± 110 g"


def test_what_is_not_known_is_never_a_nought() -> None:
    assert Numbers().figure(NOTHING_KNOWN) == "not known"
    assert Numbers().figure_with_unit(NOTHING_KNOWN) == "not known"
    assert Numbers().weight(None) == "not known"


def test_a_weight_keeps_every_digit_that_was_read() -> None:
    assert Numbers().weight(1_004_620_000) == f"1{NARROW}004.62 g"
    assert Numbers().mass(Mass(12_345_600)) == "12.3456 g"
    assert Numbers().weight(88_000_000) == "88.00 g"


# One troy ounce is 31.1034768 g and one pennyweight 1.55517384 g, by definition (NIST Handbook
# 44, Appendix C); the decimals keep the hundredth of a gram that the scale read.
@pytest.mark.parametrize(
    ("unit", "told"),
    [("g", "31.10 g"), ("ozt", "0.9999 ozt"), ("dwt", "19.998 dwt"), ("kg", "0.03110 kg")],
)
def test_a_weight_in_other_units_keeps_what_the_scale_read(unit: str, told: str) -> None:
    assert Numbers(unit=unit).weight(31_100_000) == told


def test_the_other_unit_is_troy_ounces_for_who_reads_grams() -> None:
    assert Numbers().other_unit(figure("311.034768", "0.3")) == "10.000 ozt"
    assert Numbers(unit="ozt").other_unit(figure("311.0", "0.3")) == "311.0 g"


def test_a_comma_and_a_true_minus_sign_by_setting() -> None:
    assert Numbers(decimal_mark=",").plain("-12345.5") == f"−12{NARROW}345,5"


def test_sums_of_weights_turn_to_kilograms_from_ten_up() -> None:
    assert Numbers().total_weight(9_999_000_000) == f"9{NARROW}999.0 g"
    assert Numbers().total_weight(21_700_000_000) == "21.7 kg"


def test_a_content_without_a_known_doubt_shows_four_digits() -> None:
    assert Numbers().fine(1_234_567_000, None) == f"1{NARROW}235"
    assert Numbers().fine(4_200_000, None) == "4.2"
    assert Numbers().fine(0, 0) == "0"


def test_a_fineness_with_and_without_doubt() -> None:
    assert Numbers().fineness(Fineness(998_000_000), Fineness(400_000)) == "998.0 ± 0.4 ‰"
    assert Numbers().fineness(Fineness(925_000_000), None) == "925 ‰"
    assert Numbers().permille(None) == "–"
    assert Numbers().permille(640_820_000) == "640.8 ‰"


def test_shares_and_money() -> None:
    assert Numbers().share(0.62) == "62.0 %"
    assert Numbers().rough_share(0.616) == "62 %"
    assert Numbers().money(24310.4) == f"24{NARROW}310"
    assert Numbers().money(2080.0, 170.0) == f"2{NARROW}080 ± 170"


def test_a_rounded_nothing_carries_no_sign() -> None:
    assert Numbers().money(-0.2) == "0"


@pytest.mark.parametrize(
    ("since", "told"),
    [
        (date(2031, 3, 14), "0 d"),
        (date(2031, 3, 5), "9 d"),
        (date(2030, 5, 8), "10 mo"),
        (date(2028, 3, 14), "3 y"),
    ],
)
def test_an_age_in_days_months_and_years(since: date, told: str) -> None:
    assert age(since, date(2031, 3, 14)) == told


def test_a_day_leaves_its_year_out_within_the_year() -> None:
    assert day(date(2031, 3, 5)) == "5 Mar 2031"
    assert day_of_year(date(2031, 3, 5), date(2031, 6, 1)) == "5 Mar"
    assert day_of_year(date(2030, 3, 5), date(2031, 6, 1)) == "5 Mar 2030"


def test_nothing_finer_than_a_tenth_of_a_milligram_is_shown() -> None:
    assert Numbers().fine(84_980, 5) == "0.0850 ± 0.0001"
    assert Numbers().fine(7, 3) == "0.0000 ± 0.0001"
    assert Numbers().fine(734_000, 1_000) == "0.7340 ± 0.0010"


# The largest value is the estimate with 1.96 standard uncertainties: −0.30 + 1.96 × 0.50 = 0.68.
@pytest.mark.parametrize(
    ("grams", "u", "told"),
    [
        ("-0.3", "0.5", "0 to 0.7"),
        ("-0.001", "0.027", "0 to 0.052"),
        ("-12", "310", "0 to 600"),
        ("0", "0.5", "0.0 ± 0.5"),
        ("0.3", "0.5", "0.3 ± 0.5"),
    ],
)
def test_what_one_thing_holds_is_never_told_as_less_than_nothing(
    grams: str, u: str, told: str
) -> None:
    assert Numbers().figure(figure(grams, u)) == told
    assert Numbers().figure_with_unit(figure(grams, u)) == f"{told} g"


def test_below_zero_the_mark_and_the_unit_are_the_readers() -> None:
    assert Numbers(decimal_mark=",").figure(figure("-0.3", "0.5")) == "0 to 0,7"
    # (−0.3 + 1.96 × 0.5) g over 31.1034768 g is 0.0219 ozt, and the doubt is 0.016 ozt.
    assert Numbers(unit="ozt").figure_with_unit(figure("-0.3", "0.5")) == "0 to 0.022 ozt"


def test_so_far_below_zero_that_no_doubt_explains_it_it_is_told_as_it_is() -> None:
    assert Numbers().figure(figure("-5", "1")) == "−5.0 ± 1.0"
    assert Numbers().figure(figure("-0.98", "0.5")) == "−1.0 ± 0.5"
    assert Numbers().figure(figure("-2", "0")) == "−2"


def test_below_zero_without_a_known_doubt_it_is_about_nothing() -> None:
    assert Numbers().fine(-200_000, None) == "about 0"
    assert Numbers().permille(-300_000) == "0.0 ‰"


def test_totals_and_what_is_left_over_are_told_uncut() -> None:
    assert Numbers().uncut(-300_000, 500_000) == "−0.3 ± 0.5"
    assert Numbers().uncut_with_unit(figure("-0.3", "0.5")) == "−0.3 ± 0.5 g"
    assert Numbers().uncut_with_unit(NOTHING_KNOWN) == "not known"


def test_a_size_is_told_to_two_digits() -> None:
    assert Numbers().roughly(9_878) == "0.0099 g"
    assert Numbers().roughly(12_345_000_000) == "12\u202f345 g"


def test_a_span_is_written_with_the_digits_that_its_width_allows() -> None:
    assert Numbers().span(225_586_000, 236_355_000) == "226 to 236 g"
    assert Numbers().span(3_054_000_000, 3_177_000_000) == "3\u202f050 to 3\u202f180 g"
    assert Numbers(decimal_mark=",").span(205_550_000, 205_550_000) == "205,6 g"
    assert Numbers().span(-3_200_000, 5_000_000) == "\u22123.2 to 5.0 g"
    assert Numbers(unit="ozt").span(311_034_768, 622_069_536) == "10 to 20 ozt"


def test_a_doubt_about_money_smaller_than_any_coin_is_none() -> None:
    assert Numbers().money(-335.1912621, 6e-14) == "−335"
    assert Numbers().money(12.341, 0.12) == "12.34 ± 0.12"
