from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.daybook import When
from vault.core.days import day_from_text, day_to_text, moment_from_text
from vault.core.errors import TextNotUnderstood, TextUnclear

TODAY = date(2031, 3, 14)
OSLO = ZoneInfo("Europe/Oslo")
NOW = datetime(2031, 3, 14, 15, 20, tzinfo=OSLO)


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)))
def test_a_day_reads_back_as_it_was_written(day: date) -> None:
    assert day_from_text(day_to_text(day), TODAY) == day
    assert day_from_text(day.isoformat(), TODAY) == day


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", TODAY),
        ("Yesterday", date(2031, 3, 13)),
        ("tomorrow", date(2031, 3, 15)),
        ("in 14 days", date(2031, 3, 28)),
        ("+3", date(2031, 3, 17)),
        ("20 Mar", date(2031, 3, 20)),
        ("20. March 2032", date(2032, 3, 20)),
        ("20.3.", date(2031, 3, 20)),
        ("20.3.2032", date(2032, 3, 20)),
        ("2031-4-3", date(2031, 4, 3)),
        ("3/20", date(2031, 3, 20)),
        ("20/3/2031", date(2031, 3, 20)),
        ("4/4", date(2031, 4, 4)),
    ],
)
def test_days_are_read_as_people_type_them(text: str, day: date) -> None:
    assert day_from_text(text, TODAY) == day


def test_a_day_that_could_be_two_is_asked_about() -> None:
    with pytest.raises(TextUnclear, match=r"^Is 3/4 meant as") as caught:
        day_from_text("3/4", TODAY)
    assert caught.value.meant == ("3 Apr 2031", "4 Mar 2031")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is no day"),
        ("soon", "is no day"),
        ("5 Foo", "is no day"),
        ("30 Feb", "calendar has no day"),
        ("3 Mar 3031", "lies outside 1900 to 2199"),
    ],
)
def test_what_is_no_day_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        day_from_text(text, TODAY)


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("", When(TODAY, datetime(2031, 3, 14, 14, 20, tzinfo=UTC))),
        ("now", When(TODAY, datetime(2031, 3, 14, 14, 20, tzinfo=UTC))),
        ("9:05", When(TODAY, datetime(2031, 3, 14, 8, 5, tzinfo=UTC))),
        ("yesterday", When(date(2031, 3, 13))),
        ("yesterday 16:00", When(date(2031, 3, 13), datetime(2031, 3, 13, 15, 0, tzinfo=UTC))),
        (
            "2031-03-10T00:10",
            When(date(2031, 3, 10), datetime(2031, 3, 9, 23, 10, tzinfo=UTC)),
        ),
    ],
)
def test_moments_are_read_by_the_clock_of_the_shop(text: str, when: When) -> None:
    assert moment_from_text(text, NOW) == when


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("24:00", "no clock shows"),
        ("12:75", "no clock shows"),
        ("30 Mar 02:30", "came twice or never"),
        ("26 Oct 02:30", "came twice or never"),
        ("noon", "is no day"),
    ],
)
def test_what_is_no_moment_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        moment_from_text(text, NOW)
