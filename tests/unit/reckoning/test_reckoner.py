"""The whole reckoning: right figures, honest words, and one more fact taken in exactly."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from builders import assayed, entry, received, sent, settled, shop_of, struck, thing, worked
from simulation.shops import SCENARIOS, SETTLED_AS_A_WHOLE, Scenario, simulated
from unit.reckoning.dense_reference import dense
from vault.core.daybook import Act, Entry, Line, Process, Role
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import How
from vault.core.settling import refs_of_the_rest
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.cupels import silver_share_kept
from vault.reckoning.guesses import Guesses
from vault.reckoning.reckoner import Reckoner, ReckoningStopped, reckon
from vault.reckoning.solved_metal import SolvedMetal

SHOP = (
    received(1, thing("A", "sweeps", "500 ± 0.01", "Ag 800 ± 4", how="fire assay")),
    worked(
        2,
        "divide",
        used="A",
        made=[thing("A1", "sweeps", "300 ± 0.01"), thing("A2", "sweeps", "200 ± 0.01")],
    ),
    worked(
        3,
        "smelt",
        used="A1",
        added=[thing("", "soda ash", "200")],
        made=[thing("K", "button", "250 ± 0.01"), thing("S", "slag")],
    ),
    worked(
        4,
        "cupel",
        used="K",
        added=[thing("", "lead", "200"), thing("", "new cupel", "400")],
        made=[thing("B", "bead", "231.1 ± 0.005"), thing("C", "spent cupel", "620")],
    ),
    assayed(5, "B", "Ag 995.5 ± 1.5"),
)


def contents(*entries: Entry, guesses: Guesses | None = None) -> Contents:
    flow = flow_of(shop_of(*entries))
    return reckon(flow) if guesses is None else reckon(flow, guesses=guesses)


def same(one: Contents, other: Contents) -> bool:
    """Whether two reckonings agree to the last bit, whatever the places of the items."""
    if one.metals != other.metals or set(one.place_of) != set(other.place_of):
        return False
    tags = list(one.place_of)
    here, there = one.places(tags), other.places(tags)
    pairs: list[tuple[NDArray[Any], NDArray[Any]]] = [
        (one.gross_g, other.gross_g),
        (one.gross_u_g, other.gross_u_g),
    ]
    for metal in one.metals:
        a, b = one.balances[metal], other.balances[metal]
        pairs += [(a.estimates, b.estimates), (a.uncertainties, b.uncertainties), (a.how, b.how)]
    return all(np.array_equal(x[here], y[there], equal_nan=True) for x, y in pairs)


def feeds_and_keeps(
    flow: Flow, found: Contents, metal: str
) -> tuple[dict[int, float], dict[str, float]]:
    """The nominal feeds that set the scale, and what cupels are guessed to keep of them."""
    balance = found.balances[metal]
    assert isinstance(balance, SolvedMetal)
    ground = next(iter(balance.families.values())).system.ground
    feeds = dict(zip(ground.facts.works.number.tolist(), ground.feeds.tolist(), strict=True))
    kept = {}
    for work in flow.works.values():
        cupels = [tag for tag in work.made if flow.items[tag].form == "spent cupel"]
        if work.process is Process.CUPEL and metal == "Ag":
            lead = sum(one.gross.grams for one in work.added if one.form == "lead")
            gross = sum(flow.items[tag].gross.grams for tag in work.used)
            figures = (feeds[work.number], lead, gross)
            kept[cupels[0]] = float(silver_share_kept(*(np.array([one]) for one in figures))[0])
    return feeds, kept


def scales_by_tag(found: Contents, metal: str) -> dict[str, float]:
    """The grams in every item of which a doubt in proportion is a part."""
    balance = found.balances[metal]
    assert isinstance(balance, SolvedMetal)
    ground = next(iter(balance.families.values())).system.ground
    return dict(zip(ground.facts.tags, ground.fine.tolist(), strict=True))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("scenario", [*SCENARIOS[:4], SETTLED_AS_A_WHOLE], ids=lambda one: one.name)
def test_a_random_book_agrees_with_an_independent_dense_solve(
    scenario: Scenario, seed: int
) -> None:
    """The other solve knows no feeds as unknowns, no trees and no families; its scale is given."""
    shop = simulated(scenario, 500 + seed)
    found = reckon(shop.flow)
    for metal in scenario.metals:
        feeds, kept = feeds_and_keeps(shop.flow, found, metal)
        unread = {
            tag: (float(found.gross_g[at]), float(found.gross_u_g[at]))
            for tag, at in found.place_of.items()
            if not found.gross_known[at]
        }
        scales = scales_by_tag(found, metal)
        other = dense(shop.flow, metal, feeds, kept, unread, scales)
        known = [tag for tag in shop.truth if found.of(tag)[metal].determinable]
        assert len(known) > 0.9 * len(shop.truth)
        for tag in known:
            x, u = other.of(tag)
            assert found.of(tag)[metal].u_g == pytest.approx(u, rel=1e-4)
            assert found.of(tag)[metal].fine_g == pytest.approx(x, abs=1e-3 * u)
        locked = shop.locked_up()
        x, u = other.total(locked)
        total = found.total(locked, metal)
        assert total.fine_g == pytest.approx(x, abs=1e-3 * u)
        assert total.u_g == pytest.approx(u, rel=1e-4)


def test_the_scale_of_the_doubts_is_that_of_the_contents_themselves() -> None:
    shop = simulated(SCENARIOS[0], 7)
    found = reckon(shop.flow)
    feeds, _ = feeds_and_keeps(shop.flow, found, "Ag")
    for work in shop.flow.works.values():
        fed = sum(found.of(tag)["Ag"].fine_g for tag in work.used)
        assert feeds[work.number] == pytest.approx(fed, rel=0.1)


def test_the_example_of_one_lot_gives_its_figures_and_marks() -> None:
    found = contents(*SHOP)
    assert found.metals == ("Ag",)
    assert found.of("B")["Ag"].fine_g == pytest.approx(230.06, abs=0.05)
    assert found.of("B")["Ag"].how is How.ASSAYED
    assert found.of("S")["Ag"].how is How.WORKED_OUT
    assert found.of("A2")["Ag"].fine_g == pytest.approx(160.0, abs=4.0)


def test_the_doubt_of_a_total_carries_the_covariance() -> None:
    """Slag and cupel of one bag: what one took the other did not get."""
    found = contents(*SHOP)
    both = found.total(["S", "C", "B"], "Ag")
    alone = sum(found.of(tag)["Ag"].u_g ** 2 for tag in ("S", "C", "B")) ** 0.5
    assert both.fine_g == pytest.approx(sum(found.of(tag)["Ag"].fine_g for tag in ("S", "C", "B")))
    assert both.u_g != pytest.approx(alone, rel=0.01)


def test_two_parts_of_one_whole_are_no_less_sure_than_the_whole() -> None:
    found = contents(*SHOP)
    assert found.total(["A1", "A2"], "Ag").u_g < found.of("A2")["Ag"].u_g


def test_what_nothing_says_is_not_known_and_named_in_every_total() -> None:
    found = contents(
        *SHOP,
        received(6, thing("D", "dust", "50"), lot="L-2"),
        received(7, thing("E", "dust", "50"), lot="L-3"),
        worked(8, "blend", used="D E B", made=[thing("F", "dust", "330")]),
    )
    assert found.of("D")["Ag"].how is How.NOT_KNOWN
    total = found.total(["D", "C"], "Ag")
    assert total.not_known == ("D",)
    assert total.items == 1


def test_a_thing_that_hangs_together_with_nothing_said_has_no_metal_at_all() -> None:
    found = contents(*SHOP, received(6, thing("D", "dust", "50"), lot="L-2"))
    assert found.of("D") == {}
    assert found.total(["D"], "Ag").how is How.NOT_KNOWN
    assert found.total(["D"], "Pt").items == 0


def test_a_word_stays_a_word_until_the_balance_knows_better() -> None:
    alone = contents(received(1, thing("A", "filings", "100", "Ag 600 ± 60")))
    assert alone.of("A")["Ag"].how is How.DECLARED
    melted = contents(
        received(1, thing("A", "filings", "100", "Ag 600 ± 60")),
        worked(2, "remelt", used="A", made=[thing("B", "bar", "99.5")]),
        assayed(3, "B", "Ag 612 ± 0.5"),
    )
    assert melted.of("A")["Ag"].how is How.WORKED_OUT
    assert melted.of("A")["Ag"].fine_g == pytest.approx(61.0, abs=0.6)


def test_the_assay_of_a_sample_speaks_for_what_it_was_taken_from() -> None:
    found = contents(
        received(1, thing("B", "bead", "455.3", "Ag 900")),
        worked(
            2,
            "divide",
            used="B",
            made=[thing("R", "bead", "453.1 ± 0.02"), thing("P", "sample", "2.2 ± 0.001")],
        ),
        assayed(3, "P", "Ag 991 ± 0.4"),
    )
    assert found.of("R")["Ag"].how is How.ASSAYED
    assert found.of("B")["Ag"].how is How.ASSAYED
    assert found.of("R")["Ag"].fine_g == pytest.approx(453.1 * 0.991, abs=0.3)


def test_a_settlement_moves_the_whole_family_and_the_house() -> None:
    before = contents(*SHOP)
    after = contents(
        *SHOP, sent(6, "C"), settled(7, thing("C", says="Ag 9 ± 0.1", how="settlement"))
    )
    assert after.of("C")["Ag"].fine_g == pytest.approx(620 * 0.009, abs=0.15)
    assert after.of("C")["Ag"].how is How.ASSAYED
    both = ["S", "C"]
    assert after.total(both, "Ag").u_g < before.total(both, "Ag").u_g
    kept = {
        when: next(one for one in found.house_factors if one.kind == "spent cupel")
        for when, found in (("before", before), ("after", after))
    }
    assert kept["after"].now > kept["before"].now
    assert kept["after"].now_u < kept["before"].now_u


def test_a_settled_cupel_teaches_what_the_cupels_of_other_lots_hold() -> None:
    other = [
        received(11, thing("X", "filings", "300", "Ag 900 ± 3"), lot="L-2"),
        worked(
            12,
            "cupel",
            used="X",
            added=[thing("", "lead", "200")],
            made=[thing("Y", "bead", "269"), thing("Z", "spent cupel", "600")],
        ),
    ]
    before = contents(*SHOP, *other)
    settles = [
        sent(21, "C"),
        settled(22, thing("C", says="Ag 9 ± 0.1", how="settlement")),
    ]
    after = contents(*SHOP, *other, *(replace(one, when=other[-1].when) for one in settles))
    assert after.of("Z")["Ag"].fine_g > before.of("Z")["Ag"].fine_g + 0.1


def test_a_loss_is_signed_and_closes_the_work() -> None:
    found = contents(*SHOP)
    loss = found.loss(4, "Ag")
    assert loss is not None
    parts = found.of("K")["Ag"].fine_g - found.of("B")["Ag"].fine_g - found.of("C")["Ag"].fine_g
    assert loss.fine_g == pytest.approx(parts, abs=1e-9)
    assert 0.0 < loss.u_g < 2.0
    assert loss.determinable
    assert found.loss(1, "Ag") is None
    assert found.loss(4, "Au") is None


def test_the_budget_of_a_total_adds_up_to_one() -> None:
    found = contents(*SHOP)
    lines = found.budget(["S", "C"], "Ag")
    assert sum(line.share for line in lines) == pytest.approx(1.0, abs=1e-6)
    assert [line.share for line in lines] == sorted((line.share for line in lines), reverse=True)
    assert any("usually keeps here" in line.words for line in lines)
    assert any(line.entry == 2 for line in lines)


def test_the_budget_by_kind_sums_what_the_records_of_each_kind_say() -> None:
    found = contents(*SHOP)
    kinds = found.budget_by_kind(["S", "C"], "Ag")
    assert sum(line.share for line in kinds) == pytest.approx(1.0, abs=1e-6)
    assert [line.share for line in kinds] == sorted((line.share for line in kinds), reverse=True)
    words = [line.words for line in kinds]
    assert len(words) == len(set(words))
    singly = {line.words: line.share for line in found.budget(["S", "C"], "Ag")}
    for line in kinds:
        if line.words.startswith("the guess of"):
            assert line.share == pytest.approx(singly[line.words])
    batches = [share for words, share in singly.items() if "differs from the usual" in words]
    assert sum(
        line.share for line in kinds if "differs from batch to batch" in line.words
    ) == pytest.approx(sum(batches), abs=1e-3)


def test_the_smallest_error_that_would_be_noticed_is_many_u_where_little_checks_it() -> None:
    found = contents(*SHOP)
    noticed = found.noticeable("A", "Ag")
    assert noticed is not None
    assert noticed > 4.0 * 2.0
    assert found.noticeable("A1", "Ag") is None
    alone = contents(received(1, thing("A", "filings", "100", "Ag 600 ± 60")))
    assert alone.noticeable("A", "Ag") is None


def test_draws_scatter_as_the_covariance_says() -> None:
    found = contents(*SHOP)
    draws = found.draws("Ag", 20_000, seed=5)
    places = found.places(["S", "C"])
    total = found.total(["S", "C"], "Ag")
    assert draws[:, places].sum(axis=1).std() == pytest.approx(total.u_g, rel=0.03)
    assert draws.mean(axis=0)[places] == pytest.approx(
        found.balances["Ag"].estimates[places], abs=0.05
    )
    assert np.array_equal(draws, found.draws("Ag", 20_000, seed=5), equal_nan=True)


def test_a_record_set_aside_no_longer_pulls() -> None:
    wrong = (*SHOP, assayed(6, "A", "Ag 700 ± 4"))
    pulled = contents(*wrong).of("A")["Ag"].fine_g
    freed = contents(*wrong, guesses=Guesses(set_aside=frozenset({6}))).of("A")["Ag"].fine_g
    assert freed == pytest.approx(contents(*SHOP).of("A")["Ag"].fine_g, abs=0.01)
    assert pulled < freed - 5.0


def test_an_empty_book_is_reckoned_too() -> None:
    found = reckon(flow_of(Shop()))
    assert found.metals == ()
    assert found.total([], "Ag").items == 0


def test_a_reckoning_can_be_stopped_and_tells_how_far_it_is() -> None:
    flow = flow_of(shop_of(*SHOP))
    seen: list[tuple[int, int]] = []
    reckon(flow, progress=lambda done, whole: seen.append((done, whole)))
    assert seen
    assert all(done <= whole for done, whole in seen)
    with pytest.raises(ReckoningStopped):
        reckon(flow, stopped=lambda: True)


def test_a_stopped_update_leaves_what_was_known() -> None:
    flow = flow_of(shop_of(*SHOP))
    reckoner = Reckoner()
    before = reckoner.begin(flow)
    with pytest.raises(ReckoningStopped):
        reckoner.update(flow, ["B"], stopped=lambda: True)
    assert same(reckoner.update(flow, ["B"]), before)


def tags_of(one: Entry) -> list[str]:
    return [line.tag for line in one.lines if line.tag]


def settled_by(one: Entry, shop: Shop) -> list[str]:
    """Give the items that a settlement speaks of without naming them."""
    return [tag for ref in refs_of_the_rest(one) for tag in shop.shipment(ref)]


@pytest.mark.parametrize(
    "scenario", [SCENARIOS[0], SCENARIOS[3], SETTLED_AS_A_WHOLE], ids=lambda one: one.name
)
def test_taking_in_entry_after_entry_gives_the_same_bits_as_from_scratch(
    scenario: Scenario,
) -> None:
    entries = simulated(scenario, 3).entries
    cut = 3 * len(entries) // 4
    shop = shop_of(*entries[:cut])
    reckoner = Reckoner()
    reckoner.begin(flow_of(shop))
    for one in entries[cut:]:
        shop.take(one)
        flow = flow_of(shop)
        found = reckoner.update(flow, [*tags_of(one), *settled_by(one, shop)])
    assert same(found, reckon(flow))


def test_a_strike_is_taken_in_as_if_the_entry_had_never_been() -> None:
    reckoner = Reckoner()
    shop = shop_of(*SHOP)
    reckoner.begin(flow_of(shop))
    more = worked(6, "remelt", used="B", made=[thing("N", "bar", "231")])
    shop.take(more)
    with_bar = reckoner.update(flow_of(shop), tags_of(more))
    assert "N" in with_bar.place_of
    shop.take(struck(7, 6))
    found = reckoner.update(flow_of(shop), tags_of(more))
    assert "N" not in found.place_of
    assert same(found, contents(*SHOP))
    assert "N" in with_bar.place_of
    assert with_bar.of("N")["Ag"].determinable


def test_an_older_contents_stays_as_it_was_when_a_newer_one_is_made() -> None:
    shop = shop_of(*SHOP)
    reckoner = Reckoner()
    before = reckoner.begin(flow_of(shop))
    kept = before.of("C")
    total = before.total(["S", "C"], "Ag")
    more = assayed(6, "C", "Ag 12 ± 0.1")
    shop.take(more)
    after = reckoner.update(flow_of(shop), tags_of(more))
    assert before.of("C") == kept
    assert before.total(["S", "C"], "Ag") == total
    assert after.of("C") != kept


@settings(max_examples=12)
@given(st.integers(0, 2**32 - 1), st.data())
def test_any_order_of_updates_ends_in_the_same_bits(seed: int, data: st.DataObject) -> None:
    entries = simulated(SCENARIOS[1], seed).entries[:60]
    cut = data.draw(st.integers(1, len(entries) - 1))
    shop = shop_of(*entries[:cut])
    reckoner = Reckoner()
    reckoner.begin(flow_of(shop))
    touched: list[str] = []
    found = None
    for one in entries[cut:]:
        shop.take(one)
        touched += tags_of(one)
        if data.draw(st.booleans()):
            found = reckoner.update(flow_of(shop), touched)
            touched = []
    found = reckoner.update(flow_of(shop), touched)
    assert same(found, reckon(flow_of(shop)))


def test_a_large_family_gives_all_that_a_small_one_would(monkeypatch: pytest.MonkeyPatch) -> None:
    for seed in range(8, 14):
        flow = simulated(SCENARIOS[3], seed).flow
        monkeypatch.setattr("vault.reckoning.families.LARGEST_DENSE", 1500)
        small = reckon(flow).balances["Ag"]
        monkeypatch.setattr("vault.reckoning.families.LARGEST_DENSE", 20)
        large = reckon(flow).balances["Ag"]
        assert np.array_equal(small.how, large.how)
        known = (small.how != 3) & (small.how >= 0)
        u = small.uncertainties[known]
        assert large.uncertainties[known] == pytest.approx(u, rel=1e-5)
        assert (np.abs(small.estimates - large.estimates)[known] / u).max() < 1e-5


def test_a_large_family_is_solved_as_a_small_one_is(monkeypatch: pytest.MonkeyPatch) -> None:
    flow = simulated(SCENARIOS[3], 9).flow
    monkeypatch.setattr("vault.reckoning.families.LARGEST_DENSE", 1500)
    small = reckon(flow)
    monkeypatch.setattr("vault.reckoning.families.LARGEST_DENSE", 20)
    large = reckon(flow)
    a, b = small.balances["Ag"], large.balances["Ag"]
    assert isinstance(b, SolvedMetal)
    known = a.how != 3
    assert np.array_equal(a.how, b.how)
    assert b.estimates[known] == pytest.approx(a.estimates[known], rel=1e-5, abs=1e-5)
    assert b.uncertainties[known] == pytest.approx(a.uncertainties[known], rel=1e-5)
    groups = {form: [tag for tag in flow.items if flow.items[tag].form == form] for form in FORMS}
    for one, other in zip(
        small.totals(groups, "Ag").values(), large.totals(groups, "Ag").values(), strict=True
    ):
        assert other.u_g == pytest.approx(one.u_g, rel=1e-5)
    for work in flow.works:
        lost, lost_too = small.loss(work, "Ag"), large.loss(work, "Ag")
        assert lost is not None
        assert lost_too is not None
        assert lost_too.u_g == pytest.approx(lost.u_g, rel=1e-5)
    draws = large.draws("Ag", 4000, seed=1)
    places = large.places(groups["spent cupel"])
    total = large.total(groups["spent cupel"], "Ag")
    assert draws[:, places].sum(axis=1).std() == pytest.approx(total.u_g, rel=0.05)


FORMS = ("slag", "spent cupel", "bar", "bead")


def test_a_move_changes_no_figure() -> None:
    shop = shop_of(*SHOP)
    before = reckon(flow_of(shop))
    shop.take(entry(6, Act.MOVE, Line(Role.OF, tag="C", place="drum C")))
    assert same(reckon(flow_of(shop)), before)
