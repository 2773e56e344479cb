"""Reckoning aids against the tables that they are read from.

BER = C. & J. J. Beringer, A Text-book of Assaying, 9th ed., Griffin, London 1904.
"""

from __future__ import annotations

import periodictable
import pytest

from vault.reckoning.aids import (
    Charge,
    Passes,
    fineness_of,
    heat_of_cupel,
    inquart,
    lead_for,
    melting_point,
    oxides_to_come,
    room_for,
    slag_expected,
    soda_ash_for,
    sprouting,
)
from vault.reckoning.closure import Weighed
from vault.reckoning.cupels import lead_wanted_for_gold
from vault.reckoning.handbook import handbook
from vault.reckoning.spans import Span


def silver_alloy(copper: float, grams: float = 100.0) -> Charge:
    return Charge(grams, 0.0, {"Ag": ((1.0 - copper) * grams, 0.0)}, known=True)


@pytest.mark.parametrize(
    ("copper", "low", "high"),
    [(0.05, 6, 6), (0.10, 8, 8), (0.20, 10, 10), (0.30, 12, 12), (0.40, 14, 14), (0.60, 16, 18)],
)
def test_lead_for_silver_alloys_is_that_of_the_old_table(
    copper: float, low: float, high: float
) -> None:
    """BER p. 105, row by row."""
    found = lead_for(silver_alloy(copper), 0.0)
    assert found is not None
    assert (found.parts.low, found.parts.high) == pytest.approx((low, high))
    assert (found.grams.low, found.grams.high) == pytest.approx((100 * low, 100 * high))
    assert "BER p. 105" in found.source


def test_between_the_rows_the_table_is_read_in_a_straight_line() -> None:
    """36 % of copper lies between 12 and 14 parts: 13.2 (by arithmetic)."""
    found = lead_for(silver_alloy(0.36), 0.0)
    assert found is not None
    assert found.parts.low == pytest.approx(13.2)


def test_a_doubt_about_the_silver_widens_the_parts() -> None:
    found = lead_for(Charge(100.0, 0.0, {"Ag": (70.0, 5.0)}, known=True), 0.0)
    assert found is not None
    assert (found.parts.low, found.parts.high) == pytest.approx((11.0, 13.0))


@pytest.mark.parametrize(
    ("copper", "parts"), [(0.0, 8), (0.20, 16), (0.40, 24), (0.60, 32), (0.9, 32)]
)
def test_lead_for_gold_bullion_is_that_of_the_old_rule(copper: float, parts: float) -> None:
    """BER: 8 parts, twice at 20 % copper, three times at 40 %, four times above 60 %."""
    assert lead_wanted_for_gold(copper) == pytest.approx((parts, parts))


def test_gold_is_read_from_the_rule_for_gold_and_electrum_by_what_is_more() -> None:
    gold = lead_for(Charge(100.0, 0.0, {"Au": (50.0, 0.0), "Ag": (30.0, 0.0)}, known=True), 0.0)
    silver = lead_for(Charge(100.0, 0.0, {"Au": (30.0, 0.0), "Ag": (50.0, 0.0)}, known=True), 0.0)
    assert gold is not None
    assert silver is not None
    assert gold.by_gold
    assert gold.parts.low == pytest.approx(16)
    assert not silver.by_gold
    assert silver.parts.low == pytest.approx(10)


@pytest.mark.parametrize(
    ("given", "passes"),
    [(0, Passes.NO_LEAD), (19, Passes.TOO_LITTLE), (21, Passes.SEVERAL), (1000, Passes.ONE)],
)
def test_passes_follow_from_the_lead_that_is_given(given: float, passes: Passes) -> None:
    """20 g of copper in 100 g: 1000 g for one pass (BER), 20 g at least (common practice)."""
    found = lead_for(silver_alloy(0.20), given)
    assert found is not None
    assert found.passes is passes


def test_of_fine_silver_and_of_what_nobody_knows_no_lead_is_asked() -> None:
    assert lead_for(silver_alloy(0.0), 0.0) is None
    assert lead_for(Charge(100.0, 0.01, {"Ag": (50.0, 40.0)}, known=False), 0.0) is None


@pytest.mark.parametrize(
    ("cupel", "low", "high"),
    [
        ("bone ash cupel", 0.81, 1.08),
        ("Magnesia cupel, 3 in", 0.67, 0.70),
        ("cement cupel", 0.75, 0.75),
    ],
)
def test_a_cupel_takes_the_published_litharge(cupel: str, low: float, high: float) -> None:
    """G of litharge per g of cupel: bone ash 0.81-1.08 (BER), magnesia and cement published."""
    found = room_for(Span(10.0, 10.0), [Weighed("", cupel, 100.0)])
    assert found is not None
    assert (found.takes.low, found.takes.high) == pytest.approx((100 * low, 100 * high))
    assert found.fits is True


