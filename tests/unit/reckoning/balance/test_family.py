"""One family by QR: laws that hold for any rows."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from unit.reckoning.balance.invented import rows_of, shop
from vault.reckoning.balance.border import degrees_of_freedom, join
from vault.reckoning.balance.factored import Factored
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.next_assay import covariance_among
from vault.reckoning.balance.problem import Problem, ProblemBuilder
from vault.reckoning.balance.sparse import factor_forest

Way = Callable[[Problem], Factored]
both_ways = pytest.mark.parametrize("way", [factor_family, factor_forest])
NO_FACTORS = np.zeros(0)


@both_ways
def test_a_split_spreads_its_parts_as_sampling_does_and_checks_nothing(way: Way) -> None:
    # Cov(x_i, x_j) = h²X²(f_i δ_ij − f_i f_j) + f_i f_j u²(X).
    fractions, whole, h, u = [0.5, 0.3, 0.2], 100.0, 0.02, 1.0
    book = ProblemBuilder()
    rest, gone, parts = book.add_unknown(whole), 0.0, []
    book.add_row([rest], [1.0], whole, u)
    for f in fractions[:-1]:
        part, left, after = book.add_unknown(f * whole), book.add_unknown(whole), gone + f
        spread = h * whole * math.sqrt(f * (1 - after) / (1 - gone))
        book.add_row([part, rest], [1.0, -f / (1 - gone)], 0.0, spread)
        book.add_row([left, rest, part], [1.0, -1.0, 1.0], 0.0, 0.0)
        parts.append(part)
        rest, gone = left, after
    solved = way(book.finish())
    border = join([solved], NO_FACTORS)
    f = np.array(fractions)
    expected = (h * whole) ** 2 * (np.diag(f) - np.outer(f, f)) + np.outer(f, f) * u**2
    found = covariance_among(solved, [*parts, rest], border)
    assert found == pytest.approx(expected, rel=1e-5, abs=1e-9)
    redundancy = solved.row_statistics(border).redundancy
    assert degrees_of_freedom(redundancy, border) == pytest.approx(0.0, abs=1e-6)


@both_ways
def test_a_hard_balance_is_kept_exactly(way: Way) -> None:
    problem = shop(3, lots=3)
    solved = way(problem)
    border = join([solved], problem.factor_sizes)
    x = np.concatenate([solved.estimates(border), problem.factor_sizes * border.values])
    left = np.abs(problem.values - problem.times(x))
    hard = problem.uncertainties == 0.0
    assert hard.any()
    assert (left[hard] / problem.row_norms()[hard]).max() < 1e-13


@both_ways
def test_row_by_row_updates_give_what_all_rows_together_give(way: Way) -> None:
    # Kalman's update of a normal vector, from the vague prior on, one row after the other.
    dice = np.random.default_rng(5)
    book = ProblemBuilder([0.5])
    for size in (3.0, 5.0, 7.0, 4.0):
        book.add_unknown(size)
    for _ in range(9):
        columns = [*dice.choice(4, size=2, replace=False).tolist(), book.factor(0)]
        book.add_row(columns, dice.normal(size=3), dice.normal(), dice.uniform(0.1, 1.0))
    problem = book.finish()
    x, c = np.zeros(5), np.diag(np.append(1e4 * problem.sizes, problem.factor_sizes) ** 2)
    for row in range(problem.rows):
        places = slice(problem.row_start[row], problem.row_start[row + 1])
        h = np.zeros(5)
        h[problem.columns[places]] = problem.coefficients[places]
        gain = c @ h / (h @ c @ h + problem.uncertainties[row] ** 2)
        x, c = x + gain * (problem.values[row] - h @ x), c - np.outer(gain, h @ c)
    solved = way(problem)
    border = join([solved], problem.factor_sizes)
    assert solved.estimates(border) == pytest.approx(x[:4], abs=1e-5)
    assert solved.uncertainties(border) == pytest.approx(np.sqrt(np.diag(c)[:4]), rel=1e-4)
    assert problem.factor_sizes * border.values == pytest.approx(x[4:], abs=1e-5)


@both_ways
def test_a_thing_nobody_looked_at_is_not_determinable(way: Way) -> None:
    problem = rows_of(
        lambda book: [
            book.add_unknown(5.0),
            book.add_row([0], [1.0], 5.0, 1.0),
            book.add_unknown(6.0),
        ]
    )
    solved = way(problem)
    border = join([solved], NO_FACTORS)
    assert solved.not_determinable(border).tolist() == [False, True]


@both_ways
def test_not_determinable_begins_at_29_hundredths_of_the_size(way: Way) -> None:
    def told(u: float) -> bool:
        problem = rows_of(lambda book: [book.add_unknown(10.0), book.add_row([0], [1.0], 5.0, u)])
        solved = way(problem)
        return bool(solved.not_determinable(join([solved], NO_FACTORS))[0])

    assert not told(2.89)
    assert told(2.91)


@both_ways
def test_a_column_named_twice_in_a_row_counts_with_the_sum(way: Way) -> None:
    once = rows_of(lambda book: [book.add_unknown(5.0), book.add_row([0], [3.0], 6.0, 1.0)])
    twice = rows_of(
        lambda book: [book.add_unknown(5.0), book.add_row([0, 0], [1.0, 2.0], 6.0, 1.0)]
    )
    border = join([way(once)], NO_FACTORS)
    assert way(twice).estimates(border).tolist() == way(once).estimates(border).tolist()


@both_ways
def test_the_same_problem_gives_the_same_bits(way: Way) -> None:
    one, other = way(shop(1, lots=9)), way(shop(1, lots=9))
    sizes = one.problem.factor_sizes
    for_one, for_other = join([one], sizes), join([other], sizes)
    assert for_one.values.tobytes() == for_other.values.tobytes()
    assert one.estimates(for_one).tobytes() == other.estimates(for_other).tobytes()
    assert one.uncertainties(for_one).tobytes() == other.uncertainties(for_other).tobytes()
    rows, again = one.row_statistics(for_one), other.row_statistics(for_other)
    assert rows.z.tobytes() == again.z.tobytes()


@both_ways
def test_records_that_contradict_each_other_exactly_raise_the_chi_square_beyond_measure(
    way: Way,
) -> None:
    problem = rows_of(
        lambda book: [
            book.add_unknown(5.0),
            book.add_row([0], [1.0], 5.0, 0.0),
            book.add_row([0], [1.0], 5.1, 0.0),
        ]
    )
    assert join([way(problem)], NO_FACTORS).chi_square > 1e10
