"""The axes of a chart over time: days in the shop's words, and masses with their unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

import pyqtgraph as pg
from typing_extensions import override

from vault.screens.look import Look, Size, face
from vault.screens.numbers import Numbers, day

LEAST_DISTANCE_PX = 84
_EDGE_PX = 34
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# Steps between ticks: days up to a fortnight, then months.
_STEPS_OF_DAYS = (1, 2, 7, 14)
_STEPS_OF_MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 2400)
_DAYS_OF_A_MONTH = 30.44
_MONTHS_OF_A_YEAR = 12


def ticks_between(first: float, last: float, length_px: float) -> tuple[list[date], bool]:
    """Give the days that get a tick, and whether they are told by month alone.

    Args:
        first: the left bound as the ordinal of a day.
        last: the right bound.
        length_px: how long the axis is; ticks stand far enough apart to be read.
    """
    least = LEAST_DISTANCE_PX * max(1e-9, last - first) / max(1.0, length_px)
    for step in _STEPS_OF_DAYS:
        if step >= least:
            # Day 1 of the calendar was a Monday: weeks begin on one.
            begin = -(-(math.ceil(first) - 1) // step) * step + 1
            return [date.fromordinal(one) for one in range(begin, int(last) + 1, step)], False
    months = next((one for one in _STEPS_OF_MONTHS if one * _DAYS_OF_A_MONTH >= least), 2400)
    start = date.fromordinal(max(1, int(first)))
    number = -(-(start.year * _MONTHS_OF_A_YEAR + start.month - 1) // months) * months
    found: list[date] = []
    while True:
        tick = date(number // _MONTHS_OF_A_YEAR, number % _MONTHS_OF_A_YEAR + 1, 1)
        if tick.toordinal() > last:
            return found, True
        if tick.toordinal() >= first:
            found.append(tick)
        number += months


def tick_words(ticks: Sequence[date], *, by_month: bool) -> list[str]:
    """Write ticks short; the first one and the first of each year carry the year."""
    words = []
    year = None
    for one in ticks:
        if not by_month:
            words.append(day(one) if one.year != year else f"{one.day} {_MONTHS[one.month - 1]}")
        elif one.year != year:
            words.append(f"{_MONTHS[one.month - 1]} {one.year}")
        else:
            words.append(_MONTHS[one.month - 1])
        year = one.year
    return words


class DayAxis(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """The axis below: ticks at days, months or years, as there is room."""

    def __init__(self, look: Look) -> None:
        super().__init__("bottom", pen=look.line, textPen=look.soft_ink, maxTickLength=-5)
        self.setStyle(tickFont=face(Size.SMALL), hideOverlappingLabels=True)

    @override
    def tickValues(
        self,
        minVal: float,
        maxVal: float,
        size: float,
    ) -> list[tuple[float, list[float]]]:
        ticks, _ = ticks_between(minVal, maxVal, size)
        # Too near the left edge there is no room for the words, and the first one carries the year.
        least = minVal + (maxVal - minVal) * _EDGE_PX / max(1.0, size)
        return [(1.0, [float(one.toordinal()) for one in ticks if one.toordinal() >= least])]

    @override
    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        first, last = self.range
        _, by_month = ticks_between(first, last, self.size().width())
        return tick_words([date.fromordinal(int(one)) for one in values], by_month=by_month)


class _UpAxis(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """The axis on the left: figures in a unit, in the reader's number style."""

    def __init__(self, look: Look, numbers: Numbers, unit: str) -> None:
        super().__init__("left", pen=None, textPen=look.soft_ink, maxTickLength=0)
        self._numbers = numbers
        self._unit = unit
        self.enableAutoSIPrefix(enable=False)
        self.setStyle(tickFont=face(Size.SMALL), tickTextOffset=8, maxTickLevel=0)

    @override
    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        return [self.words_of(one, spacing) for one in values]

    def words_of(self, value: float, spacing: float) -> str:
        """Write one figure, with as many decimals as the distance of ticks asks for."""
        decimals = 0
        while decimals < 6 and abs(spacing * 10**decimals - round(spacing * 10**decimals)) > 1e-9:
            decimals += 1
        if value == 0:
            return "0"
        return f"{self._numbers.plain(f'{value:.{decimals}f}')} {self._unit}"


class MassAxis(_UpAxis):
    """Masses in the reader's unit."""

    def __init__(self, look: Look, numbers: Numbers) -> None:
        super().__init__(look, numbers, numbers.unit)


class ShareAxis(_UpAxis):
    """Shares in percent."""

    def __init__(self, look: Look, numbers: Numbers) -> None:
        super().__init__(look, numbers, "%")
