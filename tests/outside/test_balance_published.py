"""The balance against published reconciliations, and one shop worked to 60 digits.

Sources stand at each case. D1 to D4 are small published networks of flows; each measured flow is
a row x = y ± u, each node an exact row. Where a figure is not in the source it says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pytest

from vault.reckoning.balance.border import budget_of_total, join, total
from vault.reckoning.balance.factored import Border, Factored, RowStatistics
from vault.reckoning.balance.family import factor_family
from vault.reckoning.balance.next_assay import after_bundle, after_one, covariance_among
from vault.reckoning.balance.problem import Problem, ProblemBuilder
from vault.reckoning.balance.solve import Solution, solve_whole
from vault.reckoning.balance.sparse import factor_forest
from vault.reckoning.balance.suspects import chi_square_tail, examine, smallest_noticeable

# The nodes of the heat exchanger with bypass, by flow: 1=2+3, 2=4, 3=5, 4+5=6.
BYPASS = [{1: 1, 2: -1, 3: -1}, {2: 1, 4: -1}, {3: 1, 5: -1}, {4: 1, 5: 1, 6: -1}]


def network(
    nodes: Sequence[dict[int, int]], measured: dict[int, tuple[float, float]], size: float
) -> Problem:
    """One unknown per flow, one row per measured flow, in order, then the nodes."""
    book = ProblemBuilder()
    for _ in range(max(flow for node in nodes for flow in node)):
        book.add_unknown(size)
    for flow, (value, u) in measured.items():
        book.add_row([flow - 1], [1.0], value, u)
    for node in nodes:
        book.add_row([flow - 1 for flow in node], [float(one) for one in node.values()], 0.0, 0.0)
    return book.finish()


def bypass(values: Sequence[float], u: Sequence[float]) -> Problem:
    pairs = zip(values, u, strict=True)
    return network(BYPASS, dict(enumerate(pairs, start=1)), 100.0)


# S. Narasimhan & C. Jordache, Data Reconciliation and Gross Error Detection (Gulf 2000), ch. 1.
D1 = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)


def test_d1_the_heat_exchanger_is_reconciled_as_in_the_book() -> None:
    solved = solve_whole(bypass(D1, [1.0] * 6))
    published = [100.22, 64.50, 35.72, 64.50, 35.72, 100.22]
    assert solved.estimates == pytest.approx(published, abs=0.006)


def test_d1_has_the_statistics_of_an_independent_solution() -> None:
    # Not in the book: posterior u, redundancy and z, from a prototype of this project.
    solved = solve_whole(bypass(D1, [1.0] * 6))
    assert solved.uncertainties == pytest.approx([0.5774] * 6, abs=5e-5)
    assert solved.rows.redundancy[:6] == pytest.approx([2 / 3] * 6, abs=1e-7)
    z = [2.070, -0.061, -1.310, -0.367, 0.882, -1.641]
    assert solved.rows.z[:6] == pytest.approx(z, abs=5.1e-4)
    assert solved.chi_square == pytest.approx(6.4075, abs=5e-5)
    assert solved.degrees == pytest.approx(4.0, abs=1e-6)


def test_d1b_a_gross_error_of_4_is_found_in_its_flow() -> None:
    # The same book: χ² 16.674 against 9.488 at 5 %.
    solved = solve_whole(bypass((101.91, 68.45, 34.65, 64.20, 36.44, 98.88), [1.0] * 6))
    assert solved.chi_square == pytest.approx(16.674, abs=6e-4)
    assert chi_square_tail(9.488, 4.0) == pytest.approx(0.05, abs=1e-5)
    expected = [100.887, 65.833, 35.053, 65.833, 35.053, 100.887]
    assert solved.estimates == pytest.approx(expected, abs=6e-4)
    z = [1.253, 3.205, -0.494, -2.000, 1.698, -2.458]
    assert solved.rows.z[:6] == pytest.approx(z, abs=6e-4)
    found = examine(solved.rows, solved.chi_square, solved.degrees)
    assert found.alarm
    assert [one.row for one in found.suspects] == [1]
    assert found.suspects[0].correction_g == pytest.approx(2.617 * 1.5, abs=1e-3)


def test_d1b_without_the_suspect_the_fall_of_chi_square_is_as_told() -> None:
    problem = bypass((101.91, 68.45, 34.65, 64.20, 36.44, 98.88), [1.0] * 6)
    whole = solve_whole(problem)
    suspect = examine(whole.rows, whole.chi_square, whole.degrees).suspects[0]
    u = problem.uncertainties.copy()
    u[suspect.row] *= 1e4
    set_aside = Problem(
        sizes=problem.sizes,
        row_start=problem.row_start,
        columns=problem.columns,
        coefficients=problem.coefficients,
        values=problem.values,
        uncertainties=u,
        factor_sizes=problem.factor_sizes,
    )
    without = solve_whole(set_aside)
    assert whole.chi_square - without.chi_square == pytest.approx(suspect.fall, abs=1e-4)
    moved = problem.values[suspect.row] - without.estimates[1]
    assert moved == pytest.approx(suspect.correction_g, abs=1e-4)


# The cooling-water network of a teaching module of NAMP, the Program for North American Mobility in
# Higher Education (2003); the same figures in lecture slides of McGill University (2013).
D2 = (110.5, 60.8, 35.0, 68.9, 38.6, 101.4)
D2_U = (0.82, 0.53, 0.46, 0.71, 0.45, 1.20)


def test_d2_the_cooling_water_is_reconciled_to_all_published_digits() -> None:
    solved = solve_whole(bypass(D2, D2_U))
    a, b, c = 103.24010825, 65.41556049, 37.82454776
    assert solved.estimates == pytest.approx([a, b, c, b, c, a], abs=1e-6)
    published_u = [0.42, 0.37, 0.30, 0.37, 0.30, 0.42]
    assert solved.uncertainties == pytest.approx(published_u, abs=0.0051)
    # χ² from a prototype of this project.
    assert solved.chi_square == pytest.approx(221.33, abs=5e-3)


def test_d2_covariances_are_the_published_ones() -> None:
    problem = bypass(D2, D2_U)
    solved = factor_family(problem)
    found = covariance_among(solved, [0, 1, 2], join([solved], problem.factor_sizes))
    published = [[0.1753, 0.1114, 0.0639], [0.1114, 0.1365, -0.0251], [0.0639, -0.0251, 0.0890]]
    assert found == pytest.approx(np.array(published), abs=5.1e-5)


def test_d2b_flows_that_are_not_measured_are_worked_out() -> None:
    measured = {flow: (D2[flow - 1], D2_U[flow - 1]) for flow in (1, 3, 5)}
    solved = solve_whole(network(BYPASS, measured, 100.0))
    published = [110.5, 73.66, 36.84, 73.66, 36.84, 110.5]
    assert solved.estimates == pytest.approx(published, abs=0.006)
    assert solved.rows.redundancy[0] == pytest.approx(0.0, abs=1e-7)
    assert not solved.rows.checked[0]
    assert solved.chi_square == pytest.approx(31.297, abs=1e-3)
    assert solved.degrees == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("way", [factor_family, factor_forest])
def test_d2c_what_is_not_determinable_is_told_as_published(
    way: Callable[[Problem], Factored],
) -> None:
    measured = {flow: (D2[flow - 1], D2_U[flow - 1]) for flow in (1, 6)}
    problem = network(BYPASS, measured, 100.0)
    solved = way(problem)
    border = join([solved], problem.factor_sizes)
    assert solved.not_determinable(border).tolist() == [False, True, True, True, True, False]
    assert solved.estimates(border)[[0, 5]] == pytest.approx([107.60337] * 2, abs=1e-5)
    assert solved.uncertainties(border)[[0, 5]] == pytest.approx([0.6770] * 2, abs=5e-5)
    assert border.chi_square == pytest.approx(39.202, abs=1e-3)


# P. Mitsas, Measurement 43 (2010) 702: twelve streams; measured, u, published.
D3_NODES = [
    {1: 1, 2: -1, 3: -1, 4: -1},
    {2: 1, 5: -1, 6: -1, 7: -1},
    {3: 1, 5: 1, 6: 1, 7: 1, 8: -1},
    {4: 1, 9: -1, 10: -1},
    {8: 1, 9: 1, 11: -1},
    {10: 1, 11: 1, 12: -1},
]
D3 = {
    1: (100.49, 1.0, 100.59),
    2: (29.46, 0.3, 29.80),
    3: (40.41, 0.4, 40.71),
    4: (30.05, 0.3, 30.07),
    5: (15.17, 0.3, 15.00),
    6: (4.98, 0.1, 4.96),
    7: (9.92, 0.2, 9.84),
    8: (70.68, 0.7, 70.51),
    9: (10.03, 0.3, 10.14),
    10: (19.82, 0.4, 19.93),
    11: (81.06, 0.8, 80.66),
    12: (101.57, 1.0, 100.59),
}


@pytest.fixture
def twelve_streams() -> Solution:
    return solve_whole(network(D3_NODES, {flow: one[:2] for flow, one in D3.items()}, 50.0))


def test_d3_twelve_streams_are_reconciled_as_published(twelve_streams: Solution) -> None:
    assert twelve_streams.estimates == pytest.approx([one[2] for one in D3.values()], abs=0.0101)


def test_d3_has_the_statistics_of_an_independent_solution(twelve_streams: Solution) -> None:
    # Not in the paper: from a prototype of this project.
    u = [0.3641, 0.2179, 0.3125, 0.2449, 0.2275, 0.0976]
    u += [0.1801, 0.3200, 0.2468, 0.2807, 0.3695, 0.3641]
    rho = [0.867, 0.473, 0.390, 0.334, 0.425, 0.047, 0.189, 0.791, 0.323, 0.508, 0.787, 0.867]
    z = [-0.099, -1.655, -1.199, -0.123, 0.884, 0.884]
    z += [0.884, 0.272, -0.680, -0.370, 0.568, 1.061]
    assert twelve_streams.uncertainties == pytest.approx(u, abs=6e-5)
    assert twelve_streams.rows.redundancy[:12] == pytest.approx(rho, abs=6e-4)
    assert twelve_streams.rows.z[:12] == pytest.approx(z, abs=6e-4)
    assert twelve_streams.chi_square == pytest.approx(3.8913, abs=6e-5)
    assert twelve_streams.degrees == pytest.approx(6.0, abs=1e-6)


def test_d3_streams_that_check_each_other_only_together_cannot_be_told_apart(
    twelve_streams: Solution,
) -> None:
    only = np.zeros(len(D3) + len(D3_NODES), dtype=np.bool_)
    only[4:8] = True
    found = examine(twelve_streams.rows, 3.8913, 6.0, tested=only)
    assert sorted(one.row for one in found.suspects) == [4, 5, 6]
    assert not found.alarm


# Lecture slides on data reconciliation, McGill University (2013): a binary column, feed = two
# products. Per stream: flow, u, and twice the fraction with its u.
D4 = [
    ((1095.475, 54.8), (0.4822, 0.0048), (0.5170, 0.0052)),
    ((478.402, 23.9), (0.9410, 0.0094), (0.0501, 0.0005)),
    ((488.232, 24.4), (0.0197, 0.0002), (0.9748, 0.0097)),
]


def test_d4_mass_times_assay_gives_the_published_column() -> None:
    # The component flow is the row x = g·a with u² = g²u_a² + a²u_g², the flow a row of its own.
    book = ProblemBuilder()
    flows = [book.add_unknown(flow) for (flow, _), *_ in D4]
    parts = [[book.add_unknown(flow * a) for a, _ in pair] for (flow, _), *pair in D4]
    for stream, ((flow, u_flow), *pair) in enumerate(D4):
        book.add_row([flows[stream]], [1.0], flow, u_flow)
        for part, (a, u_a) in zip(parts[stream], pair, strict=True):
            book.add_row([part], [1.0], flow * a, math.hypot(flow * u_a, a * u_flow))
        book.add_row([flows[stream], *parts[stream]], [1.0, -1.0, -1.0], 0.0, 0.0)
    for which in (0, 1):
        book.add_row([one[which] for one in parts], [1.0, -1.0, -1.0], 0.0, 0.0)
    x = solve_whole(book.finish()).estimates
    assert x[:3] == pytest.approx([1010.2, 500.1, 510.1], abs=0.1)
    fractions = x[3:].reshape(3, 2) / x[:3, None]
    published = [[0.4808, 0.5192], [0.9518, 0.0480], [0.0190, 0.9810]]
    assert fractions == pytest.approx(np.array(published), abs=2e-4)
    # To more digits, from a prototype of this project.
    assert x[:3] == pytest.approx([1010.174, 500.058, 510.117], abs=6e-4)


@dataclass
class Shop:
    """Example S1 of this project's note on balances, solved there to 60 digits."""

    problem: Problem
    solved: Factored
    border: Border
    rows: RowStatistics


