from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood
from vault.core.tags import (
    DEFAULTS,
    FOUND,
    RECEIVED,
    SAFE_CAPITALS,
    check_digits,
    is_safe,
    next_tags,
    payload_of,
    prefix_of,
    prefixes_from_text,
    prefixes_to_text,
    tag_of_scan,
)

TAGS = st.from_regex(f"[{SAFE_CAPITALS}]{{1,4}}-[0-9]{{1,12}}", fullmatch=True)
SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def nobody(_tag: str) -> bool:
    return False


def anybody(_tag: str) -> bool:
    return True


@pytest.mark.parametrize(
    ("form", "prefix"),
    [
        ("bar", "B"),
        ("bead", "K"),
        ("spent cupel", "C"),
        ("slag", "S"),
        ("sample", "A"),
        ("dust", "D"),
        ("iron with filings", "R"),
        (RECEIVED, "R"),
        (FOUND, "X"),
    ],
)
def test_a_form_has_its_capitals(form: str, prefix: str) -> None:
    assert prefix_of(form) == prefix


def test_a_form_has_capitals_even_where_a_book_says_nothing() -> None:
    assert prefix_of("bar", {}) == "R"


def test_the_next_tags_follow_the_last_and_differ_from_each_other() -> None:
    forms = ["button", "slag", "bead", "button"]
    assert next_tags(forms, {"K": 212, "S": 9_999}) == ["K-0213", "S-10000", "K-0214", "K-0215"]


def test_the_first_tag_of_a_form_is_number_one() -> None:
    assert next_tags(["bar"], {}) == ["B-0001"]


def test_a_shop_may_have_capitals_of_its_own() -> None:
    prefixes = prefixes_from_text(prefixes_to_text({"bar": "BAR", RECEIVED: "E"}))
    assert next_tags(["bar", RECEIVED, "slag"], {"BAR": 4}, prefixes) == [
        "BAR-0005",
        "E-0001",
        "S-0001",
    ]


@pytest.mark.parametrize("text", ["", "nonsense", "[1, 2]", '{"bar": 3}', '{"bar": "Z"}'])
def test_a_setting_that_makes_no_sense_leaves_the_usual_capitals(text: str) -> None:
    assert prefixes_from_text(text) == DEFAULTS


@pytest.mark.parametrize("prefix", ["", "Y", "z", "B1", "BARRE", "Ä"])
def test_capitals_that_a_keyboard_may_change_are_refused_in_a_sentence(prefix: str) -> None:
    with pytest.raises(TextNotUnderstood, match="numbers of bar; write one to four of the cap"):
        prefixes_to_text({"bar": prefix})


def numbers(tags: Iterable[str]) -> dict[str, list[int]]:
    """Give the numbers behind each prefix, in order."""
    found: dict[str, list[int]] = {}
    for prefix, number in sorted((one.split("-")[0], int(one.split("-")[1])) for one in tags):
        found.setdefault(prefix, []).append(number)
    return found


@given(st.lists(TAGS), st.sets(TAGS), st.lists(st.sampled_from([*DEFAULTS, "whatever"])))
def test_no_tag_is_ever_given_or_shown_twice(
    given_before: list[str], shown: set[str], forms: list[str]
) -> None:
    last = {prefix: found[-1] for prefix, found in numbers(given_before).items()}
    tags = next_tags(forms, last, shown=shown)
    assert len(set(tags)) == len(forms)
    assert not set(tags) & {*given_before, *shown}


@given(st.sets(st.integers(1, 30)), st.integers(0, 20), st.integers(1, 10))
def test_no_number_is_left_out_between_those_given_and_shown(
    shown: set[int], last: int, wanted: int
) -> None:
    tags = next_tags(["bar"] * wanted, {"B": last}, shown={f"B-{one:04d}" for one in shown})
    highest = numbers(tags)["B"][-1]
    assert {*numbers(tags)["B"], *shown} >= set(range(last + 1, highest + 1))


@pytest.mark.parametrize("tag", ["drum C", "K0212", "Y-0001", "k-0001", "K-", "", "K-0001a"])
def test_a_tag_of_other_characters_carries_itself_and_no_check_digits(tag: str) -> None:
    assert not is_safe(tag)
    assert check_digits(tag) == ""
    assert payload_of(tag) == tag
    assert tag_of_scan(tag, {tag}.__contains__).tag == tag


