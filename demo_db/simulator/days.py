"""The shop's days: a clock that only goes forward, and what is still to be done later on."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta

from demo_db.simulator.dice import Dice
from vault.core.daybook import When

FIRST_DAY = date(2029, 3, 14)
LAST_DAY = date(2031, 3, 14)
_OPENS = time(8, 5)
_CLOSES = time(17, 40)
_SUNDAY = 6

# A story yields how many days to wait before it goes on.
Story = Iterator[int]


class Clock:
    """The clock on the wall of the shop, in its own time."""

    def __init__(self) -> None:
        self._dice = Dice("clock")
        self.now = datetime.combine(FIRST_DAY, _OPENS)

    @property
    def day(self) -> date:
        """The day of the shop."""
        return self.now.date()

    def open_on(self, day: date) -> None:
        """Go forward to a day; nothing is done on Sundays."""
        if day > self.day:
            self.now = datetime.combine(day, _OPENS) + timedelta(minutes=self._dice.whole(0, 50))
        self._rest()

    def tick(self, least: int = 3, most: int = 26) -> When:
        """Let some minutes pass and give the moment reached, as if the shop lay at Greenwich.

        The daybook file says only what the clock showed, so the zone stays the reader's matter.
        """
        self.now += timedelta(minutes=self._dice.whole(least, most))
        if self.now.time() > _CLOSES:
            self.now = datetime.combine(self.day + timedelta(days=1), _OPENS)
        self._rest()
        return When(self.day, self.now.replace(tzinfo=UTC))

    def _rest(self) -> None:
        if self.day.weekday() == _SUNDAY:
            self.now = datetime.combine(self.day + timedelta(days=1), _OPENS)


class Calendar:
    """Stories that go on side by side, each when its day has come."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._waiting: list[tuple[date, int, Story]] = []
        self._begun = 0

    def begin(self, story: Story, day: date) -> None:
        """Note a story for a day."""
        self._begun += 1
        heapq.heappush(self._waiting, (day, self._begun, story))

    def run(self) -> None:
        """Let all stories go on until the last day; what is not done then stays undone."""
        while self._waiting and self._waiting[0][0] <= LAST_DAY:
            day, _, story = heapq.heappop(self._waiting)
            self._clock.open_on(day)
            if self._clock.day > LAST_DAY:
                return
            wait = next(story, None)
            if wait is not None:
                self.begin(story, max(day, self._clock.day) + timedelta(days=wait))
