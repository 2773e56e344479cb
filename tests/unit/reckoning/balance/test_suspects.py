"""Which records contradict each other, and what could be wrong unseen."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vault.reckoning.balance.problem import ProblemBuilder
from vault.reckoning.balance.solve import Solution, solve_whole
from vault.reckoning.balance.suspects import chi_square_tail, critical_z, examine


def weighed_twice(second: float) -> Solution:
    """One thing told as 10 ± 1 g and again as `second` ± 1 g; another told once."""
    book = ProblemBuilder()
    thing, other = book.add_unknown(10.0), book.add_unknown(10.0)
    book.add_row([thing], [1.0], 10.0, 1.0)
    book.add_row([thing], [1.0], second, 1.0)
    book.add_row([other], [1.0], 3.0, 1.0)
    return solve_whole(book.finish())


def test_two_records_of_one_thing_are_named_together_and_the_third_is_not() -> None:
    solved = weighed_twice(16.0)
    found = examine(solved.rows, solved.chi_square, solved.degrees)
    assert found.alarm
    assert sorted(one.row for one in found.suspects) == [0, 1]
    assert {one.row: round(one.correction_g, 6) for one in found.suspects} == {0: -6.0, 1: 6.0}
    assert all(one.fall == pytest.approx(18.0, abs=1e-5) for one in found.suspects)


def test_records_that_agree_raise_no_alarm() -> None:
    solved = weighed_twice(11.0)
    found = examine(solved.rows, solved.chi_square, solved.degrees)
    assert not found.alarm
    # χ² with one degree of freedom: the chance is that of |N(0,1)| above √J.
    assert found.chance == pytest.approx(math.erfc(math.sqrt(0.5 / 2)), rel=1e-6)


def test_an_error_in_a_record_that_nothing_checks_is_never_noticeable() -> None:
    solved = weighed_twice(10.0)
    found = examine(solved.rows, solved.chi_square, solved.degrees)
    # Seen against the other record, whose own doubt is in the difference too.
    expected = (critical_z(2) + 0.84) * math.sqrt(2.0)
    assert found.noticeable_g[:2] == pytest.approx([expected] * 2, rel=1e-6)
    assert found.noticeable_g[2] == math.inf


def test_only_rows_that_may_be_named_are_named() -> None:
    solved = weighed_twice(16.0)
    may = np.array([False, True, True])
    found = examine(solved.rows, solved.chi_square, solved.degrees, tested=may)
    assert [one.row for one in found.suspects] == [1]
    assert found.critical_z == pytest.approx(1.959964, abs=1e-6)


def test_a_book_without_checks_has_neither_suspects_nor_alarm() -> None:
    book = ProblemBuilder()
    book.add_row([book.add_unknown(5.0)], [1.0], 5.0, 1.0)
    solved = solve_whole(book.finish())
    found = examine(solved.rows, solved.chi_square, solved.degrees)
    assert (found.alarm, found.suspects, found.critical_z) == (False, (), math.inf)


def test_sidaks_bound_holds_the_chance_of_any_false_alarm_at_five_per_cent() -> None:
    for tests in (1, 10, 125, 100_000):
        one = math.erfc(critical_z(tests) / math.sqrt(2.0))
        assert -math.expm1(tests * math.log1p(-one)) == pytest.approx(0.05, rel=1e-9)


def test_the_tail_of_chi_square_with_two_degrees_is_an_exponential() -> None:
    for j in (0.0, 0.5, 3.0, 40.0):
        assert chi_square_tail(j, 2.0) == pytest.approx(math.exp(-j / 2.0), rel=1e-12)
    assert chi_square_tail(5.0, 0.0) == 1.0
