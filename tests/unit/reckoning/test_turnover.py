from __future__ import annotations

import doctest
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

import vault.reckoning.turnover
from builders import (
    counted,
    received,
    returned,
    sent,
    shop_of,
    sold,
    struck,
    thing,
    weighed,
    when,
    worked,
)
from random_shop import RandomShop
from vault.core.daybook import Entry, When
from vault.core.shop import Shop
from vault.core.turnover import Amount, ClassYear, Judgement
from vault.reckoning.series import stays
from vault.reckoning.turnover import first_dates, judged, still_to_move_ug, turnover

KILO = 1_000_000_000
NEEDED = Fraction(3, 4)
LATER = date(2033, 1, 1)


def kilos(number: float, items: int = 1, not_weighed: int = 0) -> Amount:
    return Amount(items, round(number * KILO), not_weighed)


def melted(number: int, day: str, *made: str, gross: str = "1 kg", form: str = "slag") -> Entry:
    """The entry after `fed`: a work that leaves these residues; its metal is of no matter here."""
    return worked(
        number + 1,
        "smelt",
        used=f"F-{number}",
        made=[thing(tag, form, gross) for tag in made] + [thing(f"M-{number}", "bar", "1 kg")],
        on=day,
    )


def fed(number: int, day: str) -> Entry:
    return received(number, thing(f"F-{number}", "scrap", "20 kg"), lot=f"L-{number}", on=day)


def years_of(*entries: Entry, until: date = LATER, form: str = "slag") -> dict[int, ClassYear]:
    return {one.year: one for one in turnover(shop_of(*entries), until)[form]}


def test_the_example_of_the_module_holds() -> None:
    assert doctest.testmod(vault.reckoning.turnover).failed == 0


def test_one_year_begins_with_what_the_last_ended_with() -> None:
    found = years_of(
        fed(1, "2031-12-30"),
        melted(1, "2031-12-31", "S-1", "S-2"),
        sent(3, "S-1", on="2032-01-01"),
    )
    assert found[2031].closing == found[2032].opening == kilos(2, items=2)
    assert found[2031].moved_on.is_nothing
    assert found[2032].sent == found[2032].moved_on == kilos(1)
    assert found[2032].closing == found[2033].opening == kilos(1)


def test_an_instant_belongs_to_the_year_of_the_shops_own_calendar() -> None:
    # In Auckland the new year begins at eleven in the morning of the last of December, UTC.
    made = melted(1, "2031-12-31", "S-1")
    told = replace(made, when=When(date(2032, 1, 1), datetime(2031, 12, 31, 11, 30, tzinfo=UTC)))
    assert set(years_of(fed(1, "2031-12-30"), told)) == {2032, 2033}


def test_an_entry_struck_after_new_year_never_was_in_the_year_before() -> None:
    before = (fed(1, "2031-06-01"), melted(1, "2031-12-20", "S-1"))
    going = sent(3, "S-1", on="2031-12-28")
    kept = years_of(*before)
    gone = years_of(*before, going)
    back = years_of(*before, going, replace(struck(4, 3), when=when("2032-01-05")))
    assert gone[2031].moved_on == kilos(1)
    assert back == kept
    assert "slag" not in turnover(
        shop_of(*before, replace(struck(3, 2), when=when("2032-01-05"))), LATER
    )


def test_what_was_never_weighed_is_counted_and_is_no_weight() -> None:
    found = years_of(
        fed(1, "2031-06-01"),
        melted(1, "2031-06-02", "S-1", "S-2", gross=""),
        sent(3, "S-1", on="2031-07-01"),
    )
    assert found[2031].gained == Amount(2, 0, 2)
    assert found[2031].sent == Amount(1, 0, 1)
    assert found[2031].closing == found[2032].opening == Amount(1, 0, 1)
    assert found[2032].share is None
    assert found[2032].not_weighed == 1


