"""Limits of error of scales in service, and the ± that follows."""

from __future__ import annotations

import pytest

from builders import mass
from vault.core.scale_limits import doubt_of_a_weight, limit_in_service


@pytest.mark.parametrize(
    ("load", "limit"),
    [
        ("0 g", "0.01 g"),
        ("50 g", "0.01 g"),
        ("50.01 g", "0.02 g"),
        ("200 g", "0.02 g"),
        ("200.01 g", "0.03 g"),
        ("1000 g", "0.03 g"),
    ],
)
def test_class_two_keeps_to_one_two_and_three_intervals(load: str, limit: str) -> None:
    """OIML R 76, class II in service: ± 1 e to 5 000 e, ± 2 e to 20 000 e, ± 3 e to 100 000 e."""
    found = limit_in_service(mass(load), interval=mass("0.01 g"), accuracy_class="II")
    assert found == mass(limit)


@pytest.mark.parametrize(
    ("name", "load", "intervals"),
    [
        ("III", 500, 1),
        ("III", 501, 2),
        ("III", 10_000, 3),
        ("IIII", 50, 1),
        ("IIII", 1_000, 3),
        ("I", 50_000, 1),
        ("I", 200_001, 3),
        ("I", 900_000, 3),
    ],
)
def test_the_other_classes_keep_to_theirs(name: str, load: int, intervals: int) -> None:
    """OIML R 76, classes I, III and IIII, from memory."""
    found = limit_in_service(mass(f"{load} g"), interval=mass("1 g"), accuracy_class=name)
    assert found == mass(f"{intervals} g")


def test_where_nothing_is_set_there_is_no_limit() -> None:
    one = mass("1 g")
    assert limit_in_service(mass("100001 g"), interval=one, accuracy_class="II") is None
    assert limit_in_service(one, interval=one, accuracy_class="") is None
    assert limit_in_service(one, interval=mass("0 g"), accuracy_class="II") is None
    assert limit_in_service(mass("-1 g"), interval=one, accuracy_class="II") is None


def test_a_step_of_a_gram_leaves_a_doubt_of_29_hundredths() -> None:
    """JCGM 100:2008, F.2.2.1: a display step of 1 g has u = 0.29 g."""
    assert round(doubt_of_a_weight(step=mass("1 g"), limit=None).grams, 2) == 0.29


def test_limits_and_step_are_added_as_squares() -> None:
    """JCGM 100:2008, 4.3.7: limits ± a give u = a/√3; 0.03²/3 + 0.01²/12 = 0.01756²."""
    found = doubt_of_a_weight(step=mass("0.01 g"), limit=mass("0.03 g"))
    assert found == mass("0.017559 g")
