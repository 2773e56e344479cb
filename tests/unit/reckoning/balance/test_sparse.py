"""The large path against the small one on the same rows."""

from __future__ import annotations

import numpy as np
import pytest

from unit.reckoning.balance.invented import shop
from vault.reckoning.balance.border import join, total
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.problem import Problem, ProblemBuilder
from vault.reckoning.balance.solve import MOST_UNKNOWNS_OF_A_FAMILY, factor, solve_whole
from vault.reckoning.balance.sparse import Forest, factor_forest


def wide_merge(inputs: int) -> Problem:
    """Many assayed things thrown together, without a tree of partial sums."""
    book = ProblemBuilder()
    for _ in range(inputs):
        thing = book.add_unknown(2.0)
        book.add_row([thing], [1.0], 2.0, 0.1)
    feed = book.add_unknown(2.0 * inputs)
    book.add_row([feed, *range(inputs)], [1.0] + [-1.0] * inputs, 0.0, 0.0)
    book.add_row([feed], [1.0], 2.0 * inputs + 1.0, 0.5)
    return book.finish()


@pytest.mark.parametrize(
    "problem",
    [
        shop(1, lots=12),
        shop(2, lots=30, merge_every=4),
        shop(3, lots=25, known=0.2),
        shop(4, lots=8, merge_every=99),
        wide_merge(60),
    ],
    ids=["tied", "larger", "little known", "apart", "wide merge"],
)
def test_both_ways_answer_alike(problem: Problem) -> None:
    small, large = factor_family(problem), factor_forest(problem)
    border, other = join([small], problem.factor_sizes), join([large], problem.factor_sizes)
    u = small.uncertainties(border)
    assert (np.abs(large.estimates(other) - small.estimates(border)) / u).max() < 1e-4
    assert large.uncertainties(other) == pytest.approx(u, rel=1e-5)
    unknown = small.not_determinable(border)
    assert large.not_determinable(other).tolist() == unknown.tolist()
    rows, again = small.row_statistics(border), large.row_statistics(other)
    assert again.redundancy == pytest.approx(rows.redundancy, abs=1e-6)
    assert again.checked.tolist() == rows.checked.tolist()
    assert again.z == pytest.approx(rows.z, abs=1e-4)
    assert np.isinf(again.spread).tolist() == np.isinf(rows.spread).tolist()
    assert other.chi_square == pytest.approx(border.chi_square, abs=1e-4)
    c = np.where(unknown, 0.0, 1.0)
    assert total([(large, c)], other) == pytest.approx(total([(small, c)], border), rel=1e-5)
    budget, as_well = small.budget(c, border), large.budget(c, other)
    assert as_well.rows == pytest.approx(budget.rows, abs=1e-5)
    assert as_well.factors == pytest.approx(budget.factors, abs=1e-5)


def test_large_problems_take_the_large_path_by_themselves() -> None:
    assert not isinstance(factor(shop(1, lots=3)), Forest)
    assert isinstance(factor(wide_merge(MOST_UNKNOWNS_OF_A_FAMILY)), Forest)


def test_a_merge_of_250_things_shares_its_difference_out_evenly() -> None:
    # 250 things ± 0.1 g say 500 ± 1.58 g; the scale says 501 ± 0.5 g.
    solved = solve_whole(wide_merge(250))
    share = 1.0 * 0.1**2 / (250 * 0.1**2 + 0.5**2)
    assert solved.estimates[:250] == pytest.approx(2.0 + share, abs=1e-7)
    assert solved.estimates[250] == pytest.approx(500.0 + 250 * share, abs=1e-5)
    # The vague prior adds 1e-8 for each unknown.
    assert solved.chi_square == pytest.approx(1.0 / 2.75, abs=3e-6)
    assert solved.degrees == pytest.approx(1.0, abs=1e-5)


def test_a_chain_longer_than_any_recursion_is_followed_to_its_end() -> None:
    # One thing weighed once and passed on 3000 times, each time ± 0.01 g.
    book = ProblemBuilder()
    last = book.add_unknown(10.0)
    book.add_row([last], [1.0], 10.0, 0.1)
    for _ in range(3000):
        following = book.add_unknown(10.0)
        book.add_row([following, last], [1.0, -1.0], 0.0, 0.01)
        last = following
    solved = solve_whole(book.finish())
    assert solved.estimates[last] == pytest.approx(10.0, abs=1e-4)
    assert solved.uncertainties[last] == pytest.approx(np.sqrt(0.1**2 + 3000 * 0.01**2), rel=1e-6)


def test_the_sum_of_two_unknown_parts_of_a_known_whole_is_known() -> None:
    # Each part alone is not determinable; their sum is as sure as the whole.
    book = ProblemBuilder()
    whole, one, other = (book.add_unknown(10.0) for _ in range(3))
    book.add_row([whole], [1.0], 10.0, 0.001)
    book.add_row([whole, one, other], [1.0, -1.0, -1.0], 0.0, 0.0)
    solved = factor_forest(book.finish())
    border = join([solved], np.zeros(0))
    assert solved.not_determinable(border).tolist() == [False, True, True]
    value, u = total([(solved, np.array([0.0, 1.0, 1.0]))], border)
    assert value == pytest.approx(10.0, abs=1e-7)
    assert u == pytest.approx(0.001, rel=1e-5)
