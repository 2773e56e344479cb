from __future__ import annotations

from datetime import date, timedelta
from math import sqrt

import pytest

from builders import received, shop_of, thing, worked
from mixed_books import contents_of
from vault.core.daybook import Entry
from vault.core.flow import Flow, flow_of
from vault.reckoning.gathering import Gathering, gathering_of

UNTIL = date(2031, 3, 30)
NAN = float("nan")


def cupellings(*weeks_ago: int) -> Flow:
    """One cupel of 100 g for each number, made so many weeks before the last day."""
    entries: list[Entry] = []
    for at, weeks in enumerate(sorted(weeks_ago, reverse=True)):
        on = (UNTIL - timedelta(weeks=weeks)).isoformat()
        number = 2 * at + 1
        entries.append(received(number, thing(f"K{at}", "button", "60"), lot=f"L-{at}", on=on))
        made = [thing(f"B{at}", "bead", "40"), thing(f"C{at}", "spent cupel", "100")]
        new = [thing("", "new cupel, magnesia", "80"), thing("", "lead", "20")]
        entries.append(worked(number + 1, "cupel", used=f"K{at}", added=new, made=made, on=on))
    return flow_of(shop_of(*entries))


def gathered(flow: Flow, silver: list[float], *, u: float = 0.0, weeks: int = 26) -> Gathering:
    cupels = [item for item in flow.items.values() if item.form == "spent cupel"]
    grams = {item.tag: one for item, one in zip(cupels, silver, strict=True)}
    doubts = {("Ag", item.tag): u for item in cupels}
    contents = contents_of(flow, {"Ag": grams}, u=doubts)
    return gathering_of(cupels, contents, until=UNTIL, most_weeks=weeks)


def test_an_even_rate_is_what_is_made_each_week() -> None:
    found = gathered(cupellings(3, 2, 1, 0), [2.0, 2.0, 2.0, 2.0])
    assert (found.weeks, found.items) == (4, 4)
    assert (found.weight.grams, found.weight.u_g) == (100.0, 0.0)
    assert (found.fine["Ag"].grams, found.fine["Ag"].u_g) == (2.0, 0.0)


def test_an_uneven_rate_is_less_sure() -> None:
    """Weekly sums 4, 0, 0, 0 g: mean 1, variance 4, u = √(4/4) = 1 (GUM 4.2.3)."""
    found = gathered(cupellings(3), [4.0])
    assert found.weeks == 4
    assert found.fine["Ag"].grams == 1.0
    assert found.fine["Ag"].u_g == pytest.approx(1.0)


def test_what_is_not_sure_of_the_contents_is_not_sure_of_the_rate() -> None:
    """Four cupels ± 0.5 g each, independent: u_Σ = 1 g over 4 weeks."""
    found = gathered(cupellings(3, 2, 1, 0), [2.0, 2.0, 2.0, 2.0], u=0.5)
    assert found.fine["Ag"].u_g == pytest.approx(sqrt((1.0 / 4) ** 2))


def test_only_the_weeks_asked_for_are_looked_at() -> None:
    found = gathered(cupellings(30, 1, 0), [9.0, 2.0, 4.0], weeks=2)
    assert (found.weeks, found.items) == (2, 2)
    assert found.fine["Ag"].grams == 3.0


def test_cupels_that_nobody_knows_anything_of_are_counted_apart() -> None:
    found = gathered(cupellings(1, 0), [NAN, 4.0])
    assert found.not_known == {"Ag": 1}
    assert found.fine["Ag"].grams == 2.0


def test_one_week_says_nothing_of_its_scatter() -> None:
    found = gathered(cupellings(0, 0), [1.0, 3.0])
    assert found.weeks == 1
    assert (found.fine["Ag"].grams, found.fine["Ag"].u_g) == (4.0, 4.0)


def test_where_nothing_was_ever_made_nothing_gathers() -> None:
    found = gathered(cupellings(), [])
    assert (found.weeks, found.items, found.weight.grams) == (0, 0, 0.0)
    assert found.fine == {}
