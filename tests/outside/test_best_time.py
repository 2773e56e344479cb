"""How often to send, against the square-root rule of stock-keeping."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from terms import fees, pays, sheet
from vault.reckoning.best_time import best_time, outlook_of
from vault.reckoning.choices import Making, Residues, Setting
from vault.reckoning.circumstances import WEEKS_A_YEAR, usual


def test_the_square_root_rule_gives_1_61_years_and_the_true_curve_a_little_more() -> None:
    """F. W. Harris 1913 (from memory): T = √(2F/(i·v)); F 260, v 2 000 a year, i 10 %.

    √(2 · 260 / 200) = 1.612 years (by arithmetic). With interest upon interest the best rhythm
    solves e^−x + x − 1 = iF/v for x = iT (by arithmetic from the worth of all shipments): 0.013
    there gives x = 0.1657 and 1.657 years, 86.4 weeks.
    """
    costs = replace(usual("EUR", {"Ag": 1.0}), interest=0.10, space_per_kg_week=0.0)
    terms = sheet(pays("Ag", 1.0), charges=fees(freight=260.0))
    empty = Residues(("Ag",), (0.0,), ((0.0,),), 0.0)
    adds = Making(1000.0, 0.0, {"Ag": (2000.0 / WEEKS_A_YEAR, 0.0)})
    setting = Setting(empty, adds, (terms,), costs, date(2031, 1, 1))
    answer = best_time(outlook_of(setting), setting)
    assert answer.root is not None
    assert answer.root.applies
    assert answer.root.fixed == pytest.approx(260.0)
    assert answer.root.value_per_year == pytest.approx(2000.0)
    assert answer.root.weeks / WEEKS_A_YEAR == pytest.approx(1.612, abs=0.001)
    assert answer.every_weeks == 86