def test_a_cupel_of_unknown_stuff_takes_anything_between_the_least_and_the_most() -> None:
    found = room_for(Span(90.0, 90.0), [Weighed("", "new cupel", 100.0)])
    assert found is not None
    assert (found.takes.low, found.takes.high) == pytest.approx((67.0, 108.0))
    assert found.fits is None
    assert found.material == ""


def test_oxides_beyond_all_room_want_more_cupels() -> None:
    found = room_for(Span(140.0, 150.0), [Weighed("", "magnesia cupel", 100.0)])
    assert found is not None
    assert found.fits is False
    assert found.cupels_wanted == 3


def test_lead_is_0_9283_of_litharge() -> None:
    """By atomic weights (package periodictable, IUPAC)."""
    litharge = periodictable.formula("PbO")
    expected = periodictable.Pb.mass / litharge.mass
    assert handbook("cupels")["lead_of_litharge"]["share"] == pytest.approx(expected, abs=1e-4)


def test_oxides_to_come_are_those_of_lead_and_copper() -> None:
    """100 g of lead as PbO, 20 g of copper as Cu2O at the least and CuO at the most (IUPAC)."""
    found = oxides_to_come(silver_alloy(0.20), [Weighed("K", "button", 100.0)], 100.0)
    assert found is not None
    assert found.low == pytest.approx(107.722 + 20 * 1.12589, abs=0.01)
    assert found.high == pytest.approx(107.722 + 20 * 1.25177, abs=0.01)


def test_slag_is_flux_without_its_gas_and_dirt() -> None:
    """50 g of soda ash keep 29.24 g, 40 g of borax 21.10 g; 10 g of copper 11.26 to 12.52 g."""
    found = slag_expected(
        [Weighed("R", "filings", 100.0)],
        [Weighed("a", "soda ash", 50.0), Weighed("b", "borax", 40.0)],
        Span.exactly(90.0),
    )
    assert found is not None
    assert found.gas_g == pytest.approx(50 * 0.4152 + 40 * 0.4724, abs=0.01)
    assert found.grams.low == pytest.approx(29.24 + 21.10 + 11.26, abs=0.02)
    assert found.grams.high == pytest.approx(29.24 + 21.10 + 12.52, abs=0.02)
    assert slag_expected([Weighed("R", "filings", None)], [], Span.exactly(9.0)) is None


def test_fifty_grams_of_quartz_take_88_5_g_of_soda_ash() -> None:
    """BER."""
    assert soda_ash_for(50.0) == pytest.approx(88.5)


def test_silver_for_parting_is_two_and_a_half_times_the_gold() -> None:
    """BER 2.5 : 1; ISO 11426:2014 2.3 to 3."""
    found = inquart(Charge(5.0, 0.0, {"Au": (4.0, 0.0), "Ag": (0.5, 0.0)}, known=True))
    assert found is not None
    assert found.to_add_g == pytest.approx(9.5)
    assert (found.wanted.low, found.wanted.high) == pytest.approx((9.2, 12.0))
    assert not found.enough
    enough = inquart(Charge(15.0, 0.0, {"Au": (4.0, 0.0), "Ag": (9.3, 0.0)}, known=True))
    assert enough is not None
    assert enough.enough
    assert inquart(silver_alloy(0.1)) is None


def test_fineness_is_fine_per_gross_with_the_doubts_of_both() -> None:
    """JCGM 100:2008, eq. 12: (u/a)² = (u_m/m)² + (u_g/g)²."""
    found = fineness_of((90.0, 0.9), (100.0, 1.0))
    assert found == pytest.approx((0.9, 0.9 * (0.01**2 + 0.01**2) ** 0.5))
    assert fineness_of((90.0, 0.9), (0.0, 1.0)) is None


def test_silver_sprouts_by_its_oxygen_unless_there_is_gold_in_it() -> None:
    """BER: 0.30 % of oxygen by mass; more than about 30 % of gold stops it."""
    found = sprouting(500.0, 0.99, 0.005)
    assert found is not None
    assert found.oxygen_g == pytest.approx(1.5)
    assert sprouting(500.0, 0.60, 0.35) is None
    assert sprouting(500.0, 0.90, 0.0) is None


def test_heat_is_that_of_the_books() -> None:
    """PbO 888 °C published; T. K. Rose p. 506: 910 °C; muffle 955 to 985 °C common practice."""
    heat = heat_of_cupel(None)
    assert (heat.melts, heat.finish, heat.low, heat.high) == (888.0, 910.0, 955.0, 985.0)


@pytest.mark.parametrize(("metal", "celsius"), [("Ag", 961.78), ("Au", 1064.18), ("Pb", 327.46)])
def test_melting_points_are_those_remembered(metal: str, celsius: float) -> None:
    """From memory: ITS-90 fixed points of silver and gold, handbooks for lead."""
    assert melting_point(metal) == celsius
    assert melting_point("Xx") is None