LOT, BAG_1, BAG_2, BUTTON, SLAG, BEAD, CUPEL = range(7)
RESIDUES = np.array([0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0])


def small_shop(*, settled: bool) -> Shop:
    book = ProblemBuilder([0.005, 0.006])
    for size in (400.0, 240.0, 160.0, 236.0, 3.6, 230.0, 4.7):
        book.add_unknown(size)
    slag_factor, cupel_factor = book.factor(0), book.factor(1)
    book.add_row([LOT], [1.0], 400.0, math.hypot(500 * 0.004, 0.8 * 0.01))
    book.add_row([BEAD], [1.0], 230.06005, math.hypot(231.1 * 0.0015, 0.9955 * 0.005))
    book.add_row([BAG_1, LOT], [1.0, -0.6], 0.0, 0.02 * 400 * math.sqrt(0.6 * 0.4))
    book.add_row([LOT, BAG_1, BAG_2], [1.0, -1.0, -1.0], 0.0, 0.0)
    book.add_row([BAG_1, BUTTON, SLAG], [0.999, -1.0, -1.0], 0.0, 0.001 * 240)
    book.add_row([SLAG, BAG_1, slag_factor], [1.0, -0.015, -240.0], 0.0, 0.005 * 240)
    book.add_row([BUTTON, BEAD, CUPEL], [0.996, -1.0, -1.0], 0.0, 0.002 * 235)
    book.add_row([CUPEL, BUTTON, cupel_factor], [1.0, -0.020, -235.0], 0.0, 0.005 * 235)
    if settled:
        book.add_row([CUPEL], [1.0], 5.60, 0.10)
    problem = book.finish()
    solved = factor_family(problem)
    border = join([solved], problem.factor_sizes)
    return Shop(problem, solved, border, solved.row_statistics(border))


