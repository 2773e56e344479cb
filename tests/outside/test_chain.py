"""The chain of proof and the forms of dates against the standards they follow."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from builders import assayed
from vault.application.exchange.moments import Moments
from vault.core.daybook import EMPTY_HEAD, When, leaf_of, node_of
from vault.core.errors import TextNotUnderstood

# RFC 6962, section 2.1.
EMPTY_TREE = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
EMPTY_LEAF = "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"


def test_the_head_of_the_empty_book_is_the_hash_of_the_empty_tree() -> None:
    """RFC 6962, 2.1: the hash of an empty list is the hash of an empty string."""
    assert EMPTY_HEAD.hex() == EMPTY_TREE


def test_an_empty_leaf_has_the_hash_of_the_standard() -> None:
    """RFC 6962, 2.1: SHA-256 of one byte 00."""
    assert leaf_of("").hex() == EMPTY_LEAF


def test_a_leaf_and_a_node_are_hashed_as_the_standard_says() -> None:
    """RFC 6962, 2.1: SHA-256(00 ‖ d) and SHA-256(01 ‖ left ‖ right)."""
    assert leaf_of("µ") == hashlib.sha256(b"\x00\xc2\xb5").digest()
    left, right = bytes(range(32)), bytes(range(32, 64))
    assert node_of(left, right) == hashlib.sha256(b"\x01" + left + right).digest()


def test_the_hash_function_is_the_published_one() -> None:
    """FIPS 180-4, the example for the message “abc” (from memory)."""
    published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert hashlib.sha256(b"abc").hexdigest() == published


def test_a_chain_of_two_leaves_is_worked_out_by_hand() -> None:
    """By the definition of the book's chain: each head is a node of the head before and a leaf."""
    one, two = assayed(1, "R-1", "Ag 600"), assayed(2, "R-1", "Ag 601")
    first = hashlib.sha256(
        b"\x01"
        + hashlib.sha256(b"").digest()
        + hashlib.sha256(b"\x00" + one.canonical_text().encode()).digest()
    ).digest()
    second = hashlib.sha256(
        b"\x01" + first + hashlib.sha256(b"\x00" + two.canonical_text().encode()).digest()
    ).digest()
    assert node_of(node_of(EMPTY_HEAD, one.leaf), two.leaf) == second


@pytest.mark.parametrize(
    ("text", "instant"),
    [
        ("2031-03-01T09:10Z", (2031, 3, 1, 9, 10)),
        ("2031-03-01T09:10:30Z", (2031, 3, 1, 9, 10, 30)),
        ("2031-03-01T09:10:30.25Z", (2031, 3, 1, 9, 10, 30, 250_000)),
        ("2031-03-01T09:10+01:00", (2031, 3, 1, 8, 10)),
        ("2031-03-01T09:10-03:30", (2031, 3, 1, 12, 40)),
    ],
)
def test_date_times_of_the_extended_format_are_read(text: str, instant: tuple[int, ...]) -> None:
    """ISO 8601, extended format, with `Z` or an offset, as in RFC 3339, 5.6 (from memory)."""
    assert Moments(UTC).from_text(text).at == datetime(*instant, tzinfo=UTC)  # type: ignore[arg-type,misc]  # a tuple of numbers


@pytest.mark.parametrize("text", ["2032-02-29", "2000-02-29"])
def test_leap_days_are_days(text: str) -> None:
    """ISO 8601 has the Gregorian calendar: every 4th year, no 100th but the 400th (from memory)."""
    assert Moments(UTC).from_text(text) == When(date.fromisoformat(text))


@pytest.mark.parametrize("text", ["2031-02-29", "1900-02-29", "2100-02-29"])
def test_days_of_no_leap_year_are_refused(text: str) -> None:
    """The same rule."""
    with pytest.raises(TextNotUnderstood, match="calendar has no day"):
        Moments(UTC).from_text(text)


@pytest.mark.parametrize("text", ["20310301", "2031-W09-6", "2031-060", "01.03.2031", "3/1/2031"])
def test_forms_that_a_shop_would_misread_are_refused(text: str) -> None:
    """ISO 8601 (from memory) knows the first three; people misread them."""
    with pytest.raises(TextNotUnderstood, match="year-month-day"):
        Moments(UTC).from_text(text)


@pytest.mark.parametrize("text", ["2031-03-30T02:00", "2031-03-30T02:59:59"])
def test_the_hour_that_summer_time_skips_does_not_exist(text: str) -> None:
    """Directive 2000/84/EC: forward at 01:00 UTC on the last Sunday of March (from memory)."""
    with pytest.raises(TextNotUnderstood, match="never showed"):
        Moments(ZoneInfo("Europe/Berlin")).from_text(text)


@pytest.mark.parametrize("text", ["2031-10-26T02:00", "2031-10-26T02:59:59"])
def test_the_hour_that_summer_time_gives_back_is_asked_about(text: str) -> None:
    """Directive 2000/84/EC: back at 01:00 UTC on the last Sunday of October (from memory)."""
    with pytest.raises(TextNotUnderstood, match="say which"):
        Moments(ZoneInfo("Europe/Berlin")).from_text(text)
