"""How far a scale in service may be off, and what that makes of the ± of a weight.

OIML R 76 sets limits of error by the class of a scale and its verification interval e; in service
they are twice those of the first verification. Class II as a published source gives it; the
other classes from memory. The limits are a guide: what binds a shop is its own law of weights.
"""

from __future__ import annotations

from decimal import Decimal

from vault.core.masses import Mass

# For each class: up to so many intervals of load, so many intervals of error, in service.
_STEPS: dict[str, tuple[tuple[int, int], ...]] = {
    "I": ((50_000, 1), (200_000, 2)),
    "II": ((5_000, 1), (20_000, 2), (100_000, 3)),
    "III": ((500, 1), (2_000, 2), (10_000, 3)),
    "IIII": ((50, 1), (200, 2), (1_000, 3)),
}
# Class I has no greatest number of intervals.
_ABOVE = {"I": 3}
CLASSES = tuple(_STEPS)


def limit_in_service(load: Mass, *, interval: Mass, accuracy_class: str) -> Mass | None:
    """Give the greatest error allowed in service, or None where no limit is set for the load.

    Args:
        load: what lies on the scale, not below zero.
        interval: the verification interval e.
        accuracy_class: I, II, III or IIII.

    >>> limit_in_service(Mass(60_000_000), interval=Mass(10_000), accuracy_class="II")
    Mass(micrograms=20000)
    """
    if interval.micrograms <= 0 or load.micrograms < 0:
        return None
    for most, errors in _STEPS.get(accuracy_class, ()):
        if load.micrograms <= most * interval.micrograms:
            return Mass(errors * interval.micrograms)
    above = _ABOVE.get(accuracy_class)
    return None if above is None else Mass(above * interval.micrograms)


def doubt_of_a_weight(*, step: Mass, limit: Mass | None) -> Mass:
    """Give one standard uncertainty of a weight, from the display's step and the scale's limits.

    u² = step²/12 + limit²/3: a reading lies anywhere within its step (JCGM 100:2008, F.2.2.1: a
    step of 1 g has u = 0.29 g), and limits of ± a are as likely anywhere between (4.3.7: a/√3).
    Without a limit only the step counts, so the ± is then the least that it can be.

    >>> doubt_of_a_weight(step=Mass(1_000_000), limit=None)
    Mass(micrograms=288675)
    """
    squares = Decimal(step.micrograms) ** 2 / 12
    if limit is not None:
        squares += Decimal(limit.micrograms) ** 2 / 3
    return Mass(int(squares.sqrt().to_integral_value()))
