"""A pattern is made from one line and what the display showed; what is unclear is asked."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import mass
from vault.bench.scale_lines import Kind, Reading, Unreadable
from vault.bench.scale_profiles import Profile, from_words, to_words
from vault.bench.scale_teaching import Question, prove, teach
from vault.core.errors import TextNotUnderstood


def taught(line: str, shows: str, *, flag: str = "", number_at: int | None = None) -> Profile:
    made = teach(line, shows, number_at=number_at)
    if isinstance(made, Question):
        assert made.about == "flag", made
        wanted = f"“{flag}”" if flag else "none of them"
        at = next(place for place, words in made.options if words == wanted)
        made = teach(line, shows, number_at=number_at, flag_at=at)
    assert isinstance(made, Profile)
    return made


def read(profile: Profile, line: str) -> tuple[str, bool | None] | str:
    found = profile.read(line)
    if isinstance(found, Unreadable):
        return found.reason
    return ("-" if found.mass is None else f"{found.mass.to_text()} g"), found.steady


def test_the_taught_line_gives_the_weight_that_was_told() -> None:
    made = taught("#3 OK/WGT= 0012,345 KG *", "12,345 kg", flag="*")
    assert read(made, "#3 OK/WGT= 0012,345 KG *") == ("12345 g", True)
    assert read(made, "#4 OK/WGT= 0000,020 KG *") == ("20 g", True)
    assert read(made, "#3 OK/WGT=-0000,020 KG *") == ("-20 g", True)
    assert read(made, "#3 OK/WGT= 0012,345 KG ~") == ("12345 g", False)


def test_a_line_without_the_flag_or_the_unit_is_a_weight_that_moves() -> None:
    made = taught("W: 12.50 gr OK", "12.50 g", flag="OK")
    assert read(made, "W: 12.50 gr") == ("12.5 g", False)
    assert read(made, "W: 12.50 OK") == ("12.5 g", False)
    assert read(made, "W:-12.50 gr") == ("-12.5 g", False)
    assert read(made, "W: 12.50 gr OK ?") == ("12.5 g", False)


def test_gr_is_gram_or_grain_as_the_user_says() -> None:
    assert read(taught("10.0 gr", "10.0 g"), "10.0 gr") == ("10 g", None)
    assert read(taught("10.0 gr", "10.0 grain"), "10.0 gr") == ("0.647989 g", None)
    assert read(taught("1.0 oz", "1.0 ozt"), "1.0 oz") == ("31.103477 g", None)


def test_digits_without_a_mark_have_the_decimals_that_the_display_showed() -> None:
    made = taught("0012345", "123.45 g")
    assert made.in_words() == (
        "It reads the number at the beginning, in g, with its last 2 digits as decimals. Steady is "
        "what stays the same for a second."
    )
    assert read(made, "0000020") == ("0.2 g", None)
    assert read(made, "000.020") == "“000.020” is no number of the kind that was taught."


def test_the_sentence_tells_what_will_be_read() -> None:
    made = taught("ST,GS,+  123.45 g", "123.45 g", flag="ST")
    assert made.in_words() == (
        "It reads the number after “ST GS”, in g, with a point. “ST” means steady; any other word "
        "there means not steady."
    )


def test_which_number_it_is_is_asked_where_two_show_the_same() -> None:
    asked = teach("G 10.00 g N 10.00 g", "10.00 g")
    assert isinstance(asked, Question)
    assert asked.about == "number"
    assert [words for _, words in asked.options] == [
        "the one in “G 10.00 g”",
        "the one in “N 10.00 g”",
    ]
    made = taught("G 10.00 g N 10.00 g", "10.00 g", number_at=asked.options[1][0])
    assert read(made, "G 12.00 g N 11.00 g") == ("11 g", None)


@pytest.mark.parametrize(
    ("line", "shows", "reason"),
    [
        ("ST 123.54 g", "123.45 g", "The line does not show 123.45 g; it holds 123.54."),
        ("ST 0.00 g", "0.00 g", "Put something on the scale first"),
        ("ST 12.3 lb", "12.3 g", "The line says “lb” and you say g."),
        ("ST 12.3 kg", "12.3 g", "The line says “kg” and you say g."),
        ("ST 12.3 oz", "12.3 g", "The line says “oz” and you say g."),
        ("ST 12.3 g", "12.3", "Type the weight with its unit"),
        ("ST 12.3 g", "12.3 lb", "Type the weight with its unit"),
        ("OL", "12.3 g", "it holds no number"),
        ("", "12.3 g", "The line is empty."),
    ],
)
def test_line_and_weight_that_do_not_go_together_are_refused(
    line: str, shows: str, reason: str
) -> None:
    with pytest.raises(TextNotUnderstood, match=re.escape(reason)):
        teach(line, shows)


def test_a_pattern_is_proved_on_further_lines_before_it_is_trusted() -> None:
    made = taught("ST,GS,+  123.45 g", "123.45 g", flag="ST")
    proof = prove(
        made,
        [
            "US,GS,+  120.00 g",
            "ST,NT,-    1.00 g",
            "ST,TR,+ 10.00 g",
            "OL,GS,+9999999 g",
            "ST,GS,+ 1.00 kg",
            "XX",
        ],
    )
    told = [one for _, one in proof.readings]
    assert [one.kind for one in told] == [Kind.WEIGHT, Kind.WEIGHT, Kind.TARE, Kind.OVERLOAD]
    assert [one.mass for one in told[:3]] == [mass("120 g"), mass("-1 g"), mass("10 g")]
    assert [one.reason for one in proof.refused] == [
        "The unit reads “kg” and not “g”; set the scale back.",
        "The line has other pieces than the one taught; teach this one as well.",
    ]


def test_another_word_is_read_only_after_the_user_allows_it() -> None:
    made = taught("AB 12.3 g", "12.3 g")
    assert read(made, "CD 12.3 g") == "“CD” stands where “AB” was taught."
    assert read(made.accepting(0, "CD"), "CD 12.3 g") == ("12.3 g", None)


def test_the_one_word_that_keeps_a_line_from_being_read_is_named() -> None:
    made = taught("AB 12.3 g *", "12.3 g", flag="*")
    assert made.other_word("CD 4.0 g *") == (0, "CD")
    assert made.other_word("CD -4.0 g *") == (0, "CD")
    for line in ("AB 4.0 g *", "AB 4.0 kg *", "CD 4.0 kg *", "CD 4.0", "CD EF GH IJ", "x\x00", ""):
        assert made.other_word(line) is None


def test_a_decimal_mark_that_was_not_taught_is_refused() -> None:
    made = taught("1,234 kg", "1,234 kg")
    assert read(made, "1.234 kg") == "“1.234” is no number of the kind that was taught."
    assert read(made, "0,500 kg") == ("500 g", None)


def test_a_pattern_is_kept_in_plain_words_and_comes_back_the_same() -> None:
    made = taught("#3 OK/WGT= 0012,345 KG *", "12,345 kg", flag="*").accepting(1, "NO")
    assert from_words(json.loads(json.dumps(to_words(made)))) == made


@pytest.mark.parametrize("words", [None, {}, {"pieces": 3}, "x"])
def test_what_is_no_pattern_comes_back_as_none(words: object) -> None:
    assert from_words(words) is None


def test_a_pattern_with_places_outside_its_pieces_is_none() -> None:
    words = to_words(taught("12.3 g", "12.3 g"))
    assert from_words(words | {"number_at": 7}) is None
    assert from_words(words | {"unit": "stone"}) is None


SIGNS = st.sampled_from(
    [*"0123456789.,+- *#=", "ST", "GS", "ST,GS,", "NT", "TR", " g", "kg", "lb", "?"]
)


@given(st.lists(SIGNS, max_size=20).map("".join))
def test_a_pattern_reads_only_what_stands_in_the_line(line: str) -> None:
    made = taught("ST,GS,+  123.45 g", "123.45 g", flag="ST")
    found = made.read(line)
    if isinstance(found, Reading) and found.mass is not None:
        digits = found.said.replace(".", "").replace("-", "").lstrip("0")
        in_line = "".join(re.findall("[0-9]", line)).lstrip("0")
        assert digits == in_line
        assert not found.steady or "ST" in line
        assert "lb" not in line
        assert "kg" not in line
