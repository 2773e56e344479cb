"""Moments of the daybook file: ISO 8601 days and date-times, by the clock of the shop.

A time without an offset is by the shop's clock; `Z` is an instant whose shop day the shop's zone
tells; with an offset the written day is the shop's own. Times are written with their offset, so
that a daybook reads the same wherever it is read.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo

from vault.core.daybook import FIRST_YEAR, LAST_YEAR, When
from vault.core.errors import TextNotUnderstood
from vault.core.numerals import shortened

_SHAPE = re.compile(
    r"(\d{4}-\d\d-\d\d)"
    r"(?:[Tt ](\d\d:\d\d(?::\d\d(?:\.\d{1,6})?)?)(Z|z|[+-]\d\d:\d\d(?::\d\d)?)?)?\Z",
    re.ASCII,
)
_BARE_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_MOST_KEPT = 50_000
_DAY = timedelta(days=1)
_MINUTE = timedelta(minutes=1)


class Moments:
    """Reads and writes moments by one shop's clock."""

    def __init__(self, zone: tzinfo) -> None:
        self._zone = zone
        # Many entries share a day or an hour, and the text of each stands in every row of it.
        self._read: dict[str, When] = {}

    def from_text(self, text: str) -> When:
        """Read a day or a moment.

        Raises:
            TextNotUnderstood: when it is none, or one that the clock showed twice or never.
        """
        when = self._read.get(text)
        if when is None:
            when = self._from_text(text)
            if len(self._read) >= _MOST_KEPT:
                self._read.clear()
            self._read[text] = when
        return when

    def to_text(self, when: When) -> str:
        """Write a day or a moment so that it reads back as the same, in any zone."""
        if when.at is None:
            return when.day.isoformat()
        local = when.at.astimezone(self._zone)
        if local.date() != when.day:
            local = when.at.astimezone(_offset_for(when.at, when.day))
        whole_minute = not (local.second or local.microsecond)
        return local.isoformat(timespec="minutes" if whole_minute else "auto")

    def _from_text(self, text: str) -> When:
        found = _SHAPE.match(text)
        if not found:
            raise TextNotUnderstood(
                f"“{shortened(text)}” is no date; write year-month-day such as 2031-03-01, or with "
                "the time, such as 2031-03-01T09:10."
            )
        day_text, time_text, offset = found.groups()
        day = _day_from_text(day_text)
        if time_text is None:
            return When(day)
        try:
            stamp = datetime.fromisoformat(
                f"{day_text}T{time_text}{'' if offset in (None, 'Z', 'z') else offset}"
            )
        except ValueError:
            raise TextNotUnderstood(
                f"“{shortened(text)}” has a time that no clock shows; write hours 00 to 23, "
                "minutes and seconds 00 to 59."
            ) from None
        if offset is None:
            return self._by_the_shops_clock(stamp)
        if offset in "Zz":
            instant = stamp.replace(tzinfo=UTC)
            return When(instant.astimezone(self._zone).date(), instant)
        return When(day, stamp.astimezone(UTC))

    def _by_the_shops_clock(self, stamp: datetime) -> When:
        local = stamp.replace(tzinfo=self._zone)
        first, second = local.utcoffset(), local.replace(fold=1).utcoffset()
        if first is None or second is None or first == second:
            return When(stamp.date(), local.astimezone(UTC))
        name = str(self._zone)
        if first < second:
            raise TextNotUnderstood(
                f"The clock in {name} never showed {stamp.isoformat(' ', 'minutes')}, it went "
                "forward over it; correct the time."
            )
        raise TextNotUnderstood(
            f"The clock in {name} showed {stamp.isoformat(' ', 'minutes')} twice as it went back; "
            f"say which, by its offset: {local.isoformat(timespec='minutes')} or "
            f"{local.replace(fold=1).isoformat(timespec='minutes')}."
        )


def day_from_text(text: str) -> date:
    """Read a bare day.

    Raises:
        TextNotUnderstood: when it is none.
    """
    if not _BARE_DAY.fullmatch(text):
        raise TextNotUnderstood(
            f"“{shortened(text)}” is no day; write year-month-day, such as 2031-03-01."
        )
    return _day_from_text(text)


def _day_from_text(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise TextNotUnderstood(f"The calendar has no day {text}; correct the date.") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise TextNotUnderstood(
            f"The year of {text} lies outside {FIRST_YEAR} to {LAST_YEAR}; correct the date."
        )
    return day


def _offset_for(at: datetime, day: date) -> timezone:
    """Give an offset in whole minutes under which an instant falls on a day."""
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)
    if at < start:
        return timezone(-((at - start) // _MINUTE) * _MINUTE)
    beyond = (at - start - _DAY) // _MINUTE + 1
    return timezone(-max(beyond, 0) * _MINUTE)
