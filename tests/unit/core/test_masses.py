from __future__ import annotations

import random
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.core.errors import TextNotUnderstood
from vault.core.masses import (
    GREATEST_UG,
    MICROGRAMS_PER_UNIT,
    Mass,
    grams_from_text,
    mass_from_text,
    total,
)

masses = st.builds(Mass, st.integers(-GREATEST_UG, GREATEST_UG))


@given(masses)
def test_a_mass_reads_back_as_it_was_written(mass: Mass) -> None:
    assert grams_from_text(mass.to_text()) == mass


@given(st.lists(masses))
def test_the_order_of_a_sum_does_not_matter(some: list[Mass]) -> None:
    shuffled = random.Random(1).sample(some, len(some))
    assert total(some) == total(shuffled)


@given(masses, masses)
def test_masses_add_and_take_away_without_a_remainder(one: Mass, other: Mass) -> None:
    assert one + other - other == one
    assert one - other == -(other - one)


def test_the_sum_of_none_is_no_mass_at_all() -> None:
    assert total([]) == Mass(0)


def test_a_mass_is_neither_true_nor_false() -> None:
    with pytest.raises(TypeError, match="neither true nor false"):
        bool(Mass(0))


def test_a_mass_adds_to_masses_only() -> None:
    with pytest.raises(AttributeError):
        Mass(1) + 1  # type: ignore[operator]  # that is the point


def test_masses_are_ordered_by_weight() -> None:
    assert Mass(1) < Mass(2)


def test_grams_are_a_float_for_reckoning() -> None:
    assert Mass(512_400_000).grams == 512.4


@pytest.mark.parametrize(
    ("text", "micrograms"),
    [
        ("12.5", 12_500_000),
        ("12,5 g", 12_500_000),
        ("1 004.62 g", 1_004_620_000),
        (".4 ozt", 12_441_391),
        ("2 oz t", 62_206_954),
        ("1 Troy Ounce", 31_103_477),
        ("3 dwt", 4_665_522),
        ("1 grain", 64_799),
        ("5 kg", 5_000_000_000),
        ("7 milligrams", 7_000),
        ("-1 g", -1_000_000),
    ],
)
def test_masses_are_read_as_people_type_them(text: str, micrograms: int) -> None:
    assert mass_from_text(text) == Mass(micrograms)


def test_the_unit_meant_is_the_one_set() -> None:
    assert mass_from_text("2", unit="kg") == Mass(2_000_000_000)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is no weight; type a number"),
        ("heavy", "is no weight"),
        ("12 lb", "is no unit of mass known here"),
        ("12 oz", "is no unit of mass known here"),
        ("1,234 g", "could mean two numbers"),
        ("9001 kg", "more than this book can hold"),
    ],
)
def test_what_is_no_mass_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        mass_from_text(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [("12.5 g", "is no weight; write grams"), ("9000000.000001", "more than this book can hold")],
)
def test_the_strict_form_of_files_refuses_what_people_may_type(text: str, words: str) -> None:
    with pytest.raises(TextNotUnderstood, match=words):
        grams_from_text(text)


@pytest.mark.parametrize("unit", MICROGRAMS_PER_UNIT)
def test_a_mass_in_a_unit_has_all_its_digits(unit: str) -> None:
    mass = mass_from_text(f"1 {unit}")
    assert abs(mass.in_unit(unit) - 1) <= Decimal("0.00001")
    assert mass.in_unit("g") == Decimal(mass.micrograms) / 1_000_000
