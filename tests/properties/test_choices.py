"""Laws of the choice about residues, on random ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terms import fees, pays, sheet
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import Choice, Making, Residues, Way
from vault.reckoning.circumstances import usual
from vault.reckoning.send_out import choose

DAY = date(2031, 3, 14)
COSTS = usual("EUR", {"Ag": 0.9, "Au": 75.0})


@st.composite
def sheets(draw: st.DrawFn, name: str) -> TermsSheet:
    return sheet(
        pays(
            "Ag",
            draw(st.floats(0.6, 0.99)),
            deduction=draw(st.floats(0.0, 0.002)),
            lesser=draw(st.booleans()),
        ),
        pays("Au", draw(st.floats(0.6, 0.99)), least_fine_g=draw(st.floats(0.0, 3.0))),
        name=name,
        per_kg=draw(st.floats(0.0, 12.0)),
        least=draw(st.floats(0.0, 400.0)),
        charges=fees(freight=draw(st.floats(0.0, 200.0)), drum=draw(st.floats(0.0, 40.0))),
        days=draw(st.integers(0, 90)),
    )


@st.composite
def residues(draw: st.DrawFn) -> Residues:
    silver, gold = draw(st.floats(-5.0, 900.0)), draw(st.floats(-0.5, 9.0))
    u, v = draw(st.floats(0.0, 300.0)), draw(st.floats(0.0, 3.0))
    tied = draw(st.floats(-0.9, 0.9)) * u * v
    weight = draw(st.floats(500.0, 90_000.0))
    return Residues(("Ag", "Au"), (silver, gold), ((u * u, tied), (tied, v * v)), weight)


@st.composite
def rates(draw: st.DrawFn) -> Making | None:
    if draw(st.booleans()):
        return None
    silver, gold = draw(st.floats(0.0, 40.0)), draw(st.floats(0.0, 0.5))
    return Making(
        draw(st.floats(50.0, 5_000.0)),
        draw(st.floats(0.0, 400.0)),
        {"Ag": (silver, 0.2 * silver), "Au": (gold, 0.3 * gold)},
        draw(st.floats(0.0, 1.0)),
    )


def best_net(choice: Choice) -> float:
    return choice.best_known.net


@settings(max_examples=25)
@given(residues(), rates(), sheets("one"), sheets("other"))
def test_what_is_told_of_a_choice_hangs_together(
    heap: Residues, making: Making | None, one: TermsSheet, other: TermsSheet
) -> None:
    choice = choose(heap, [one, other], COSTS, DAY, making)
    nets = [option.net for option in choice.options]
    assert choice.best.net == max(nets) >= choice.best_known.net >= 0.0
    assert choice.options[-1].way is Way.KEEP
    assert choice.options[-1].net == 0.0
    assert choice.margin >= 0.0
    assert choice.doubt_costs >= 0.0
    assert choice.all_doubt_costs >= 0.0
    for option in choice.options:
        assert option.low <= option.high
        assert 0.0 <= option.worse_than_keeping <= 1.0
    for turn in choice.turns:
        assert turn.level >= 0.0 or turn.now < 0.0
        assert (turn.instead, turn.sheet) != (choice.best_known.way, choice.best_known.sheet)


@settings(max_examples=15)
@given(residues(), sheets("one"), sheets("other"))
def test_one_more_sheet_to_choose_from_never_makes_the_best_worse(
    heap: Residues, one: TermsSheet, other: TermsSheet
) -> None:
    """Where nothing more is made; else what waiting is set against rises with better terms."""
    less, more = (choose(heap, some, COSTS, DAY) for some in ([one], [one, other]))
    assert best_net(more) >= best_net(less) - 1e-9


@settings(max_examples=15)
@given(residues(), sheets("one"), st.floats(0.0, 200.0))
def test_more_metal_known_in_the_same_heap_never_makes_the_best_worse(
    heap: Residues, one: TermsSheet, grams: float
) -> None:
    richer = replace(heap, fine_g=(heap.fine_g[0] + grams, heap.fine_g[1]))
    less, more = (choose(each, [one], COSTS, DAY) for each in (heap, richer))
    assert best_net(more) >= best_net(less) - 1e-6 * (1.0 + abs(best_net(less)))


@settings(max_examples=25)
@given(residues(), rates(), sheets("one"))
def test_the_net_now_is_the_first_point_of_the_curve_of_waiting(
    heap: Residues, making: Making | None, one: TermsSheet
) -> None:
    """Exactly expected there, in draws here."""
    choice = choose(heap, [one], COSTS, DAY, making)
    now = next(option for option in choice.options if option.way is Way.SEND)
    assert now.net == pytest.approx(choice.time.curve[0], abs=0.02 * now.u + 1e-6)
