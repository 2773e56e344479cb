"""A few simulated shops a day: acting on the verdict earns no less than any fixed habit.

The table of DEVELOPERS is made by `python tests/simulation/sending_study.py --shops 100`.
"""

from __future__ import annotations

import pytest

from simulation.sending import KINDS
from simulation.sending_study import Tally, study
from vault.reckoning.choices import Way

SHOPS = 2


@pytest.fixture(scope="module", params=["poor cupels", "rich slag"])
def played(request: pytest.FixtureRequest) -> Tally:
    return study(next(one for one in KINDS if one.name == request.param), SHOPS)


@pytest.mark.parametrize("habit", ["quarterly", "full", "never"])
def test_acting_on_the_verdict_earns_no_less_than_a_fixed_habit(played: Tally, habit: str) -> None:
    more, _ = played.ahead(habit)
    assert more >= 0.0


def test_the_ranges_hold_what_comes_of_sending(played: Tally) -> None:
    """A handful of shops, each with one house factor for ten years, lets the share stray."""
    ranges = played.ranges[Way.SEND]
    assert ranges.seen > 50
    assert 0.75 <= ranges.share <= 1.0
