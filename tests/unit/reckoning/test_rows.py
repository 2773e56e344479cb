"""Every record becomes one row, with the doubt that the method gives it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from builders import assayed, received, sent, settled, thing, worked
from unit.reckoning.grounds import ground, solved
from vault.core.daybook import Entry, Line
from vault.reckoning.guesses import DEFAULT, Guesses
from vault.reckoning.row_pile import RowKind, Rows
from vault.reckoning.rows import rows_of


def of_kind(rows: Rows, kind: RowKind) -> np.ndarray:
    return np.flatnonzero(rows.kind == kind)


def sent_and_settled(item: Line, says: Line) -> tuple[Entry, ...]:
    return received(1, item), sent(2, "A"), settled(3, replace(says, how="settlement"))


def test_an_assay_is_weight_times_fineness_with_both_doubts() -> None:
    """u² = (g·u_a)² + (a·u_g)² (JCGM 100:2008, eq. 12)."""
    rows = rows_of(ground(received(1, thing("A", "bar", "500 ± 0.02", "Ag 800 ± 4"))))
    assert rows.y[0] == pytest.approx(400.0)
    assert rows.u[0] == pytest.approx(np.hypot(500 * 0.004, 0.8 * 0.02))


def test_a_settlement_with_the_refinerys_weight_goes_by_that_weight() -> None:
    rows = rows_of(
        ground(*sent_and_settled(thing("A", "slag", "500"), thing("A", "", "480", "Ag 10 ± 0.1")))
    )
    said = of_kind(rows, RowKind.SAID)
    assert rows.y[said] == pytest.approx([4.8])


def test_a_record_set_aside_counts_a_thousand_times_less_sure() -> None:
    entries = (received(1, thing("A", "bar", "500 ± 0.000001", "Ag 800 ± 4")),)
    sure = rows_of(ground(*entries)).u[0]
    aside = rows_of(ground(*entries, guesses=Guesses(set_aside=frozenset({1})))).u[0]
    assert aside == pytest.approx(1000.0 * sure, rel=1e-3)


def test_something_said_of_what_has_no_weight_is_no_row() -> None:
    rows = rows_of(
        ground(received(1, thing("A", "dust", says="Ag 100"), thing("B", "bar", "10", "Ag 900")))
    )
    assert len(of_kind(rows, RowKind.SAID)) == 1


def silent_u(*entries: Entry, metal: str) -> dict[str, float]:
    found = ground(*entries, metal=metal)
    rows = rows_of(found)
    return {
        found.facts.tags[rows.subject[one]]: float(rows.u[one])
        for one in of_kind(rows, RowKind.SILENT)
    }


SILVER_AND_GOLD = (
    received(1, thing("A", "grain", "100", "Ag 500 ± 0.001")),
    received(2, thing("G", "grain", "100", "Au 500 ± 0.001"), lot="L-2"),
    worked(3, "remelt", used="A G", made=[thing("B", "bar", "200")]),
    worked(4, "divide", used="B", made=[thing("C", "bar", "100"), thing("D", "bar", "100")]),
)


def test_silver_that_nobody_named_in_gold_is_bounded_by_what_the_gold_leaves() -> None:
    """Limits 0 to a about nothing: a/√3 (JCGM 100:2008, 4.3.7)."""
    found = silent_u(*SILVER_AND_GOLD, metal="Ag")
    assert found == {"G": pytest.approx(100.0 * 0.5 / np.sqrt(3.0), rel=1e-5)}


def test_an_assay_of_nearly_pure_metal_leaves_little_for_others() -> None:
    entries = (*SILVER_AND_GOLD, assayed(5, "C", "Au 990 ± 1"))
    assert silent_u(*entries, metal="Ag")["C"] == pytest.approx(100.0 * 0.011 / np.sqrt(3.0))


def test_an_assay_of_what_was_made_says_nothing_of_others_where_it_leaves_much() -> None:
    entries = (*SILVER_AND_GOLD, assayed(5, "C", "Au 250 ± 1"))
    assert "C" not in silent_u(*entries, metal="Ag")


def test_metals_that_are_seldom_there_do_not_go_unnamed_in_plenty() -> None:
    """How much may go unnamed is our own choice: 2 ‰ of gold, 0.5 ‰ of a platinum metal."""
    gold = silent_u(*SILVER_AND_GOLD, assayed(5, "C", "Au 250 ± 1"), metal="Au")
    assert gold == {"A": pytest.approx(100.0 * 0.002)}
    palladium = silent_u(*SILVER_AND_GOLD, assayed(5, "C", "Pd 2 ± 1"), metal="Pd")
    assert palladium == {"A": pytest.approx(0.05), "G": pytest.approx(0.05)}


def test_two_assays_that_are_silent_do_not_know_it_twice_as_well() -> None:
    twice = (assayed(5, "C", "Au 990 ± 1"), assayed(6, "C", "Au 991 ± 1"))
    found = silent_u(*SILVER_AND_GOLD, *twice, metal="Ag")
    assert found["C"] == pytest.approx(100.0 * 0.010 / np.sqrt(3.0))


def test_of_a_thing_without_a_word_nothing_is_concluded() -> None:
    entries = (
        received(1, thing("A", "sweeps", "1000")),
        received(2, thing("B", "scrap", "100", "Pt 500"), lot="L-2"),
        worked(3, "smelt", used="A B", made=[thing("K", "button", "300")]),
    )
    assert silent_u(*entries, metal="Pt") == {}


def test_a_split_gives_just_the_covariance_of_unlike_parts() -> None:
    """Cov = h²X²(diag f − f f') about an X that is known exactly; n − 1 rows."""
    parts = (0.5, 0.3, 0.2)
    made = [thing(f"P{f}", "sweeps", f"{1000 * f} ± 0.000001") for f in parts]
    rows = rows_of(
        ground(
            received(1, thing("A", "sweeps", "1000 ± 0.000001", "Ag 500 ± 0.000001")),
            worked(2, "divide", used="A", made=made),
        )
    )
    # The saw cut is no part of this: without its doubt the parts add up to the whole.
    exact = np.where(rows.kind == RowKind.LOSS, 0.0, rows.u)
    x, cov = solved(_with_u(rows, np.where(rows.kind == RowKind.SAID, 0.0, exact)), exact_u=1e-6)
    f = np.array(parts)
    h2 = 0.20 / 1000.0
    assert x[1:4] == pytest.approx(500.0 * f)
    assert cov[1:4, 1:4] == pytest.approx(h2 * 500.0**2 * (np.diag(f) - np.outer(f, f)), abs=1e-6)
    assert len(of_kind(rows, RowKind.SPLIT)) == 2


def _with_u(rows: Rows, u: np.ndarray) -> Rows:
    return Rows(**{**{name: getattr(rows, name) for name in Rows.__slots__}, "u": u})


def many(count: int, form: str, says: str = "") -> list[Line]:
    return [thing(f"{form[0]}{at}", form, f"{10 + at} ± 0.01", says) for at in range(count)]


def test_a_wide_merge_is_a_tree_and_means_the_same() -> None:
    inputs = many(100, "grain", "Ag 900 ± 2")
    tags = " ".join(one.tag for one in inputs)
    rows = rows_of(
        ground(
            received(1, *inputs), worked(2, "remelt", used=tags, made=[thing("B", "bar", "5900")])
        )
    )
    widest = np.bincount(rows.entry_row).max()
    assert widest <= 13
    x, _ = solved(rows)
    assert x[100] == pytest.approx(x[:100].sum() * (1 - 0.001), rel=1e-9)


def test_a_wide_division_is_a_chain_and_means_the_same() -> None:
    """Every part of one well mixed whole carries metal in proportion to its weight."""
    parts = many(40, "sweeps")
    rows = rows_of(
        ground(
            received(1, thing("A", "sweeps", "1180", "Ag 500 ± 2")),
            worked(2, "divide", used="A", made=parts),
        )
    )
    assert np.bincount(rows.entry_row).max() <= 13
    assert len(of_kind(rows, RowKind.SPLIT)) == 39
    x, _ = solved(rows)
    grams = np.array([10.0 + at for at in range(40)])
    assert x[1:41] == pytest.approx(590.0 * grams / 1180.0, rel=1e-6)


def test_unlike_parts_of_a_sorting_share_nothing_but_the_sum() -> None:
    rows = rows_of(
        ground(
            received(1, thing("A", "scrap", "100", "Ag 500")),
            worked(
                2, "sort", used="A", made=[thing("B", "scrap", "50"), thing("C", "scrap", "50")]
            ),
        )
    )
    assert len(of_kind(rows, RowKind.SPLIT)) == 0


SMELTED = (
    received(1, thing("A", "sweeps", "300", "Ag 800 ± 4")),
    worked(2, "smelt", used="A", made=[thing("K", "button", "250"), thing("S", "slag", "60")]),
)


def test_slag_keeps_its_share_and_leans_on_the_houses_own_factor() -> None:
    rows = rows_of(ground(*SMELTED))
    (keep,) = of_kind(rows, RowKind.KEEP)
    guess = DEFAULT.keep("slag of smelting", "Ag")
    assert rows.u[keep] == pytest.approx(guess.batch * guess.share * 240.0)
    assert rows.factor_g[keep] == pytest.approx(-guess.share * 240.0)
    assert rows.factor_u[rows.factor[keep]] == guess.house


def test_slag_that_nobody_kept_widens_what_the_work_may_lose() -> None:
    kept = rows_of(ground(*SMELTED))
    thrown = rows_of(
        ground(SMELTED[0], worked(2, "smelt", used="A", made=[thing("K", "button", "250")]))
    )
    u = [float(rows.u[of_kind(rows, RowKind.LOSS)[0]]) for rows in (kept, thrown)]
    assert u[1] > 3.0 * u[0]


def test_dividing_slag_makes_no_residue_of_its_parts() -> None:
    rows = rows_of(
        ground(
            received(1, thing("S", "slag", "300", "Ag 8")),
            worked(
                2, "divide", used="S", made=[thing("T", "slag", "200"), thing("U", "slag", "100")]
            ),
        )
    )
    assert len(of_kind(rows, RowKind.KEEP)) == 0
    assert len(of_kind(rows, RowKind.SPLIT)) == 1


def test_slag_smelted_again_keeps_a_poor_feeds_share() -> None:
    rows = rows_of(
        ground(
            received(1, thing("S", "slag", "300", "Ag 8")),
            worked(
                2, "smelt", used="S", made=[thing("K", "button", "2"), thing("T", "slag", "300")]
            ),
        )
    )
    (keep,) = of_kind(rows, RowKind.KEEP)
    assert rows.factor_g[keep] == pytest.approx(-0.10 * 2.4, rel=1e-6)


def test_metal_added_feeds_the_work() -> None:
    rows = rows_of(
        ground(
            received(1, thing("A", "grain", "100", "Ag 100")),
            worked(
                2,
                "remelt",
                used="A",
                added=[thing("", "silver", "200", "Ag 999 ± 0.1")],
                made=[thing("B", "bar", "300")],
            ),
        )
    )
    (feed,) = of_kind(rows, RowKind.FEED)
    assert rows.y[feed] == pytest.approx(199.8)
    x, _ = solved(rows)
    assert x[1] == pytest.approx(209.8 * (1 - 0.001 - 0.0), rel=2e-3)


def test_a_trace_in_lead_is_no_less_sure_than_itself() -> None:
    """2 g/t in 1 kg of lead are 2 mg ± 2 mg, not ± the 10 g of a customer's word."""
    rows = rows_of(
        ground(
            received(1, thing("A", "button", "100", "Ag 500 ± 1")),
            worked(
                2,
                "cupel",
                used="A",
                added=[thing("", "lead", "1000", "Ag 0.002")],
                made=[thing("B", "bead", "50")],
            ),
        )
    )
    feed = of_kind(rows, RowKind.FEED)
    assert rows.y[feed] == pytest.approx([0.002])
    assert rows.u[feed] == pytest.approx([0.002], rel=1e-3)


def test_added_metal_without_a_weight_leaves_the_feed_open() -> None:
    rows = rows_of(
        ground(
            received(1, thing("A", "grain", "100", "Ag 100")),
            worked(
                2,
                "remelt",
                used="A",
                added=[thing("", "silver", "", "Ag 999")],
                made=[thing("B", "bar", "300")],
            ),
        )
    )
    assert len(of_kind(rows, RowKind.FEED)) == 0


def test_settlements_are_new_rows_on_old_items() -> None:
    entries = sent_and_settled(thing("A", "slag", "500", "Ag 9"), thing("A", says="Ag 10 ± 0.1"))
    rows = rows_of(ground(*entries))
    assert len(of_kind(rows, RowKind.SAID)) == 2