@pytest.mark.parametrize(
    ("settled", "x", "u", "deviation", "u_deviation", "residues", "chi_square", "degrees"),
    [
        (
            False,
            [399.95473, 239.68315, 160.27159, 235.79191, 3.65045, 230.06241, 4.78199],
            [1.93871, 2.22914, 2.70332, 1.79941, 1.60744, 0.34574, 1.72309],
            [0.00012, 0.00017],
            [0.00484, 0.00572],
            (8.43244, 2.17912),
            0.00849,
            1.0,
        ),
        (
            True,
            [400.05382, 240.37673, 159.67709, 236.59765, 3.54002, 230.05792, 5.59725],
            [1.92741, 1.68147, 2.39466, 0.58950, 1.59046, 0.34561, 0.09983],
            [-0.00014, 0.00217],
            [0.00481, 0.00385],
            (9.13727, 1.59275),
            0.23310,
            2.0,
        ),
    ],
    ids=["before", "after"],
)
def test_d5_a_small_shop_before_and_after_its_cupel_is_settled(
    *,
    settled: bool,
    x: list[float],
    u: list[float],
    deviation: list[float],
    u_deviation: list[float],
    residues: tuple[float, float],
    chi_square: float,
    degrees: float,
) -> None:
    shop = small_shop(settled=settled)
    assert shop.solved.estimates(shop.border) == pytest.approx(x, abs=6e-6)
    assert shop.solved.uncertainties(shop.border) == pytest.approx(u, abs=6e-6)
    whole = solve_whole(shop.problem)
    assert whole.deviations == pytest.approx(deviation, abs=6e-6)
    found_u = np.sqrt(np.diagonal(whole.deviation_covariance))
    assert found_u == pytest.approx(u_deviation, abs=6e-6)
    assert total([(shop.solved, RESIDUES)], shop.border) == pytest.approx(residues, abs=6e-6)
    assert whole.chi_square == pytest.approx(chi_square, abs=6e-6)
    assert whole.degrees == pytest.approx(degrees, abs=1e-6)


