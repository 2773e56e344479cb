"""The balance against published reconciliations, and one shop worked to 60 digits.

Sources stand at each case. D1 to D4 are small published networks of flows; each measured flow is
a row x = y ± u, each node an exact row. Where a figure is not in the source it says so. Every case
runs through the engine that a book runs through, by QR and by the sparse factor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest

from balances import Balance, Solved, by_factor, by_qr, solved_together
from vault.reckoning.doubts import critical_z
from vault.reckoning.families import Family
from vault.reckoning.next_assays import after_bundle, after_one
from vault.reckoning.systems import System

Way = Callable[[System], Family]
both_ways = pytest.mark.parametrize("way", [by_qr, by_factor])

# The nodes of the heat exchanger with bypass, by flow: 1=2+3, 2=4, 3=5, 4+5=6.
BYPASS = [{1: 1, 2: -1, 3: -1}, {2: 1, 4: -1}, {3: 1, 5: -1}, {4: 1, 5: 1, 6: -1}]


def network(
    nodes: Sequence[dict[int, int]], measured: dict[int, tuple[float, float]], size: float
) -> Balance:
    """One unknown per flow, one row per measured flow, in order, then the nodes."""
    balance = Balance([size] * max(flow for node in nodes for flow in node))
    for flow, (value, u) in measured.items():
        balance.row({flow - 1: 1.0}, value, u)
    for node in nodes:
        balance.row({flow - 1: float(sign) for flow, sign in node.items()}, 0.0, 0.0)
    return balance


def bypass(values: Sequence[float], u: Sequence[float]) -> Balance:
    pairs = zip(values, u, strict=True)
    return network(BYPASS, dict(enumerate(pairs, start=1)), 100.0)


# S. Narasimhan & C. Jordache, Data Reconciliation and Gross Error Detection (Gulf 2000), ch. 1.
D1 = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)
D1B = (101.91, 68.45, 34.65, 64.20, 36.44, 98.88)


@both_ways
def test_d1_the_heat_exchanger_is_reconciled_as_in_the_book(way: Way) -> None:
    solved = bypass(D1, [1.0] * 6).solved(way)
    assert solved.x == pytest.approx([100.22, 64.50, 35.72, 64.50, 35.72, 100.22], abs=0.006)


@both_ways
def test_d1_has_the_statistics_of_an_independent_solution(way: Way) -> None:
    # Not in the book: posterior u, redundancy and z, from a prototype of this project.
    solved = bypass(D1, [1.0] * 6).solved(way)
    assert solved.u == pytest.approx([0.5774] * 6, abs=6e-5)
    assert solved.doubts.redundancy[:6] == pytest.approx([2 / 3] * 6, abs=1e-5)
    z = [2.070, -0.061, -1.310, -0.367, 0.882, -1.641]
    assert solved.doubts.z[:6] == pytest.approx(z, abs=5.1e-4)
    assert solved.chi_square == pytest.approx(6.4075, abs=6e-5)
    assert solved.degrees == pytest.approx(4.0, abs=1e-4)


@both_ways
def test_d1b_a_gross_error_of_4_is_found_in_its_flow(way: Way) -> None:
    # The same book: χ² 16.674.
    solved = bypass(D1B, [1.0] * 6).solved(way)
    assert solved.chi_square == pytest.approx(16.674, abs=6e-4)
    expected = [100.887, 65.833, 35.053, 65.833, 35.053, 100.887]
    assert solved.x == pytest.approx(expected, abs=6e-4)
    z = [1.253, 3.205, -0.494, -2.000, 1.698, -2.458]
    assert solved.doubts.z[:6] == pytest.approx(z, abs=6e-4)
    assert int(np.argmax(np.abs(solved.doubts.z))) == 1
    assert abs(solved.doubts.z[1]) > critical_z(6)
    assert solved.corrections[1] == pytest.approx(-2.617 * 1.5, abs=1e-3)


def test_d1b_without_the_suspect_the_fall_of_chi_square_is_as_told() -> None:
    whole = bypass(D1B, [1.0] * 6).solved()
    without = bypass(D1B, [1.0, 1e4, 1.0, 1.0, 1.0, 1.0]).solved()
    fall = float(whole.doubts.z[1]) ** 2
    assert whole.chi_square - without.chi_square == pytest.approx(fall, abs=1e-4)
    assert without.x[1] - D1B[1] == pytest.approx(whole.corrections[1], abs=1e-4)


# The cooling-water network of a teaching module of NAMP, the Program for North American Mobility in
# Higher Education (2003); the same figures in lecture slides of McGill University (2013).
D2 = (110.5, 60.8, 35.0, 68.9, 38.6, 101.4)
D2_U = (0.82, 0.53, 0.46, 0.71, 0.45, 1.20)


@both_ways
def test_d2_the_cooling_water_is_reconciled_to_all_published_digits(way: Way) -> None:
    solved = bypass(D2, D2_U).solved(way)
    a, b, c = 103.24010825, 65.41556049, 37.82454776
    assert solved.x == pytest.approx([a, b, c, b, c, a], abs=2e-6)
    assert solved.u == pytest.approx([0.42, 0.37, 0.30, 0.37, 0.30, 0.42], abs=0.0051)
    # χ² from a prototype of this project.
    assert solved.chi_square == pytest.approx(221.33, abs=5e-3)


@both_ways
def test_d2_covariances_are_the_published_ones(way: Way) -> None:
    found = bypass(D2, D2_U).solved(way).covariance[:3, :3]
    published = [[0.1753, 0.1114, 0.0639], [0.1114, 0.1365, -0.0251], [0.0639, -0.0251, 0.0890]]
    assert found == pytest.approx(np.array(published), abs=5.1e-5)


@both_ways
def test_d2b_flows_that_are_not_measured_are_worked_out(way: Way) -> None:
    measured = {flow: (D2[flow - 1], D2_U[flow - 1]) for flow in (1, 3, 5)}
    solved = network(BYPASS, measured, 100.0).solved(way)
    published = [110.5, 73.66, 36.84, 73.66, 36.84, 110.5]
    assert solved.x == pytest.approx(published, abs=0.006)
    assert solved.doubts.redundancy[0] == 0.0, "nothing checks the first flow"
    assert solved.chi_square == pytest.approx(31.297, abs=1e-3)
    assert solved.degrees == pytest.approx(1.0, abs=1e-4)


@both_ways
def test_d2c_what_is_not_determinable_is_told_as_published(way: Way) -> None:
    measured = {flow: (D2[flow - 1], D2_U[flow - 1]) for flow in (1, 6)}
    solved = network(BYPASS, measured, 100.0).solved(way)
    assert solved.not_determinable == [False, True, True, True, True, False]
    assert solved.x[[0, 5]] == pytest.approx([107.60337] * 2, abs=2e-5)
    assert solved.u[[0, 5]] == pytest.approx([0.6770] * 2, abs=6e-5)
    assert solved.chi_square == pytest.approx(39.202, abs=1e-3)


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


@both_ways
def test_d3_twelve_streams_are_reconciled_as_published(way: Way) -> None:
    solved = network(D3_NODES, {flow: one[:2] for flow, one in D3.items()}, 50.0).solved(way)
    assert solved.x == pytest.approx([one[2] for one in D3.values()], abs=0.0101)


@both_ways
def test_d3_has_the_statistics_of_an_independent_solution(way: Way) -> None:
    # Not in the paper: from a prototype of this project.
    u = [0.3641, 0.2179, 0.3125, 0.2449, 0.2275, 0.0976]
    u += [0.1801, 0.3200, 0.2468, 0.2807, 0.3695, 0.3641]
    rho = [0.867, 0.473, 0.390, 0.334, 0.425, 0.047, 0.189, 0.791, 0.323, 0.508, 0.787, 0.867]
    z = [-0.099, -1.655, -1.199, -0.123, 0.884, 0.884]
    z += [0.884, 0.272, -0.680, -0.370, 0.568, 1.061]
    solved = network(D3_NODES, {flow: one[:2] for flow, one in D3.items()}, 50.0).solved(way)
    assert solved.u == pytest.approx(u, abs=7e-5)
    assert solved.doubts.redundancy[:12] == pytest.approx(rho, abs=6e-4)
    assert solved.doubts.z[:12] == pytest.approx(z, abs=6e-4)
    assert solved.chi_square == pytest.approx(3.8913, abs=7e-5)
    assert solved.degrees == pytest.approx(6.0, abs=1e-4)


# Lecture slides on data reconciliation, McGill University (2013): a binary column, feed = two
# products. Per stream: flow, u, and twice the fraction with its u.
D4 = [
    ((1095.475, 54.8), (0.4822, 0.0048), (0.5170, 0.0052)),
    ((478.402, 23.9), (0.9410, 0.0094), (0.0501, 0.0005)),
    ((488.232, 24.4), (0.0197, 0.0002), (0.9748, 0.0097)),
]


@both_ways
def test_d4_mass_times_assay_gives_the_published_column(way: Way) -> None:
    # The component flow is the row x = g·a with u² = g²u_a² + a²u_g², the flow a row of its own.
    flows = [flow for (flow, _), *_ in D4]
    balance = Balance(flows + [flow * a for (flow, _), *pair in D4 for a, _ in pair])
    parts = [[3 + 2 * stream, 4 + 2 * stream] for stream in range(3)]
    for stream, ((flow, u_flow), *pair) in enumerate(D4):
        balance.row({stream: 1.0}, flow, u_flow)
        for part, (a, u_a) in zip(parts[stream], pair, strict=True):
            balance.row({part: 1.0}, flow * a, math.hypot(flow * u_a, a * u_flow))
        balance.row({stream: 1.0, parts[stream][0]: -1.0, parts[stream][1]: -1.0}, 0.0, 0.0)
    for which in (0, 1):
        feed, one, other = (part[which] for part in parts)
        balance.row({feed: 1.0, one: -1.0, other: -1.0}, 0.0, 0.0)
    x = balance.solved(way).x
    assert x[:3] == pytest.approx([1010.2, 500.1, 510.1], abs=0.1)
    fractions = x[3:].reshape(3, 2) / x[:3, None]
    published = [[0.4808, 0.5192], [0.9518, 0.0480], [0.0190, 0.9810]]
    assert fractions == pytest.approx(np.array(published), abs=2e-4)
    # To more digits, from a prototype of this project.
    assert x[:3] == pytest.approx([1010.174, 500.058, 510.117], abs=6e-4)


LOT, BAG_1, BAG_2, BUTTON, SLAG, BEAD, CUPEL = range(7)
RESIDUES = np.array([0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0])


def small_shop(*, settled: bool, way: Way = by_qr) -> Solved:
    """Example S1 of this project's note on balances, solved there to 60 digits."""
    shop = Balance([400.0, 240.0, 160.0, 236.0, 3.6, 230.0, 4.7], factor_u=[0.005, 0.006])
    shop.row({LOT: 1.0}, 400.0, math.hypot(500 * 0.004, 0.8 * 0.01))
    shop.row({BEAD: 1.0}, 230.06005, math.hypot(231.1 * 0.0015, 0.9955 * 0.005))
    shop.row({BAG_1: 1.0, LOT: -0.6}, 0.0, 0.02 * 400 * math.sqrt(0.6 * 0.4))
    shop.row({LOT: 1.0, BAG_1: -1.0, BAG_2: -1.0}, 0.0, 0.0)
    shop.row({BAG_1: 0.999, BUTTON: -1.0, SLAG: -1.0}, 0.0, 0.001 * 240)
    shop.row({SLAG: 1.0, BAG_1: -0.015}, 0.0, 0.005 * 240, factor=(0, -240.0))
    shop.row({BUTTON: 0.996, BEAD: -1.0, CUPEL: -1.0}, 0.0, 0.002 * 235)
    shop.row({CUPEL: 1.0, BUTTON: -0.020}, 0.0, 0.005 * 235, factor=(1, -235.0))
    if settled:
        shop.row({CUPEL: 1.0}, 5.60, 0.10)
    return shop.solved(way)