@given(TAGS)
def test_what_the_symbol_carries_names_its_tag(tag: str) -> None:
    assert is_safe(tag)
    payload = payload_of(tag)
    assert payload == tag.replace("-", "") + check_digits(tag)
    assert payload.isalnum()
    assert tag_of_scan(payload, nobody).tag == tag


@given(TAGS, st.data())
def test_every_wrong_character_is_noticed(tag: str, data: st.DataObject) -> None:
    payload = payload_of(tag)
    at = data.draw(st.integers(0, len(payload) - 1))
    wrong = data.draw(st.sampled_from([one for one in SIGNS if one != payload[at]]))
    assert tag_of_scan(payload[:at] + wrong + payload[at + 1 :], nobody).tag == ""


@given(TAGS, st.data())
def test_every_swap_of_neighbours_is_noticed(tag: str, data: st.DataObject) -> None:
    payload = payload_of(tag)
    at = data.draw(st.integers(0, len(payload) - 2))
    one, two = payload[at], payload[at + 1]
    swapped = payload[:at] + two + one + payload[at + 2 :]
    assert tag_of_scan(swapped, nobody).tag == (tag if one == two else "")


@pytest.mark.parametrize("misread", ["AA6631", "A0005153"])
def test_a_slip_does_not_pass_for_another_keyboard(misread: str) -> None:
    assert tag_of_scan(misread, nobody).tag == ""


@pytest.mark.parametrize("tag", ["K-0212", "B-1011", "MX-3322"])
def test_every_slip_in_a_whole_tag_is_noticed(tag: str) -> None:
    payload = payload_of(tag)
    slips = {
        payload[:at] + sign + payload[at + 1 :] for at in range(len(payload)) for sign in SIGNS
    } | {
        payload[:at] + payload[at + 1] + payload[at] + payload[at + 2 :]
        for at in range(len(payload) - 1)
    }
    slips.discard(payload)
    assert len(slips) > 35 * len(payload)
    assert [one for one in slips if tag_of_scan(one, nobody).tag] == []


@pytest.mark.parametrize("lost_at", range(7))
def test_a_lost_character_is_told_as_a_misread(lost_at: int) -> None:
    payload = payload_of("K-0212")
    scan = tag_of_scan(payload[:lost_at] + payload[lost_at + 1 :], nobody)
    assert scan.tag == ""
    assert scan.is_misread == (lost_at > 0)


def test_a_misread_tag_is_told_from_words_and_other_numbers() -> None:
    assert tag_of_scan("K021218", nobody).is_misread
    for other in ("Pennant Bench School", "L-118", "4006381333931", "safe, top shelf", "", "L118"):
        assert not tag_of_scan(other, nobody).is_misread, other


@pytest.mark.parametrize(
    "typed",
    ["K-0212", " k-0212 ", "k0212", "K 0212", "K-0212 19", "k-0212-19", "K021219", "k021219"],
)
def test_a_tag_is_understood_as_people_type_it(typed: str) -> None:
    assert tag_of_scan(typed, {"K-0212"}.__contains__).tag == "K-0212"


@pytest.mark.parametrize("typed", ["Y-0007", "y-0007", "y0007"])
def test_an_unsafe_tag_is_understood_as_people_type_it(typed: str) -> None:
    assert tag_of_scan(typed, {"Y-0007"}.__contains__).tag == "Y-0007"


def test_a_tag_that_stands_in_the_book_as_typed_goes_before_check_digits() -> None:
    known = {"K021219", "K-0212"}.__contains__
    assert tag_of_scan("K021219", known).tag == "K021219"


def test_a_hyphen_left_out_is_put_back_only_for_a_tag_of_the_book() -> None:
    assert tag_of_scan("K0213", nobody).tag == ""
    assert tag_of_scan("K0213", anybody).tag == "K0213"


@pytest.mark.parametrize(
    ("typed", "tag"),
    [("Kàé&é&ç", "K-0212"), ("Sàà§!à§", "S-0068"), ("Kéě+ě+í", "K-0212"), ("Qààà&çà", "A-0001")],
    ids=["French", "Belgian", "Czech", "French, another letter"],
)
def test_a_scan_through_a_keyboard_of_another_country_is_put_right(typed: str, tag: str) -> None:
    assert tag_of_scan(typed, nobody).tag == tag