def test_d5_one_equation_makes_one_group_that_cannot_be_told_apart() -> None:
    shop = small_shop(settled=False)
    redundant = shop.rows.checked
    assert np.abs(shop.rows.z[redundant]) == pytest.approx(0.0921, abs=5e-5)
    assert shop.rows.redundancy[:2] == pytest.approx([0.0604, 0.0055], abs=5e-5)
    noticeable = smallest_noticeable(shop.rows, 4.4 - 0.84)
    assert noticeable[:2] == pytest.approx([36.0, 20.6], abs=0.2)
    # The exact row leads to the second bag only, of which no other record speaks.
    assert not redundant[3]
    found = examine(shop.rows, shop.border.chi_square, 1.0)
    assert not found.alarm
    assert sorted(one.row for one in found.suspects) == [0, 1, 2, 4, 5, 6, 7]


def test_d5_the_doubt_of_the_residues_has_the_budget_of_the_note() -> None:
    shop = small_shop(settled=False)
    (budget,) = budget_of_total([(shop.solved, RESIDUES)], shop.border)
    per_cent = [2.3, 0.2, 24.9, 0.0, 0.1, 16.3, 0.3, 16.2]
    assert 100 * budget.rows == pytest.approx(per_cent, abs=0.051)
    assert 100 * budget.factors == pytest.approx([16.3, 23.4], abs=0.051)
    assert budget.rows.sum() + budget.factors.sum() == pytest.approx(1.0, abs=1e-7)


