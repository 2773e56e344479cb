"""Origins against exact fractions worked by hand: three melts, one of them of an earlier slag.

Source: balance notes of this project, example D6 (own, exact fractions); no outside source.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from builders import received, thing, worked
from vault.core.daybook import Entry
from vault.core.flow import flow_of
from vault.core.rules import replay
from vault.reckoning.origins import Origins

GRAMS = {
    "L1": 100.0,
    "L2": 300.0,
    "bar1": 380.0,
    "slag1": 8.0,
    "L3": 42.0,
    "bead2": 45.0,
    "cupel2": 1.0,
    "L1b": 75.0,
    "bar3": 490.0,
}


def _entries() -> list[Entry]:
    return [
        *(
            received(number, thing(tag, "scrap"), lot=tag)
            for number, tag in enumerate(("L1", "L2", "L3", "L1b"), start=1)
        ),
        worked(5, "smelt", used="L1 L2", made=[thing("bar1", "bar"), thing("slag1", "slag")]),
        worked(
            6,
            "cupel",
            used="slag1 L3",
            made=[thing("bead2", "bead"), thing("cupel2", "spent cupel")],
        ),
        worked(7, "remelt", used="bead2 bar1 L1b", made=[thing("bar3", "bar")]),
    ]


@pytest.fixture
def origins() -> Origins:
    flow = flow_of(replay(_entries()))
    return Origins(flow, {"Ag": np.array([GRAMS[tag] for tag in flow.items])})


@pytest.mark.parametrize(
    ("tag", "expected"),
    [
        ("bar1", {"L1": Fraction(1, 4), "L2": Fraction(3, 4)}),
        ("bead2", {"L1": Fraction(1, 25), "L2": Fraction(3, 25), "L3": Fraction(21, 25)}),
        (
            "bar3",
            {
                "L1": Fraction(121, 625),
                "L2": Fraction(363, 625),
                "L3": Fraction(189, 2500),
                "L1b": Fraction(3, 20),
            },
        ),
    ],
)
def test_shares_are_the_exact_fractions(
    origins: Origins, tag: str, expected: dict[str, Fraction]
) -> None:
    shares = {one.source.name: one.share for one in origins.of_item(tag, "Ag")}
    assert shares == pytest.approx({lot: float(part) for lot, part in expected.items()}, rel=1e-14)
    assert sum(expected.values()) == 1


def test_the_account_of_a_lot_is_the_exact_fractions(origins: Origins) -> None:
    """L1: 100 g in; 121/625 of bar3 and 1/25 of cupel2 remain, the rest went in three losses."""
    fate = origins.fate_of("L1", "Ag")
    bar3, cupel2 = Fraction(490) * 121 / 625, Fraction(1, 25)
    losses = Fraction(400 - 388) / 4 + Fraction(50 - 46) / 25 + Fraction(500 - 490) * 121 / 625
    assert bar3 + cupel2 + losses == 100
    held = {one.tag: one.fine_g for one in fate.on_hand}
    assert held == pytest.approx({"bar3": float(bar3), "cupel2": float(cupel2)}, rel=1e-14)
    assert fate.lost_g == pytest.approx(float(losses), rel=1e-12)
    assert fate.received_g == 100.0


def test_a_crowd_of_particles_ends_where_the_shares_say(origins: Origins) -> None:
    """Every microgram followed by itself: at a melt it goes to any product as the products weigh.

    An independent way to the same shares, with no fraction in it: 200 000 particles, each of one
    lot, drawn out of each melt in proportion to what came out. Common practice, no source.
    """
    chance = np.random.default_rng(6)
    count = 200_000
    lots = ["L1", "L2", "L3", "L1b"]
    weights = np.array([GRAMS[lot] for lot in lots])
    of_lot = chance.choice(len(lots), count, p=weights / weights.sum())
    at = np.array(lots, dtype=object)[of_lot]
    for work in origins.flow.works.values():
        inside = np.isin(at, work.used)
        feed = sum(GRAMS[tag] for tag in work.used)
        parts = [GRAMS[tag] / feed for tag in work.made]
        goes = chance.choice([*work.made, "lost"], inside.sum(), p=[*parts, 1 - sum(parts)])
        at[inside] = goes
    in_bar = of_lot[at == "bar3"]
    for one in origins.of_item("bar3", "Ag"):
        assert one.share is not None
        found = np.mean(in_bar == lots.index(one.source.name))
        scatter = (one.share * (1 - one.share) / len(in_bar)) ** 0.5
        assert abs(found - one.share) < 4 * scatter
