"""A figure with its standard uncertainty, and how many digits of the two mean anything.

± is one standard uncertainty (k = 1) everywhere; `interval_95` alone is wider. The rounding
follows JCGM 100:2008 (GUM), 7.2.6: at most two significant digits of u, the figure to match.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

Number = Decimal | float | int

# The half-width of 95 % of a normal distribution, in standard uncertainties.
K_95 = Decimal("1.96")
# Whole micrograms in grams, whole parts per billion in ‰: nothing finer is ever recorded.
_FINEST = -6


@dataclass(frozen=True, slots=True)
class Estimate:
    """A worked-out figure; nothing is cut off inside, so it may lie below zero.

    Attributes:
        value: the figure, in any unit.
        u: one standard uncertainty in the same unit; None where it is not known.
    """

    value: Decimal
    u: Decimal | None

    def rounded(self) -> tuple[str, str]:
        """Give the figure and its uncertainty as text; see `rounded`."""
        return rounded(self.value, self.u)

    def interval_95(self) -> tuple[Decimal, Decimal] | None:
        """Give the interval that holds the truth in 95 of 100 cases, cut at zero.

        A content is never below zero, so cutting there can only help. None where u is unknown.

        >>> Estimate(Decimal(1), Decimal(1)).interval_95()
        (Decimal('0'), Decimal('2.96'))
        """
        if self.u is None:
            return None
        half = K_95 * self.u
        return max(Decimal(0), self.value - half), max(Decimal(0), self.value + half)


def rounded(value: Number, u: Number | None) -> tuple[str, str]:
    """Give a figure and its uncertainty as plain decimal text, with the digits that count.

    u keeps two significant digits where its first is 1 or 2, else one. So the step of the last
    digit lies between a thirtieth and a third of u, and rounding adds at most a tenth of u to
    the doubt; one digit of 1 or 2 would be too coarse, two of 8 would pretend.

    With u = 0 the figure is exact and keeps all its digits down to a millionth; so it does with
    u unknown, and the text of u is then empty.

    >>> rounded(10.05762, 0.027)
    ('10.058', '0.027')
    >>> rounded(452.5, 0), rounded(452.5, None)
    (('452.5', '0'), ('452.5', ''))
    """
    exact = _exact(value)
    if u is None:
        return _plain(exact, None), ""
    doubt = _exact(u)
    if doubt < 0:
        raise ValueError("an uncertainty is never below zero")
    if doubt == 0:
        return _plain(exact, None), "0"
    place = place_of_last_digit(doubt)
    return _plain(exact, place), _plain(doubt, place)


def rounded_span(low: Number, high: Number) -> tuple[str, str]:
    """Give both ends of a span as plain decimal text, with the digits that its width allows.

    Two digits of the width count; a span of no width is one figure of four digits at most.

    >>> rounded_span(225.6, 236.4), rounded_span(3054, 3177), rounded_span(205.55, 205.55)
    (('226', '236'), ('3050', '3180'), ('205.6', '205.6'))
    """
    ends = _exact(low), _exact(high)
    width = ends[1] - ends[0]
    if width:
        place = max(width.adjusted() - 1, _FINEST)
        return _plain(ends[0], place), _plain(ends[1], place)
    told = _plain(ends[0], max(ends[0].adjusted() - 3, _FINEST))
    told = told.rstrip("0").rstrip(".") if "." in told else told
    return told, told


def place_of_last_digit(u: Decimal) -> int:
    """Give the power of ten of the last digit that u allows: -3 for 0.027, 1 for 43.

    What u rounds up to counts: 0.0296 has the place -3 and reads 0.030.
    """
    first = u.adjusted()
    return first - 1 if u.as_tuple().digits[0] <= 2 else first


def _exact(number: Number) -> Decimal:
    # By way of float, since a number of an array prints with its type around it.
    exact = Decimal(number) if isinstance(number, Decimal | int) else Decimal(repr(float(number)))
    if not exact.is_finite():
        raise ValueError("a figure is a number, or not known; it is never infinite")
    return exact


def _plain(number: Decimal, place: int | None) -> str:
    with localcontext() as context:
        # Decimal's own 28 digits would refuse a large figure with a very small u.
        context.prec = max(28, number.adjusted() - min(place or 0, _FINEST) + 2)
        to = Decimal(1).scaleb(_FINEST if place is None else place)
        shown = number.quantize(to, rounding=ROUND_HALF_EVEN)
        if place is None:
            shown = shown.normalize()
    text = f"{shown:f}"
    return text.removeprefix("-") if shown == 0 else text