def test_d5_the_next_assay_is_worth_what_a_new_solution_says() -> None:
    shop = small_shop(settled=False)
    _, u = total([(shop.solved, RESIDUES)], shop.border)
    with_sum = shop.solved.covariance_with(RESIDUES, shop.border)
    things, assay = [CUPEL, BAG_2, SLAG, BUTTON], np.array([0.10, 0.8, 0.05, 0.8])
    known = shop.solved.uncertainties(shop.border)[things]
    found = after_one(u**2, with_sum[things], known, assay)
    assert found == pytest.approx([1.59275, 1.65525, 1.70536, 1.77453], abs=6e-6)
    # The cupel's figure is that of the shop in which it was settled with just this doubt.
    settled = small_shop(settled=True)
    _, after = total([(settled.solved, RESIDUES)], settled.border)
    assert found[0] == pytest.approx(after, abs=1e-6)


def test_d5_slag_and_cupel_assayed_together_leave_their_own_doubts_only() -> None:
    shop = small_shop(settled=False)
    _, u = total([(shop.solved, RESIDUES)], shop.border)
    pair = [SLAG, CUPEL]
    with_sum = shop.solved.covariance_with(RESIDUES, shop.border)[pair]
    among = covariance_among(shop.solved, pair, shop.border)
    left = after_bundle(u**2, with_sum, among, [0.05, 0.10])
    assert left == pytest.approx(math.hypot(0.05, 0.10), rel=0.01)


def test_errors_in_common_add_up_in_ten_resistors() -> None:
    # JCGM 100:2008 (GUM), 5.2.2: ten resistors of 1000 Ω, each compared with one standard of
    # u = 100 mΩ, in series: u = 1 Ω; wrongly taken as independent it would be 0.32 Ω.
    book = ProblemBuilder([0.1])
    for _ in range(10):
        resistor = book.add_unknown(1000.0)
        book.add_row([resistor, book.factor(0)], [1.0, -1.0], 1000.0, 1e-4)
    whole = solve_whole(book.finish())
    parts = [(solved, np.ones(1)) for _, solved in whole.parts]
    value, u = total(parts, whole.border)
    assert value == pytest.approx(10_000.0, abs=1e-6)
    assert u == pytest.approx(1.0, rel=1e-4)
    assert math.sqrt(float((whole.uncertainties**2).sum())) == pytest.approx(0.32, abs=0.004)
