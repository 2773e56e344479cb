"""Fields for a day, and for the moment at which something happened."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime

from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.core.daybook import When
from vault.core.days import day_from_text, day_to_text, moment_from_text
from vault.core.errors import VaultError
from vault.screens.numbers import day as day_in_words
from vault.screens.widgets.fields import TROUBLE, Field

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class DayField(Field):
    """Takes a day as people type it, and says under it which day that is."""

    def __init__(
        self,
        name: str,
        today: Callable[[], date],
        hint: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(name, hint, parent)
        self._today = today

    def day(self) -> date | None:
        """Give the day; None where none is typed, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    def write_day(self, day: date | None) -> None:
        """Write a day, or nothing."""
        self.write("" if day is None else day_to_text(day))

    @override
    def read(self) -> date | None:
        return day_from_text(self.text, self._today()) if self.text else None

    @override
    def remark(self) -> str:
        day = self.day()
        return "" if day is None else _told(day, self._today())


class WhenField(Field):
    """Takes when something happened: now, unless it is set back; what lies ahead is warned of."""

    def __init__(
        self,
        now: Callable[[], datetime],
        name: str = "when it happened",
        parent: QWidget | None = None,
    ) -> None:
        """Build the field; `now` tells the moment by the shop's clock, with its zone."""
        super().__init__(name, "now", parent)
        self._now = now

    def when(self) -> When | None:
        """Give the moment; None for now, and where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    def warning(self) -> str:
        """Warn of a moment that is still to come; empty otherwise."""
        when = self.when()
        now = self._now()
        if when is None or not When(now.date(), now.astimezone(UTC)).is_before(when):
            return ""
        return (
            f"{day_in_words(when.day)} is still to come: the daybook then takes nothing earlier "
            "any more. Leave it empty for now."
            if when.day != now.date()
            else "That time is still to come today. Leave it empty for now."
        )

    @override
    def read(self) -> When | None:
        if self.text.lower() in {"", "now"}:
            return None
        return moment_from_text(self.text, self._now())

    @override
    def remark(self) -> str:
        when = self.when()
        if when is None:
            return ""
        told = _told(when.day, self._now().date())
        if when.at is None:
            return told
        return f"{told}, {when.at.astimezone(self._now().tzinfo):%H:%M}"

    @override
    def look(self) -> None:
        super().look()
        if warning := self.warning():
            self.said_of_it.say(warning, TROUBLE)


def _told(day: date, today: date) -> str:
    """Say which day that is, and how far from today: `Fri 28 Mar 2031, in 14 days`."""
    days = (day - today).days
    size = f"{abs(days)} {'day' if abs(days) == 1 else 'days'}"
    far = "today" if not days else f"in {size}" if days > 0 else f"{size} ago"
    return f"{_WEEKDAYS[day.weekday()]} {day_in_words(day)}, {far}"
