"""Chance that falls the same on every machine.

Only `random.random()` is drawn, and only plain arithmetic is done with it, both of which give the
same bits everywhere; the logarithms and cosines of other generators need not.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from decimal import Context, Decimal
from typing import TypeVar

SEED = "Tidewater Melt Shop 21"
_CONTEXT = Context(prec=20)

T = TypeVar("T")


class Dice:
    """One stream of chance with a name of its own, so that one story does not disturb another."""

    def __init__(self, name: str) -> None:
        self._random = random.Random(f"{SEED}: {name}")

    def between(self, low: float, high: float) -> float:
        """Draw evenly from a range."""
        return low + (high - low) * self._random.random()

    def whole(self, low: int, high: int) -> int:
        """Draw a whole number, both ends included."""
        return low + int(self._random.random() * (high - low + 1))

    def chance(self, share: float) -> bool:
        """Tell whether something happens that happens in this share of cases."""
        return self._random.random() < share

    def normal(self, sd: float = 1.0) -> float:
        """Draw from a normal distribution: twelve even draws less six (Irwin and Hall)."""
        return sd * (added_up(self._random.random() for _ in range(12)) - 6.0)

    def scatter(self, sd: float, *, least: float = 0.2, most: float = 2.5) -> float:
        """Draw a factor around one that stays within limits."""
        return min(max(1.0 + self.normal(sd), least), most)

    def pick(self, choices: Sequence[T]) -> T:
        """Draw one of several."""
        return choices[self.whole(0, len(choices) - 1)]

    def parts(self, count: int, *, uneven: float = 0.3) -> list[float]:
        """Draw shares of a whole that add up to one."""
        raw = [self.scatter(uneven) for _ in range(count)]
        whole = added_up(raw)
        return [one / whole for one in raw]


def added_up(numbers: Iterable[float]) -> float:
    """Add numbers one after another; `sum` rounds otherwise from Python 3.12 on."""
    whole = 0.0
    for number in numbers:
        whole += number
    return whole


def power(base: float, exponent: str) -> float:
    """Raise to a power in decimal arithmetic, whose digits no machine's library changes."""
    return float(_CONTEXT.power(Decimal(repr(base)), Decimal(exponent)))
