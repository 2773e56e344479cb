"""Days and times as people type them: `14 Mar`, `yesterday`, `15:20`, `in 14 days`."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

from vault.core.daybook import FIRST_YEAR, LAST_YEAR, When
from vault.core.errors import TextNotUnderstood, TextUnclear
from vault.core.numerals import shortened

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_NAMED_DAYS = {"today": 0, "yesterday": -1, "tomorrow": 1}
_ISO = re.compile(r"(\d{4})-(\d\d?)-(\d\d?)\Z", re.ASCII)
_NUMBERS = re.compile(r"(\d\d?)\s*([./-])\s*(\d\d?)(?:\s*[./-]\s*(\d{4})?)?\Z", re.ASCII)
_WORDS = re.compile(r"(\d\d?)\.?\s*([a-z]{3,9})\.?(?:\s+(\d{4}))?\Z", re.ASCII)
_FROM_TODAY = re.compile(r"(?:in\s+|\+)(\d{1,4})(?:\s*(?:days?|d))?\Z", re.ASCII)
_TIME = re.compile(r"(?:\A|(?<=\s)|(?<=\dT))(\d\d?):(\d\d)\s*\Z", re.ASCII)
_MONTHS_OF_A_YEAR = 12


def day_from_text(text: str, today: date) -> date:
    """Read a day; a year that is left out is this year.

    Raises:
        TextUnclear: when `3/4` could be two days; `meant` tells them apart.
        TextNotUnderstood: when it is no day.
    """
    packed = " ".join(text.lower().replace(",", " ").split())
    if packed in _NAMED_DAYS:
        return _moved(today, _NAMED_DAYS[packed])
    if found := _FROM_TODAY.match(packed):
        return _moved(today, int(found[1]))
    if found := _ISO.match(packed):
        return _day(text, int(found[1]), int(found[2]), int(found[3]))
    if found := _WORDS.match(packed):
        return _day(text, int(found[3] or today.year), _month_named(text, found[2]), int(found[1]))
    if found := _NUMBERS.match(packed):
        return _day_of_numbers(text, found, today.year)
    raise _no_day(text)


def moment_from_text(text: str, now: datetime) -> When:
    """Read a day, or a day and a time by the shop's clock; a time alone is of today.

    Args:
        text: what was typed; nothing, or `now`, is this moment.
        now: this moment by the shop's clock, with its zone.

    Raises:
        TextNotUnderstood: when it is none, could be two, or the clock never showed it.
    """
    packed = text.strip()
    if packed.lower() in {"", "now"}:
        return When(now.date(), now.astimezone(UTC))
    found = _TIME.search(packed)
    if found is None:
        return When(day_from_text(packed, now.date()))
    before = packed[: found.start()].rstrip(" T,")
    day = day_from_text(before, now.date()) if before else now.date()
    hour, minute = int(found[1]), int(found[2])
    if hour > 23 or minute > 59:
        raise TextNotUnderstood(
            f"“{shortened(text)}” has a time that no clock shows; write 00:00 to 23:59."
        )
    local = datetime.combine(day, time(hour, minute), now.tzinfo)
    if local.utcoffset() != local.replace(fold=1).utcoffset():
        raise TextNotUnderstood(
            f"The clock was changed around {hour:02}:{minute:02} on that day, so that this time "
            "came twice or never; write one an hour before or after."
        )
    return When(day, local.astimezone(UTC))


def day_to_text(day: date) -> str:
    """Write a day so that it reads back as the same in any year: `5 Mar 2031`."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _day_of_numbers(text: str, found: re.Match[str], this_year: int) -> date:
    first, second = int(found[1]), int(found[3])
    year = int(found[4] or this_year)
    # With points the day stands first everywhere; with strokes it depends on the country.
    could_be_two = found[2] != "." and first != second and max(first, second) <= _MONTHS_OF_A_YEAR
    if could_be_two:
        meant = [
            day_to_text(_day(text, year, month, day))
            for day, month in (
                (first, second),
                (second, first),
            )
        ]
        raise TextUnclear(f"Is {shortened(text)} meant as {' or '.join(meant)}?", meant)
    if found[2] != "." and second > _MONTHS_OF_A_YEAR:
        first, second = second, first
    return _day(text, year, second, first)


def _month_named(text: str, word: str) -> int:
    for place, name in enumerate(MONTHS, start=1):
        if word.startswith(name.lower()):
            return place
    raise _no_day(text)


def _moved(today: date, days: int) -> date:
    return today + timedelta(days=days)


def _day(text: str, year: int, month: int, day: int) -> date:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise TextNotUnderstood(
            f"The year of “{shortened(text)}” lies outside {FIRST_YEAR} to {LAST_YEAR}; "
            "correct the date."
        )
    try:
        return date(year, month, day)
    except ValueError:
        raise TextNotUnderstood(
            f"The calendar has no day “{shortened(text)}”; correct the date."
        ) from None


def _no_day(text: str) -> TextNotUnderstood:
    return TextNotUnderstood(
        f"“{shortened(text)}” is no day; write it like 14 Mar, 14.3.2031, yesterday or in 14 days."
    )
