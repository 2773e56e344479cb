"""Spans: figures of which only the ends are known, in grams."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """Anywhere between two ends, low not above high.

    Example:
        >>> Span(1.0, 2.0) + Span(3.0, 5.0) - Span.exactly(1.0)
        Span(low=3.0, high=6.0)
    """

    low: float
    high: float

    @classmethod
    def exactly(cls, value: float) -> Span:
        """Give a span of no width."""
        return cls(value, value)

    def __add__(self, other: Span) -> Span:
        return Span(self.low + other.low, self.high + other.high)

    def __sub__(self, other: Span) -> Span:
        return Span(self.low - other.high, self.high - other.low)

    def times(self, low: float, high: float) -> Span:
        """Multiply a span above zero by a factor of which only the ends are known."""
        return Span(self.low * low, self.high * high)

    def at_least(self, least: float) -> Span:
        """Raise both ends to a value where they lie below it."""
        return Span(max(self.low, least), max(self.high, least))

    @property
    def middle(self) -> float:
        """Halfway between the ends."""
        return (self.low + self.high) / 2.0