@both_ways
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
    way: Way,
    settled: bool,
    x: list[float],
    u: list[float],
    deviation: list[float],
    u_deviation: list[float],
    residues: tuple[float, float],
    chi_square: float,
    degrees: float,
) -> None:
    shop = small_shop(settled=settled, way=way)
    # The sparse factor's own prior costs it up to 0.3 % of u; QR is right to the last digit told.
    exact = way is by_qr
    assert shop.x == pytest.approx(x, abs=6e-6 if exact else 2e-3)
    assert shop.u == (pytest.approx(u, abs=6e-6) if exact else pytest.approx(u, rel=3e-3))
    found, found_u = shop.deviations
    assert found == pytest.approx(deviation, abs=6e-6)
    assert found_u == pytest.approx(u_deviation, abs=7e-6)
    assert shop.total(RESIDUES) == pytest.approx(residues, abs=6e-6 if exact else 3e-3)
    assert shop.chi_square == pytest.approx(chi_square, abs=6e-6 if exact else 1e-4)
    assert shop.degrees == pytest.approx(degrees, abs=1e-6 if exact else 3e-3)


def test_d5_one_equation_makes_one_group_that_cannot_be_told_apart() -> None:
    shop = small_shop(settled=False)
    redundant = shop.doubts.redundancy > 0.0
    assert np.abs(shop.doubts.z[redundant]) == pytest.approx(0.0921, abs=5e-5)
    assert np.flatnonzero(redundant).tolist() == [0, 1, 2, 4, 5, 6, 7]
    assert shop.doubts.redundancy[:2] == pytest.approx([0.0604, 0.0055], abs=5e-5)
    # The note takes 4.4 for the critical z and the power of 80 % together.
    system = shop.family.system
    noticeable = [4.4 * system.u[row] / math.sqrt(shop.doubts.redundancy[row]) for row in (0, 1)]
    assert noticeable == pytest.approx([36.0, 20.6], abs=0.2)
    tests = 10
    told = shop.doubts.least_noticed(0, tests)
    assert told == pytest.approx(noticeable[0] * (critical_z(tests) + 0.84) / 4.4, rel=1e-9)


