"""Families joined by their house factors, against one matrix for all of them."""

from __future__ import annotations

import numpy as np
import pytest

from unit.reckoning.balance.invented import shop
from vault.reckoning.balance.border import budget_of_total, join, total
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.problem import Part, ProblemBuilder
from vault.reckoning.balance.solve import solve_whole

WHOLE = shop(11, lots=7, merge_every=99)


@pytest.fixture(scope="module")
def parts() -> list[Part]:
    cut = WHOLE.split()
    assert len(cut) == 7
    return cut


def test_families_with_a_border_are_the_whole_shop_in_one_matrix(parts: list[Part]) -> None:
    solved = [factor_family(part.problem) for part in parts]
    border = join(solved, WHOLE.factor_sizes)
    at_once = factor_family(WHOLE)
    expected = join([at_once], WHOLE.factor_sizes)
    assert border.values == pytest.approx(expected.values, abs=1e-6)
    assert border.covariance == pytest.approx(expected.covariance, rel=1e-6)
    assert border.chi_square == pytest.approx(expected.chi_square, abs=1e-6)
    x, u = at_once.estimates(expected), at_once.uncertainties(expected)
    rows = at_once.row_statistics(expected)
    for part, one in zip(parts, solved, strict=True):
        assert (np.abs(one.estimates(border) - x[part.unknowns]) / u[part.unknowns]).max() < 1e-6
        assert one.uncertainties(border) == pytest.approx(u[part.unknowns], rel=1e-6)
        of_part = one.row_statistics(border)
        assert of_part.redundancy == pytest.approx(rows.redundancy[part.rows], abs=1e-7)
        assert of_part.z == pytest.approx(rows.z[part.rows], abs=1e-5)


def test_a_sum_over_families_has_the_factors_in_common(parts: list[Part]) -> None:
    solved = [factor_family(part.problem) for part in parts]
    border = join(solved, WHOLE.factor_sizes)
    known = [~one.not_determinable(border) for one in solved]
    weights = [np.where(one, 1.0, 0.0) for one in known]
    at_once = factor_family(WHOLE)
    together = np.zeros(WHOLE.unknowns)
    for part, c in zip(parts, weights, strict=True):
        together[part.unknowns] = c
    expected = total([(at_once, together)], join([at_once], WHOLE.factor_sizes))
    pairs = list(zip(solved, weights, strict=True))
    assert total(pairs, border) == pytest.approx(expected, rel=1e-6)


def test_the_budget_of_a_sum_over_families_adds_up_to_one(parts: list[Part]) -> None:
    solved = [factor_family(part.problem) for part in parts]
    border = join(solved, WHOLE.factor_sizes)
    weights = [np.where(one.not_determinable(border), 0.0, 1.0) for one in solved]
    budgets = budget_of_total(list(zip(solved, weights, strict=True)), border)
    shares = sum(float(one.rows.sum()) for one in budgets)
    assert shares + budgets[0].factors.sum() == pytest.approx(1.0, abs=1e-5)
    assert min(float(one.rows.min()) for one in budgets) >= 0.0


def test_the_handbook_counts_once_however_many_families_there_are(parts: list[Part]) -> None:
    nothing = ProblemBuilder(WHOLE.factor_sizes.tolist()).finish()
    border = join([], nothing.factor_sizes)
    assert border.covariance.tolist() == np.eye(2).tolist()
    assert border.values.tolist() == [0.0, 0.0]
    with_empty = [factor_family(parts[0].problem), *(factor_family(nothing) for _ in range(5))]
    alone = join(with_empty[:1], WHOLE.factor_sizes)
    assert join(with_empty, WHOLE.factor_sizes).covariance == pytest.approx(alone.covariance)


def test_one_factor_with_settled_residues_moves_as_in_closed_form() -> None:
    # k̂ = Σ w r/(1/s² + Σ w), w = 1/(s_w² + q), as for a normal mean with a normal prior.
    s, s_w, u = 0.006, 0.005, 0.001
    book = ProblemBuilder([s])
    seen = [0.004, -0.001, 0.007]
    for r in seen:
        residue = book.add_unknown(1.0)
        book.add_row([residue, book.factor(0)], [1.0, -1.0], 0.0, s_w)
        book.add_row([residue], [1.0], r, u)
    solved = solve_whole(book.finish())
    w = 1.0 / (s_w**2 + u**2)
    precision = 1.0 / s**2 + 3 * w
    assert solved.deviations[0] == pytest.approx(sum(seen) * w / precision, rel=1e-6)
    assert solved.deviation_covariance[0, 0] == pytest.approx(1.0 / precision, rel=1e-6)


def test_a_whole_book_is_put_together_in_the_order_of_the_problem(parts: list[Part]) -> None:
    whole = solve_whole(WHOLE)
    at_once = factor_family(WHOLE)
    border = join([at_once], WHOLE.factor_sizes)
    assert whole.uncertainties == pytest.approx(at_once.uncertainties(border), rel=1e-6)
    assert whole.not_determinable.tolist() == at_once.not_determinable(border).tolist()
    assert whole.family.tolist() == WHOLE.families().tolist()
    assert len(whole.parts) == len(parts)


def test_a_row_on_a_house_factor_alone_moves_that_factor() -> None:
    book = ProblemBuilder([0.3, 0.5])
    book.add_row([book.factor(1)], [1.0], 1.0, 0.5)
    whole = solve_whole(book.finish())
    assert whole.deviations == pytest.approx([0.0, 0.5])
    assert np.diagonal(whole.deviation_covariance) == pytest.approx([0.09, 0.125])
    assert whole.rows.redundancy == pytest.approx([0.5])
    assert whole.degrees == pytest.approx(1.0)
    assert whole.chi_square == pytest.approx(2.0)
    assert whole.row_family.tolist() == [-1]