def test_what_was_never_weighed_never_helps_to_pass() -> None:
    whole = ClassYear("slag", 2031, date(2031, 12, 31), kilos(4), kilos(0), kilos(3), kilos(1))
    assert judged(whole, NEEDED, LATER) is Judgement.MET
    unweighed = ClassYear(
        "slag", 2031, date(2031, 12, 31), kilos(4, 2, 1), kilos(0), kilos(3), kilos(1, 1, 1)
    )
    assert judged(unweighed, NEEDED, LATER) is Judgement.NOT_SAID
    moved = ClassYear(
        "slag", 2031, date(2031, 12, 31), kilos(4, 2, 1), kilos(0), kilos(1, 2, 1), kilos(3)
    )
    assert judged(moved, NEEDED, LATER) is Judgement.NOT_SAID
    kept = ClassYear(
        "slag", 2031, date(2031, 12, 31), kilos(4, 2, 1), kilos(0), kilos(1), kilos(3, 1, 1)
    )
    assert judged(kept, NEEDED, LATER) is Judgement.NOT_MET
    all_unweighed = ClassYear(
        "slag", 2031, date(2031, 12, 31), Amount(1, 0, 1), kilos(0), kilos(0), Amount(1, 0, 1)
    )
    assert judged(all_unweighed, NEEDED, LATER) is Judgement.NOT_SAID


def test_each_way_out_is_told_and_only_those_that_win_the_metal_count_as_moved_on() -> None:
    found = years_of(
        fed(1, "2031-01-02"),
        melted(1, "2031-01-03", "S-1", "S-2", "S-3", "S-4", "S-5", "S-6"),
        sent(3, "S-1"),
        sold(4, "S-2"),
        worked(5, "smelt", used="S-3", made=[thing("B-9", "bar", "0.1 kg")]),
        returned(6, "S-4", party="L-1"),
        counted(7, missing="S-5"),
        until=date(2031, 12, 31),
    )[2031]
    assert (found.sent, found.sold, found.worked) == (kilos(1), kilos(1), kilos(1))
    assert (found.returned, found.missing) == (kilos(1), kilos(1))
    assert found.moved_on == kilos(3, items=3)
    assert found.closing == kilos(1)


def test_what_is_found_again_came_back() -> None:
    found = years_of(
        fed(1, "2031-01-02"),
        melted(1, "2031-01-03", "S-1"),
        counted(3, missing="S-1"),
        counted(4, found=[thing("S-1")]),
    )[2031]
    assert (found.gained, found.missing) == (kilos(2, items=2), kilos(1))
    assert found.closing == kilos(1)


def test_blending_a_drum_moves_nothing_on_and_makes_nothing() -> None:
    found = years_of(
        fed(1, "2030-11-01"),
        melted(1, "2030-11-02", "S-1", "S-2", "S-3"),
        worked(
            3,
            "blend",
            used="S-1 S-2 S-3",
            made=[thing("D-1", "slag", "2.9 kg"), thing("P-1", "sample", "0.08 kg")],
            on="2031-05-01",
        ),
        until=date(2031, 12, 31),
    )[2031]
    assert found.opening == kilos(3, items=3)
    assert found.gained.is_nothing
    assert found.moved_on.is_nothing
    assert found.reshaped == kilos(0.1, items=2)
    assert found.closing == kilos(2.9)


def test_a_blend_that_was_not_weighed_is_not_moved_on_either() -> None:
    found = years_of(
        fed(1, "2030-11-01"),
        melted(1, "2030-11-02", "S-1", "S-2"),
        worked(3, "blend", used="S-1 S-2", made=[thing("D-1", "slag")], on="2031-05-01"),
        until=date(2031, 12, 31),
    )[2031]
    assert found.moved_on.is_nothing
    assert found.closing == Amount(1, 0, 1)
    assert judged(found, NEEDED, LATER) is Judgement.NOT_MET


def test_crushing_slag_to_something_else_works_it_up() -> None:
    found = years_of(
        fed(1, "2030-11-01"),
        melted(1, "2030-11-02", "S-1"),
        worked(3, "crush", used="S-1", made=[thing("C-1", "concentrate", "0.9 kg")]),
        until=date(2031, 12, 31),
    )[2031]
    assert found.worked == found.moved_on == kilos(1)


