"""Lines of common shapes are read as they stand; whatever does not fit is refused in words.

The shapes are common practice of bench scales; no standard sets them.
"""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import mass
from vault.bench.scale_lines import Kind, Reading, Unreadable, read_line
from vault.core.masses import MICROGRAMS_PER_UNIT


@pytest.mark.parametrize(
    ("line", "weight", "steady"),
    [
        ("S S     100.0023 g", "100.0023 g", True),
        ("S D     100.0023 g", "100.0023 g", False),
        ("ST,GS,+  123.45 g", "123.45 g", True),
        ("US,NT,-0001.2kg", "-1.2 kg", False),
        ("   123.45 g", "123.45 g", None),
        ("+00123.45 g  ", "123.45 g", None),
        ("N  123.45 g", "123.45 g", None),
        ("123.45", "123.45 g", None),
        ("123,45 g", "123.45 g", None),
        ("1,234.5 g", "1234.5 g", None),
        ("  12.34 g ?", "12.34 g", False),
        ("N  \u2212 1.20 g", "-1.20 g", None),
        ("\x02ST,+00000.00  g\x03", "0 g", True),
        ("Gross: 0.4 kg", "0.4 kg", None),
        ("1.25 ozt", "1.25 ozt", None),
        ("3.5 dwt", "3.5 dwt", None),
        ("100.0 GN", "100 gr", None),
        ("1500 MG", "1.5 g", None),
        ("1234. g", "1234 g", None),
        ("S 12.3 g", "12.3 g", None),
    ],
)
def test_a_common_line_is_read_without_asking(
    line: str,
    weight: str,
    steady: bool | None,  # noqa: FBT001  a column of the table above
) -> None:
    for end in ("", "\r", "\n", "\r\n"):
        found = read_line(line + end)
        assert isinstance(found, Reading), found
        assert (found.kind, found.mass, found.steady) == (Kind.WEIGHT, mass(weight), steady)


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("OL,GS,+9999999E+19", Kind.OVERLOAD),
        ("S +", Kind.OVERLOAD),
        ("  HHHHHH", Kind.OVERLOAD),
        ("--------", Kind.OVERLOAD),
        ("O.L", Kind.OVERLOAD),
        ("S -", Kind.UNDERLOAD),
        ("UL", Kind.UNDERLOAD),
        ("LLLLL", Kind.UNDERLOAD),
        ("______", Kind.UNDERLOAD),
    ],
)
def test_a_scale_that_is_beyond_its_range_shows_no_weight(line: str, kind: Kind) -> None:
    found = read_line(line)
    assert isinstance(found, Reading)
    assert (found.kind, found.mass) == (kind, None)


def test_a_tare_is_no_weight_of_a_thing() -> None:
    for line in ("T  12.3 g", "TR,+ 12.3 g", "PT 12.3 g"):
        found = read_line(line)
        assert isinstance(found, Reading)
        assert (found.kind, found.mass) == (Kind.TARE, mass("12.3 g"))


