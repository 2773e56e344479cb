"""The yearly record against the published test of residues kept for their metal.

US 40 CFR 266.70(c) and 261.1(c)(8), read in copies that states publish: stock on 1 January S0, made
and received G, stock at the end S1, each class by itself; moved on R = S0 + G − S1, and at least
75 % of S0 within the calendar year. The three cases are those of the checks that belong to it, in
kilograms; the masses are made up, the result follows by arithmetic. The law differs by place.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from builders import received, sent, shop_of, thing
from vault.core.daybook import Entry
from vault.core.turnover import ClassYear, Judgement
from vault.reckoning.turnover import judged, turnover

THREE_QUARTERS = Fraction(3, 4)
NEW_YEAR = date(2032, 1, 1)


def year_of(opening: int, made: int, closing: int) -> ClassYear:
    """A shop whose stock of slag is as told, in bags of twenty kilograms."""
    entries: list[Entry] = []
    if opening:
        bags = [thing(f"A-{at}", "slag", "20 kg") for at in range(opening // 20)]
        entries.append(received(1, *bags, lot="L-1", on="2030-06-01"))
    if made:
        bags = [thing(f"B-{at}", "slag", "20 kg") for at in range(made // 20)]
        entries.append(received(2, *bags, lot="L-2", on="2031-03-01"))
    tags = [line.tag for one in entries for line in one.lines]
    gone = tags[: (opening + made - closing) // 20]
    if gone:
        entries.append(sent(3, " ".join(gone), on="2031-09-01"))
    return turnover(shop_of(*entries), date(2031, 12, 31))["slag"][-1]


@pytest.mark.parametrize(
    ("opening", "made", "closing", "share", "judgement"),
    [
        (120, 60, 60, Fraction(1), Judgement.MET),
        (120, 60, 100, Fraction(2, 3), Judgement.NOT_MET),
        (0, 60, 60, None, Judgement.MET),
    ],
)
def test_the_published_cases_pass_and_fail_as_published(
    opening: int, made: int, closing: int, share: Fraction | None, judgement: Judgement
) -> None:
    year = year_of(opening, made, closing)
    kilos = [one.gross_ug / 1e9 for one in (year.opening, year.gained, year.moved_on, year.closing)]
    assert kilos == [opening, made, opening + made - closing, closing]
    assert year.share == share
    assert judged(year, THREE_QUARTERS, NEW_YEAR) is judgement


def test_exactly_three_quarters_are_enough() -> None:
    assert judged(year_of(80, 0, 20), THREE_QUARTERS, NEW_YEAR) is Judgement.MET


def test_while_the_year_runs_what_fails_is_open() -> None:
    year = year_of(120, 60, 100)
    assert judged(year, THREE_QUARTERS, date(2031, 12, 31)) is Judgement.OPEN
    assert judged(year, THREE_QUARTERS, NEW_YEAR) is Judgement.NOT_MET
