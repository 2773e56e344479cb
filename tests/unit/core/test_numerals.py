from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood
from vault.core.numerals import (
    millionths_from_text,
    millionths_to_text,
    number_from_text,
    shortened,
)


@pytest.mark.parametrize(
    ("text", "millionths"),
    [
        ("512.40", 512_400_000),
        ("-.5", -500_000),
        ("+3", 3_000_000),
        ("7.", 7_000_000),
        ("0.000001", 1),
        ("1.50000000000", 1_500_000),
        ("-0", 0),
    ],
)
def test_plain_decimal_text_is_read_to_the_millionth(text: str, millionths: int) -> None:
    assert millionths_from_text(text) == millionths


@pytest.mark.parametrize(
    "text",
    [
        "",
        ".",
        "-",
        "1e3",
        "1,5",
        " 1",
        "1 ",
        "1\n",
        "0x1",
        "1_000",
        "0.0000001",
        "9" * 21,
        "\u0661",
    ],
)
def test_any_other_text_is_no_number_of_millionths(text: str) -> None:
    assert millionths_from_text(text) is None


@given(st.integers(-(10**25), 10**25))
def test_millionths_read_back_as_they_were_written(millionths: int) -> None:
    text = millionths_to_text(millionths)
    assert millionths_from_text(text) == millionths
    assert Decimal(text) * 1_000_000 == millionths


@pytest.mark.parametrize(
    ("text", "mark", "number"),
    [
        ("12.5", ".", "12.5"),
        ("12,5", ".", "12.5"),
        ("12,5", ",", "12.5"),
        ("12.5", ",", "12.5"),
        ("0,125", ".", "0.125"),
        ("1,2345", ".", "1.2345"),
        ("1 004.62", ".", "1004.62"),
        ("1\u00a0004\u202f062,5", ",", "1004062.5"),
        ("1'004.62", ".", "1004.62"),
        ("1,234.5", ".", "1234.5"),
        ("1.234.567,5", ",", "1234567.5"),
        ("-12,5", ".", "-12.5"),
    ],
)
def test_what_people_type_is_read_by_the_decimal_mark_of_the_shop(
    text: str, mark: str, number: str
) -> None:
    assert number_from_text(text, decimal_mark=mark) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "mark"), [("1,234", "."), ("1.234", ","), ("12,34.5", "."), ("1,234,567", ".")]
)
def test_what_could_mean_two_numbers_is_refused_with_a_question(text: str, mark: str) -> None:
    with pytest.raises(TextNotUnderstood, match="could mean two numbers"):
        number_from_text(text, decimal_mark=mark)


@pytest.mark.parametrize(
    "text", ["", "twelve", "1.2.3", "--1", "1e5", "NaN", "1_0", "\u0661", "9" * 41]
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(TextNotUnderstood, match="is no number"):
        number_from_text(text)


def test_long_texts_are_shortened_to_stand_in_a_sentence() -> None:
    assert shortened("a\n b") == "a b"
    assert shortened("x" * 41) == "x" * 39 + "…"
    assert shortened("x" * 40) == "x" * 40
    assert shortened(" " * 1000 + "x") == "…"


def test_what_a_terminal_would_obey_is_marked_in_a_sentence() -> None:
    assert shortened("\x1b[31mred\u202e") == "\ufffd[31mred\ufffd"