def test_a_thing_weighed_again_has_one_weight_in_every_year() -> None:
    found = years_of(
        fed(1, "2031-06-01"),
        melted(1, "2031-06-02", "S-1"),
        weighed(3, "S-1", "0.9 kg", on="2032-02-01"),
    )
    assert found[2031].closing == found[2032].opening == found[2032].closing == kilos(0.9)
    assert found[2032].moved_on.is_nothing


def test_classes_do_not_help_each_other() -> None:
    entries = (
        fed(1, "2030-06-01"),
        melted(1, "2030-06-02", "S-1"),
        fed(3, "2030-06-03"),
        melted(3, "2030-06-04", "K-1", form="spent cupel"),
        sent(5, "K-1", on="2031-02-01"),
    )
    slag, cupels = years_of(*entries)[2031], years_of(*entries, form="spent cupel")[2031]
    assert judged(slag, NEEDED, LATER) is Judgement.NOT_MET
    assert judged(cupels, NEEDED, LATER) is Judgement.MET


def test_what_happens_after_the_last_day_is_not_told() -> None:
    entries = (
        fed(1, "2031-06-01"),
        melted(1, "2031-06-02", "S-1"),
        sent(3, "S-1", on="2031-09-01"),
    )
    found = years_of(*entries, until=date(2031, 8, 31))
    assert set(found) == {2031}
    assert found[2031].last_day == date(2031, 8, 31)
    assert found[2031].closing == kilos(1)


def test_it_says_how_much_is_still_to_be_moved_on() -> None:
    year = ClassYear(
        "slag", 2031, date(2031, 9, 1), kilos(14.2), kilos(9.6), kilos(2.1), kilos(21.7)
    )
    assert still_to_move_ug(year, NEEDED) == round(8.55 * KILO)
    assert still_to_move_ug(year, Fraction(1, 10)) == 0


def test_a_blend_is_as_old_as_the_oldest_that_went_in() -> None:
    shop = shop_of(
        fed(1, "2030-11-01"),
        melted(1, "2030-11-02", "S-1"),
        fed(3, "2031-03-01"),
        melted(3, "2031-03-02", "S-2"),
        worked(5, "blend", used="S-2 S-1", made=[thing("D-1", "slag", "2 kg")], on="2031-05-01"),
        worked(6, "divide", used="D-1", made=[thing("E-1", "slag"), thing("E-2", "slag")],
               on="2031-06-01"),
        worked(7, "smelt", used="E-1", made=[thing("S-9", "slag", "1 kg")], on="2031-07-01"),
    )  # fmt: skip
    found = first_dates(shop, ["S-9", "E-2", "D-1"])
    assert found["D-1"] == found["E-2"] == date(2030, 11, 2)
    # What melting leaves is new.
    assert found["S-9"] == date(2031, 7, 1)
    assert set(found) == {"S-1", "S-2", "D-1", "E-2", "S-9"}


def on_hand_at_the_end_of(year: int, form: str, shop: Shop) -> Amount:
    found = Amount()
    for item in shop.items.values():
        here = any(
            since <= date(year, 12, 31) and (until is None or until > date(year, 12, 31))
            for since, until in stays(item, shop)
        )
        if item.form == form and here:
            weight = item.gross
            found += Amount(1, 0, 1) if weight is None else Amount(1, weight.micrograms)
    return found


@pytest.mark.parametrize("seed", range(6))
def test_in_a_random_shop_every_year_ends_with_what_was_on_hand(seed: int) -> None:
    random = RandomShop(seed)
    random.go_on(400)
    shop = random.shop
    assert shop.latest is not None
    found = turnover(shop, shop.latest.day)
    assert found
    for form, years in found.items():
        for year in years:
            assert year.closing == on_hand_at_the_end_of(year.year, form, shop)
            assert year.moved_on == year.sent + year.sold + year.worked