def test_d5_the_doubt_of_the_residues_has_the_budget_of_the_note() -> None:
    rows, factors = small_shop(settled=False).budget(RESIDUES)
    assert 100 * rows == pytest.approx([2.3, 0.2, 24.9, 0.0, 0.1, 16.3, 0.3, 16.2], abs=0.051)
    assert 100 * factors == pytest.approx([16.3, 23.4], abs=0.051)
    assert rows.sum() + factors.sum() == pytest.approx(1.0, abs=1e-7)


def test_d5_the_next_assay_is_worth_what_a_new_solution_says() -> None:
    shop = small_shop(settled=False)
    u = shop.total(RESIDUES)[1]
    with_sum = shop.covariance @ RESIDUES
    things, assay = [CUPEL, BAG_2, SLAG, BUTTON], np.array([0.10, 0.8, 0.05, 0.8])
    found = after_one(u**2, with_sum[things], shop.u[things], assay)
    assert found == pytest.approx([1.59275, 1.65525, 1.70536, 1.77453], abs=6e-6)
    # The cupel's figure is that of the shop in which it was settled with just this doubt.
    assert found[0] == pytest.approx(small_shop(settled=True).total(RESIDUES)[1], abs=1e-6)


def test_d5_slag_and_cupel_assayed_together_leave_their_own_doubts_only() -> None:
    shop = small_shop(settled=False)
    pair = [SLAG, CUPEL]
    left = after_bundle(
        shop.total(RESIDUES)[1] ** 2,
        (shop.covariance @ RESIDUES)[pair],
        shop.covariance[np.ix_(pair, pair)],
        [0.05, 0.10],
    )
    assert left == pytest.approx(math.hypot(0.05, 0.10), rel=0.01)


@both_ways
def test_errors_in_common_add_up_in_ten_resistors(way: Way) -> None:
    # JCGM 100:2008 (GUM), 5.2.2: ten resistors of 1000 Ω, each compared with one standard of
    # u = 100 mΩ, in series: u = 1 Ω; wrongly taken as independent it would be 0.32 Ω.
    families = []
    for _ in range(10):
        resistor = Balance([1000.0], factor_u=[0.1])
        resistor.row({0: 1.0}, 1000.0, 1e-4, factor=(0, -1.0))
        families.append(way(resistor.system()))
    solved = solved_together(families, [0.1])
    value = sum(float(one.x[0]) for one in solved)
    lean = sum(one.family.shift[0, 0] for one in solved)
    own = sum(float(one.family.variances()[0]) for one in solved)
    u = math.sqrt(own + lean**2 * float(solved[0].house.covariance[0, 0]))
    assert value == pytest.approx(10_000.0, abs=1e-6)
    assert u == pytest.approx(1.0, rel=1e-3)
    assert math.sqrt(sum(float(one.u[0]) ** 2 for one in solved)) == pytest.approx(0.32, abs=0.004)
