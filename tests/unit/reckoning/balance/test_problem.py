"""Stating a problem, refusing nonsense, and cutting it into families."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unit.reckoning.balance.invented import rows_of
from vault.reckoning.balance.problem import Problem, ProblemBuilder


def two_families() -> Problem:
    """Things 0 and 2 are tied, so are 1 and 3; a factor leans on both; one row is on it alone."""
    book = ProblemBuilder([0.01])
    for size in (10.0, 20.0, 30.0, 40.0):
        book.add_unknown(size)
    factor = book.factor(0)
    book.add_row([0, 2], [1.0, -1.0], 0.0, 1.0)
    book.add_row([3, 1, factor], [1.0, -2.0, 5.0], 0.5, 2.0)
    book.add_row([factor], [1.0], 0.02, 0.03)
    book.add_row([2, factor], [1.0, 7.0], 9.0, 0.0)
    return book.finish()


def test_what_was_added_is_what_is_there() -> None:
    problem = two_families()
    assert (problem.unknowns, problem.rows, problem.factors) == (4, 4, 1)
    assert problem.columns.tolist() == [0, 2, 3, 1, 4, 4, 2, 4]
    assert problem.place_rows.tolist() == [0, 0, 1, 1, 1, 2, 3, 3]
    assert problem.row_norms()[1] == pytest.approx(np.sqrt(40.0**2 + 40.0**2 + 0.05**2))
    assert problem.times(np.array([1.0, 2.0, 3.0, 4.0, 5.0])).tolist() == [-2.0, 25.0, 5.0, 38.0]


def test_house_factors_tie_no_families_together() -> None:
    problem = two_families()
    assert problem.families().tolist() == [0, 1, 0, 1]
    assert problem.row_families(problem.families()).tolist() == [0, 1, -1, 0]


def test_a_split_problem_has_every_unknown_and_every_row_once() -> None:
    problem = two_families()
    parts = problem.split()
    assert [part.unknowns.tolist() for part in parts] == [[0, 2], [1, 3], []]
    assert [part.rows.tolist() for part in parts] == [[0, 3], [1], [2]]
    first, second, alone = (part.problem for part in parts)
    assert first.columns.tolist() == [0, 1, 1, 2]
    assert first.coefficients.tolist() == [1.0, -1.0, 1.0, 7.0]
    assert second.sizes.tolist() == [20.0, 40.0]
    assert second.columns.tolist() == [1, 0, 2]
    assert alone.columns.tolist() == [0]
    assert alone.values.tolist() == [0.02]


def test_a_thing_without_any_record_is_a_family_of_its_own() -> None:
    problem = rows_of(lambda book: [book.add_unknown(5.0), book.add_unknown(6.0)])
    assert [part.unknowns.tolist() for part in problem.split()] == [[0], [1]]


def test_an_empty_book_has_no_parts() -> None:
    assert ProblemBuilder().finish().split() == []


def test_a_builder_goes_on_after_a_problem_was_taken() -> None:
    book = ProblemBuilder([1.0])
    book.add_unknown(1.0)
    book.add_row([0, book.factor(0)], [1.0, 1.0], 0.0, 1.0)
    before = book.finish()
    book.add_unknown(2.0)
    assert before.columns.tolist() == [0, 1]
    assert book.finish().columns.tolist() == [0, 2]


def test_a_house_factor_that_was_not_named_is_refused() -> None:
    with pytest.raises(ValueError, match="no house factor 1"):
        ProblemBuilder([1.0]).factor(1)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"sizes": np.array([1.0, 0.0, 1.0, 1.0])}, "size is not above zero"),
        ({"factor_sizes": np.array([-1.0])}, "size is not above zero"),
        ({"uncertainties": np.array([1.0, -1.0, 1.0, 0.0])}, "uncertainty is below zero"),
        ({"values": np.array([1.0, np.nan, 0.0, 0.0])}, "is not a number"),
        ({"values": np.zeros(3)}, "not of the same rows"),
        ({"columns": np.array([0, 2, 3, 1, 4, 4, 2, 5])}, "neither an unknown nor a house factor"),
        ({"row_start": np.array([0, 3, 2, 6, 8])}, "do not divide"),
        ({"coefficients": np.ones(7)}, "one coefficient for each"),
        ({"coefficients": np.array([1.0, 1, 1, 1, 1, 1, 0, 0])}, "exact row has no coefficients"),
    ],
)
def test_what_cannot_be_a_problem_is_refused(change: dict[str, np.ndarray], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        replace(two_families(), **change)
