"""One figure for a whole shipment, against what it must give by hand."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from builders import assayed, received, sent, settled, shop_of, struck, thing
from unit.reckoning.grounds import facts, ground
from vault.core.daybook import Entry
from vault.core.findings import FindingKind
from vault.core.flow import flow_of
from vault.core.knowledge import How
from vault.reckoning.contents import Contents
from vault.reckoning.facts import Facts
from vault.reckoning.reckoner import Reckoner, reckon
from vault.reckoning.regions import families_of, region_of
from vault.reckoning.row_pile import WIDEST_SUM, RowKind
from vault.reckoning.rows import rows_of
from vault.reckoning.weights import Weights, weights_of
from vault.reckoning.wholes import agreed_grams

U = "± 0.0001"
DRUM = (
    received(1, thing("C-1", "spent cupel", f"1000 {U}", "Ag 3 ± 0.9", how="XRF")),
    received(2, thing("C-2", "spent cupel", f"2000 {U}", "Ag 2 ± 0.6", how="XRF"), lot="L-2"),
    sent(3, "C-1 C-2", ref="V-1"),
)


def whole(says: str, gross: str = "") -> Entry:
    return settled(4, thing("", "", gross, says, how="settlement"))


def contents(*entries: Entry) -> Contents:
    return reckon(flow_of(shop_of(*entries)))


def test_a_whole_moves_each_item_by_its_share_of_the_doubt() -> None:
    """Two contents 3.0 ± 0.9 g and 4.0 ± 1.2 g, their sum agreed at 9.0 ± 0.3 g, by hand.

    x_j = m_j + u_j²·(9 − 7)/(u_1² + u_2² + u_s²), and likewise for the covariance (JCGM 100:2008,
    H.3 is the same least squares; the figures are our own).
    """
    found = contents(*DRUM, whole("Ag 3 ± 0.1", "3000"))
    # The weight that came with the figure is doubtful by a ten thousandth and 3 mg.
    settled_u = sqrt(0.3**2 + (0.003 * 0.303) ** 2)
    whole_var = 0.9**2 + 1.2**2 + settled_u**2
    for tag, before, u in (("C-1", 3.0, 0.9), ("C-2", 4.0, 1.2)):
        told = found.of(tag)["Ag"]
        assert told.fine_g == pytest.approx(before + 2.0 * u**2 / whole_var, abs=1e-5)
        assert told.u_g == pytest.approx(u * sqrt(1.0 - u**2 / whole_var), rel=1e-5)
    total = found.total(["C-1", "C-2"], "Ag")
    prior = 0.9**2 + 1.2**2
    assert total.u_g == pytest.approx(sqrt(1 / (1 / prior + 1 / settled_u**2)), rel=1e-5)


def test_drums_settled_each_in_a_line_add_up() -> None:
    lines = [
        thing("", "", gross, says, how="settlement")
        for gross, says in (("1000", "Ag 4 ± 0.1"), ("2000", "Ag 2.5 ± 0.2"))
    ]
    grams, u = agreed_grams(*weighed(*DRUM, settled(4, *lines)))
    assert grams == pytest.approx([9.0])
    by_hand = sqrt(0.1**2 + 0.4**2 + (0.004 * 0.103) ** 2 + (0.0025 * 0.203) ** 2)
    assert u == pytest.approx([by_hand])


def weighed(*entries: Entry) -> tuple[Facts, Weights]:
    found = facts(*entries)
    return found, weights_of(found)


def test_without_a_weight_the_share_is_one_of_the_shops_own_weights() -> None:
    grams, u = agreed_grams(*weighed(*DRUM, whole("Ag 3 ± 0.1")))
    assert grams == pytest.approx([9.0])
    assert u == pytest.approx([0.3], rel=1e-6)


def test_without_any_weight_the_figure_waits_and_a_finding_says_so() -> None:
    entries = (*DRUM[:2], received(3, thing("S-9", "slag"), lot="L-3"), sent(4, "C-1 C-2 S-9"))
    agreed = settled(5, thing("", says="Ag 3 ± 0.1", how="settlement"))
    found = contents(*entries, agreed)
    (told,) = [one for one in found.findings if one.kind is FindingKind.WITHOUT_WEIGHT]
    assert told.sentence == (
        "Entry 5 settles the Ag of shipment V-1 as a whole without a weight, and nothing says what "
        "S-9 weighs; so nothing follows from it. Strike the entry and record it again with the "
        "weight that the refinery agreed."
    )
    assert (told.entries, told.metal, told.tags[0]) == ((5,), "Ag", "S-9")
    before = contents(*entries)
    assert found.of("C-1")["Ag"].fine_g == pytest.approx(before.of("C-1")["Ag"].fine_g)
    mended = contents(*entries, settled(5, thing("", "", "3100", "Ag 3 ± 0.1", how="settlement")))
    assert [one for one in mended.findings if one.kind is FindingKind.WITHOUT_WEIGHT] == []
    assert mended.of("S-9")["Ag"].fine_g == pytest.approx(9.3 - 7.0, abs=1e-3)


def test_the_items_of_a_whole_stay_worked_out_and_a_single_one_counts_as_settled() -> None:
    plain = tuple(
        received(at, thing(f"C-{at}", "spent cupel", "1000", "Ag 3"), lot=f"L-{at}")
        for at in (1, 2)
    )
    figure = thing("", "", "2000", "Ag 3.2", how="settlement")
    both = contents(*plain, sent(3, "C-1 C-2"), settled(4, figure))
    assert {both.of(tag)["Ag"].how for tag in ("C-1", "C-2")} <= {How.WORKED_OUT, How.DECLARED}
    one = contents(*plain, sent(3, "C-1"), settled(4, thing("", "", "1000", "Ag 3.2")))
    assert one.of("C-1")["Ag"].how is How.ASSAYED
    rest = (thing("C-2", says="Ag 3"), figure)
    left = contents(*plain, sent(3, "C-1 C-2"), settled(4, *rest))
    assert left.of("C-1")["Ag"].how is How.ASSAYED


def test_a_whole_joins_the_families_of_its_items_for_its_metals_only() -> None:
    both = tuple(
        received(at, thing(f"C-{at}", "slag", "1000", "Ag 3, Au 1"), lot=f"L-{at}") for at in (1, 2)
    )
    found = facts(*both, sent(3, "C-1 C-2"), settled(4, thing("", "", "2000", "Ag 3.2")))
    silver, gold = (region_of(found, code) for code in (0, 1))
    assert families_of(found, silver, 0)[0].tolist() == [0, 0]
    assert families_of(found, gold, 1)[0].tolist() == [0, 1]
    assert families_of(found, gold)[0].tolist() == [0, 0]


def test_a_metal_that_only_the_refinery_named_is_followed_in_every_item() -> None:
    found = contents(*DRUM, whole("Ag 3, Pd 0.5 ± 0.01", "3000"))
    assert found.total(["C-1", "C-2"], "Pd").fine_g == pytest.approx(1.5, abs=0.05)


def test_a_wide_whole_is_written_as_running_sums_and_says_the_same() -> None:
    count = 3 * WIDEST_SUM
    tags = [f"C-{at}" for at in range(count)]
    things = [thing(tag, "spent cupel", "100", "Ag 3 ± 1", how="XRF") for tag in tags]
    entries = (
        received(1, *things),
        sent(2, " ".join(tags)),
        settled(3, thing("", "", f"{100 * count}", "Ag 4 ± 0.01")),
    )
    rows = rows_of(ground(*entries))
    mine = rows.kind == RowKind.WHOLE
    assert np.count_nonzero(mine & (rows.u > 0.0)) == 1
    assert np.count_nonzero(mine) > 1
    assert max(np.bincount(rows.entry_row)) <= WIDEST_SUM
    found = contents(*entries)
    total = found.total(tags, "Ag")
    prior, agreed = 0.1**2 * count, 0.01 * count / 10
    assert total.u_g == pytest.approx(1 / sqrt(1 / prior + 1 / agreed**2), rel=1e-2)
    assert total.fine_g == pytest.approx(0.4 * count, rel=1e-2)
    assert found.of("C-7")["Ag"].fine_g == pytest.approx(total.fine_g / count, rel=1e-6)


def test_a_whole_that_the_book_disagrees_with_is_named_with_what_it_would_have_to_say() -> None:
    entries = [
        received(at, thing(f"C-{at}", "slag", f"1000 {U}", "Ag 3 ± 0.01", how="XRF"), lot=f"L-{at}")
        for at in (1, 2)
    ]
    entries += [assayed(3, "C-1", "Ag 3 ± 0.01"), assayed(4, "C-2", "Ag 3 ± 0.01")]
    agreed = settled(6, thing("", "", f"2000 {U}", "Ag 9 ± 0.01", how="settlement"))
    found = contents(*entries, sent(5, "C-1 C-2"), agreed)
    (told,) = [one for one in found.findings if one.kind is FindingKind.CONTRADICTION]
    chief = told.suspects[0]
    assert (chief.words, chief.entry, chief.tag) == ("settlement of shipment V-1", 6, "")
    assert told.sentence == (
        "Settlement of shipment V-1 says 18.000 ± 0.020 g Ag; all other records together say "
        "6.000 ± 0.022 g. No other single record explains it as well."
    )
    assert told.found_g == pytest.approx(18.0)
    assert told.expected_g == pytest.approx(6.0, abs=0.01)


def test_a_budget_names_the_settlement_of_the_shipment() -> None:
    found = contents(*DRUM, whole("Ag 3 ± 0.1", "3000"))
    lines = found.budget(["C-1", "C-2"], "Ag")
    assert lines[0].words == "settlement of shipment V-1"
    assert lines[0].entry == 4
    assert sum(line.share for line in lines) == pytest.approx(1.0)
    kinds = {line.words: line.share for line in found.budget_by_kind(["C-1", "C-2"], "Ag")}
    assert kinds["settlements of whole shipments"] == pytest.approx(lines[0].share)


def test_a_struck_whole_leaves_no_trace_in_the_figures() -> None:
    shop = shop_of(*DRUM)
    reckoner = Reckoner()
    before = reckoner.begin(flow_of(shop))
    agreed = whole("Ag 3 ± 0.1", "3000")
    shop.take(agreed)
    with_it = reckoner.update(flow_of(shop), shop.shipment("V-1"))
    assert with_it.of("C-1") != before.of("C-1")
    assert reckoner.family_of(["C-1"]) == {"C-1", "C-2"}
    shop.take(struck(5, 4))
    after = reckoner.update(flow_of(shop), shop.shipment("V-1"))
    assert after.of("C-1") == before.of("C-1")
    assert reckoner.family_of(["C-1"]) == {"C-1"}


def test_an_assay_of_one_item_of_a_whole_moves_the_others() -> None:
    entries = (*DRUM, whole("Ag 3 ± 0.1", "3000"))
    before = contents(*entries).of("C-2")["Ag"]
    after = contents(*entries, assayed(5, "C-1", "Ag 6 ± 0.05", how="ICP")).of("C-2")["Ag"]
    assert after.fine_g == pytest.approx(9.0 - 6.0, abs=0.3)
    assert after.u_g < before.u_g
