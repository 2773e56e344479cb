"""Units, fineness and fine weight against values from outside, each with its source."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest

from vault.core.fineness import Fineness, fineness_from_text
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass, mass_from_text
from vault.core.uncertainty import rounded

PINT_NAMES = {
    "g": "gram",
    "kg": "kilogram",
    "mg": "milligram",
    "ozt": "troy_ounce",
    "dwt": "pennyweight",
    "gr": "grain",
}


@pytest.fixture(scope="module")
def units() -> pint.UnitRegistry[Decimal]:
    return pint.UnitRegistry(non_int_type=Decimal)


def fine_ozt(gross: Mass, fineness: Fineness) -> Decimal:
    """Give the fine weight as the trade reckons it: gross times fineness, in troy ounces."""
    fine = Fraction(gross.micrograms * fineness.ppb, 10**9)
    ounces = fine / Fraction(MICROGRAMS_PER_UNIT["ozt"])
    return round(Decimal(ounces.numerator) / Decimal(ounces.denominator), 3)


@pytest.mark.parametrize("unit", MICROGRAMS_PER_UNIT)
def test_units_of_mass_agree_with_an_independent_registry(
    unit: str, units: pint.UnitRegistry[Decimal]
) -> None:
    """The registry is `pint` with exact decimals; both rest on the pound of 0.45359237 kg."""
    expected = units.Quantity(Decimal(1), PINT_NAMES[unit]).to("microgram").magnitude
    assert abs(MICROGRAMS_PER_UNIT[unit] / expected - 1) < Decimal("1e-24")


@pytest.mark.parametrize(
    ("unit", "grams"),
    [("ozt", "31.1034768"), ("dwt", "1.55517384"), ("gr", "0.06479891")],
)
def test_troy_units_have_their_exact_factors(unit: str, grams: str) -> None:
    """NIST Handbook 44, Appendix C: exact by definition."""
    assert MICROGRAMS_PER_UNIT[unit] == Decimal(grams) * 1_000_000


def test_troy_units_fit_into_each_other() -> None:
    """By definition: 24 grains are a pennyweight, 20 pennyweights a troy ounce, 12 the pound."""
    assert MICROGRAMS_PER_UNIT["gr"] * 24 == MICROGRAMS_PER_UNIT["dwt"]
    assert MICROGRAMS_PER_UNIT["dwt"] * 20 == MICROGRAMS_PER_UNIT["ozt"]
    assert MICROGRAMS_PER_UNIT["ozt"] * 12 == Decimal("373_241_721.6")


def test_a_thousand_kilograms_are_so_many_ounces() -> None:
    """By arithmetic from the exact factor: 1 g = 0.0321507465686… ozt."""
    assert round(mass_from_text("1 g").in_unit("ozt"), 13) == Decimal("0.0321507465686")


@pytest.mark.parametrize(
    ("karat", "permille"), [(9, "375"), (14, "583.333"), (18, "750"), (22, "916.667"), (24, "1000")]
)
def test_karat_are_parts_of_twenty_four(karat: int, permille: str) -> None:
    """By arithmetic: 1000·k/24 ‰, to the digits of the text."""
    assert round(fineness_from_text(f"{karat} kt").permille, 3) == Decimal(permille)


def test_fourteen_karat_lie_below_their_usual_mark() -> None:
    """By arithmetic from 14/24; 585 is the mark (Hallmarking Convention, UK country profile)."""
    assert fineness_from_text("14 kt") < fineness_from_text("585")


@pytest.mark.parametrize(("dwt_in_twelve_ounces", "permille"), [("222", "925"), ("230", "958.333")])
def test_sterling_and_britannia_are_what_they_say(dwt_in_twelve_ounces: str, permille: str) -> None:
    """By arithmetic: 11 oz 2 dwt in 12 oz is 925 ‰, 11½ oz in 12 oz is 958.33 ‰."""
    silver = mass_from_text(f"{dwt_in_twelve_ounces} dwt")
    share = Decimal(silver.micrograms) / mass_from_text("12 ozt").micrograms * 1000
    assert abs(share - Decimal(permille)) < Decimal("0.001")


def test_percent_and_grams_per_tonne_are_the_same_scale() -> None:
    """By definition: 1 % is 10 ‰ and 1 g/t is one part in a million."""
    assert fineness_from_text("0.03 %") == fineness_from_text("300 g/t")
    assert fineness_from_text("300 g/t") == fineness_from_text("0.3 ‰")


def test_the_fine_weight_of_a_london_bar() -> None:
    """LBMA Good Delivery Rules, Annex C, its own line: 401.125 ozt × 995.8 ‰ = 399.440 ozt."""
    gross = mass_from_text("401.125 ozt")
    assert fine_ozt(gross, fineness_from_text("995.8")) == Decimal("399.440")


@pytest.mark.parametrize(
    ("gross", "permille", "ounces"),
    [
        ("1 kg", "995", "31.990"),
        ("1 kg", "999", "32.119"),
        ("1 kg", "999.9", "32.148"),
        ("500 g", "995", "15.995"),
        ("500 g", "999", "16.059"),
        ("500 g", "999.9", "16.074"),
        ("100 g", "995", "3.199"),
        ("100 g", "999", "3.212"),
        ("100 g", "999.9", "3.215"),
        # The trade agrees on 0.322 for this one: an agreed weight is no arithmetic.
        ("10 g", "999", "0.321"),
    ],
)
def test_fine_ounces_of_metric_bars(gross: str, permille: str, ounces: str) -> None:
    """As the bullion trade publishes them; each follows by arithmetic from gross and fineness."""
    assert fine_ozt(mass_from_text(gross), fineness_from_text(permille)) == Decimal(ounces)


def test_reading_a_mass_loses_less_than_a_microgram() -> None:
    """By arithmetic, against whole fractions."""
    exact = Fraction("401.125") * Fraction(MICROGRAMS_PER_UNIT["ozt"])
    assert abs(mass_from_text("401.125 ozt").micrograms - exact) <= Fraction(1, 2)


def test_rounding_follows_the_example_of_the_guide() -> None:
    """JCGM 100:2008 (GUM), 7.2.6: 10.05762 Ω with u = 27 mΩ is stated as 10.058 Ω."""
    assert rounded(Decimal("10.05762"), Decimal("0.027"))[0] == "10.058"