def test_a_line_says_whether_a_tare_was_taken_off() -> None:
    told = [read_line(line) for line in ("ST,NT,+1.0 g", "ST,GS,+1.0 g", "1.0 g N", "1.0 g G")]
    assert [isinstance(one, Reading) and one.is_net for one in told] == [True, False, True, False]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("12.34 lb", "“lb” is no unit known here; set the scale to g, kg, mg, ozt, dwt or grain"),
        ("12.34 ct", "“ct” is no unit known here"),
        ("12.3 Mg", "“Mg” is no unit known here"),
        ("12.3 t", "“t” is no unit known here"),
        ("12.3 gr", "“gr” means grain on one scale and gram on another; teach the program"),
        ("12.3 oz", "“oz” means the troy ounce on one scale and the common ounce on another"),
        ("1,234 g", "“1,234” could mean two numbers; teach the program this line."),
        ("1.234,5 g", "“1.234,5” could mean two numbers"),
        ("1.2.3 g", "could mean two numbers"),
        ("1.2 3 g", "More than one number stands in the line"),
        ("10:25 12.3 g", "More than one number stands in the line"),
        ("12e3 g", "More than one number stands in the line"),
        ("12.3 g12.4 g", "More than one number stands in the line"),
        ("=12.3", "“=” stands in the line"),
        ("ST, ,500 kg", "“,” stands in the line"),
        ("+-12.3 g", "A sign stands where none belongs."),
        ("12.3- g", "A sign stands where none belongs."),
        ("XY 12.3 g", "“XY” is not known here; teach the program this line."),
        ("12.3 g XY", "“XY” is not known here; teach the program this line."),
        ("g 12.3", "The unit stands before the number"),
        ("Z 1 g", "The line says zero and shows a weight"),
        ("99999999999 kg", "more than this book can hold"),
        ("ERR 5", "The scale tells of a fault; look at its display."),
        ("S I", "No weight stands in the line."),
        ("", "The line is empty."),
        ("1" * 200, "The line is too long for a weight"),
        ("12\x003.4 g", "Bytes came that are no text"),
        ("12\ufffd.4 g", "Bytes came that are no text"),
    ],
)
def test_a_line_that_could_be_misread_is_refused_with_the_reason(line: str, reason: str) -> None:
    found = read_line(line)
    assert isinstance(found, Unreadable), found
    assert reason in found.reason


def test_the_unit_of_the_settings_holds_only_where_the_line_names_none() -> None:
    told = [read_line(line, unit="kg") for line in ("1.5", "1.5 g")]
    assert [isinstance(one, Reading) and one.mass for one in told] == [
        mass("1.5 kg"),
        mass("1.5 g"),
    ]
    assert [isinstance(one, Reading) and one.names_unit for one in told] == [False, True]


def test_a_reading_keeps_the_digits_of_the_scale_and_so_its_step() -> None:
    found = read_line("ST,GS,+  150.850 g")
    assert isinstance(found, Reading)
    assert (found.said, found.step) == ("150.850", mass("0.001 g"))


NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)*|\.[0-9]+")


def is_said_by(line: str, found: Reading) -> bool:
    """Tell whether the digits of a reading are the only number of its line."""
    numbers = NUMBER.findall(line)
    assert found.mass is not None
    said = Decimal(found.said)
    exact = (said * MICROGRAMS_PER_UNIT[found.unit]).to_integral_value()
    digits = [one.replace(",", "").replace(".", "").lstrip("0") for one in numbers]
    return (
        digits == [found.said.replace(".", "").replace("-", "").lstrip("0")]
        and found.mass.micrograms == int(exact)
        and ("-" in line or "\u2212" in line or said >= 0)
    )


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_and_never_give_a_weight_not_said(data: bytes) -> None:
    line = data.decode("utf-8", errors="replace")
    found = read_line(line)
    if isinstance(found, Reading) and found.kind in {Kind.WEIGHT, Kind.TARE}:
        assert is_said_by(line, found)


SIGNS = st.sampled_from([*"0123456789.,+- gkmSTUGNDO?:;", "\u2212", "ST", "GS", " g", "kg", "OL"])


@given(st.lists(SIGNS, max_size=24).map("".join))
def test_any_line_of_a_scales_own_signs_gives_only_what_it_says(line: str) -> None:
    found = read_line(line)
    if isinstance(found, Reading) and found.kind in {Kind.WEIGHT, Kind.TARE}:
        assert is_said_by(line, found)


@given(
    st.sampled_from(["ST,GS,+  123.45 g", "S S   100.0023 g", "US,NT,-0001.2kg", "N  123,45 g"]),
    st.integers(0, 20),
    st.integers(0, 255),
)
def test_one_bad_byte_never_gives_a_weight_that_the_line_does_not_say(
    line: str, at: int, byte: int
) -> None:
    data = bytearray(line.encode())
    data[at % len(data)] = byte
    text = bytes(data).decode("utf-8", errors="replace")
    found = read_line(text)
    if isinstance(found, Reading) and found.kind in {Kind.WEIGHT, Kind.TARE}:
        assert is_said_by(text, found)
