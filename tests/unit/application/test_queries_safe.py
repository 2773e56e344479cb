"""What the Safe asks, on the example daybook."""

from __future__ import annotations

from datetime import date

import pytest

from vault.application.book import Book
from vault.application.figures import tell_months
from vault.application.queries.safe import residue_series, safe, stock_series
from vault.core.knowledge import How

G = 1_000_000


def test_what_is_on_hand_stands_by_metal_and_form(example: Book) -> None:
    told = safe(example)
    silver = told.cards[0]
    assert [card.metal for card in told.cards] == ["Ag", "Au"]
    assert [(part.form, part.items, part.is_residue) for part in silver.parts] == [
        ("sample", 1, False),
        ("slag", 2, True),
    ]
    # 2.20 g of the sample at 991.0 ‰; the rest of the bar was returned.
    assert silver.parts[0].figure.fine_ug == pytest.approx(2.20 * 0.991 * G, rel=1e-5)
    assert silver.parts[0].figure.how is How.ASSAYED
    assert silver.total.fine_ug == sum(part.figure.fine_ug or 0 for part in silver.parts)


def test_all_of_a_toll_lot_is_owed_but_for_the_silver_in_the_lead(example: Book) -> None:
    silver = safe(example).cards[0]
    assert silver.owed.fine_ug is not None
    assert silver.ours.fine_ug is not None
    assert silver.owed.fine_ug + silver.ours.fine_ug == silver.total.fine_ug
    assert 0 < silver.ours.fine_ug < 100


def test_worth_follows_the_set_price_and_names_the_metal_without_one(example: Book) -> None:
    told = safe(example)
    fine_g = (told.cards[0].total.fine_ug or 0) / G
    assert told.worth.amount == pytest.approx(0.95 * fine_g)
    assert told.worth.currency == "EUR"
    assert told.worth.prices_of == date(2031, 3, 1)
    assert told.worth.unpriced == ("Au",)
    locked_g = (told.cards[0].parts[1].figure.fine_ug or 0) / G
    assert told.worth.locked == pytest.approx(0.95 * locked_g)


def test_before_the_figures_are_worked_out_there_are_entries_and_no_cards(
    bare_example: Book,
) -> None:
    told = safe(bare_example)
    assert (told.cards, told.figures_of, told.last_entry) == ((), None, 16)
    assert told.worth.amount is None or told.worth.amount == 0


def test_the_figures_say_up_to_which_entry_they_hold(example: Book) -> None:
    assert safe(example).figures_of == 16
    assert safe(example).findings == 0


def test_the_stock_over_time_adds_up_day_by_day(example: Book) -> None:
    series = stock_series(example, "Ag")
    assert series.days == tuple(sorted(series.days))
    for at, total in enumerate(series.total_g):
        assert sum(row[at] for row in series.fine_g) == pytest.approx(total, abs=1e-5)
    before, after = series.days.index(date(2031, 3, 6)), series.days.index(date(2031, 3, 20))
    assert series.total_g[before] > 440 > series.total_g[after]


def test_residues_over_time_hold_no_bar_and_drop_when_the_drum_is_sent(example: Book) -> None:
    series = residue_series(example, "Ag")
    assert series.forms == ("slag", "spent cupel")
    assert series.residues == (True, True)
    sent = series.days.index(date(2031, 6, 2))
    assert series.total_g[sent] < series.total_g[sent - 1]
    assert [words for _, words in series.marks] == [
        "V-0001 sent to Lowland Residue Works, 1 item",
        "V-0001 settled: silver 133 % of own estimate",
    ]


def test_a_metal_that_was_never_here_has_no_days(example: Book) -> None:
    assert residue_series(example, "Rh").days == ()


def test_what_was_known_at_each_month_end_stands_beside_it(bare_example: Book) -> None:
    from vault.application.figures import work_out  # noqa: PLC0415  only this test works it out

    work_out(bare_example)
    tell_months(bare_example)
    series = residue_series(bare_example, "Ag")
    first = series.days.index(date(2031, 3, 20))
    assert series.as_known_g[first] is None
    # In June the cupel was gone, and the settlement that tells more of it not yet come.
    june = series.as_known_g[series.days.index(date(2031, 6, 2))]
    assert june is not None
    assert june > 0
