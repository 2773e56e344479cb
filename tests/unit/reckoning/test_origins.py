from __future__ import annotations

import random

import networkx as nx
import numpy as np
import pytest

from builders import counted, returned, sent, thing
from mixed_books import grams_of, lot, melt, origins_of, random_book
from vault.core.flow import flow_of
from vault.core.items import State
from vault.core.rules import replay
from vault.reckoning.chief_sources import chief_sources
from vault.reckoning.edges import GROSS, HOUSE, SourceKind
from vault.reckoning.origins import Origins, Share, Whereabouts


def shares(found: list[Share]) -> dict[str, float | None]:
    return {one.source.name: one.share for one in found}


def two_lots(**grams: float) -> Origins:
    entries = [lot(1, "L-1", "A"), lot(2, "L-2", "B"), melt(3, "A B", "K slag:S")]
    return origins_of(entries, **grams)


# --- shares ------------------------------------------------------------------------------------


def test_the_largest_source_comes_first_and_carries_its_grams() -> None:
    found = two_lots(A=100, B=300, K=380, S=8).of_item("K", "Ag")
    assert [(one.source.name, one.fine_g, one.share) for one in found] == [
        ("L-2", 285.0, 0.75),
        ("L-1", 95.0, 0.25),
    ]


def test_all_items_of_a_lot_are_one_source() -> None:
    origins = origins_of(
        [lot(1, "L-1", "A", "B"), lot(2, "L-2", "C"), melt(3, "A B C", "K")], A=1, B=2, C=1, K=4
    )
    assert shares(origins.of_item("K", "Ag")) == {"L-1": 0.75, "L-2": 0.25}


def test_an_item_as_received_is_wholly_of_its_lot() -> None:
    assert shares(two_lots(A=100, B=300, K=380, S=8).of_item("A", "Ag")) == {"L-1": 1.0}


def test_silver_added_is_a_source_named_in_words() -> None:
    origins = origins_of([lot(1, "L-1", "A"), melt(2, "A", "K", silver="50")], A=150, K=200)
    found = origins.of_item("K", "Ag")
    assert shares(found) == {"L-1": 0.75, "added: silver, entry 2": 0.25}
    assert found[1].source.owner == HOUSE


def test_a_thing_added_without_that_metal_is_no_source() -> None:
    entries = [lot(1, "L-1", "A"), melt(2, "A", "K", silver="50")]
    assert shares(origins_of(entries, "Au", A=3, K=3).of_item("K", "Au")) == {"L-1": 1.0}


def test_a_thing_found_at_a_count_is_a_source_of_the_house() -> None:
    entries = [lot(1, "L-1", "A"), counted(2, extra=[thing("X", "dust")]), melt(3, "A X", "K")]
    found = origins_of(entries, A=3, X=1, K=4).of_item("K", "Ag")
    assert shares(found) == {"L-1": 0.75, "found: X": 0.25}
    assert found[1].source.owner == HOUSE


def test_metal_below_zero_counts_as_none_for_shares_only() -> None:
    found = two_lots(A=100, B=-2, K=97, S=1).of_item("K", "Ag")
    assert shares(found) == {"L-1": 1.0}


def test_an_item_into_which_no_such_metal_went_has_no_sources() -> None:
    assert two_lots(A=0, B=0, K=0, S=0).of_item("K", "Ag") == []


# --- what is not known -------------------------------------------------------------------------


def test_one_unknown_feed_that_is_wholly_of_a_lot_brought_the_rest() -> None:
    """40 g came out, 30 g went in with A; B, all of it lot L-2, must have brought the other 10."""
    assert shares(two_lots(A=30, K=40).of_item("K", "Ag")) == {"L-1": 0.75, "L-2": 0.25}


def test_two_unknown_feeds_of_different_lots_are_each_named_as_not_known() -> None:
    entries = [lot(1, "L-1", "A"), lot(2, "L-2", "B"), lot(3, "L-3", "C"), melt(4, "A B C", "K")]
    found = origins_of(entries, A=30, K=40).of_item("K", "Ag")
    assert [(one.source.name, one.fine_g, one.share) for one in found] == [
        ("L-1", 30.0, 0.75),
        ("not known: B", None, None),
        ("not known: C", None, None),
    ]
    assert {one.source.kind for one in found[1:]} == {SourceKind.NOT_KNOWN}


def test_what_is_wholly_of_one_lot_stays_so_however_little_is_known_between() -> None:
    entries = [lot(1, "L-1", "A"), melt(2, "A", "B C"), melt(3, "B C", "K")]
    origins = origins_of(entries, A=100, K=99)
    assert shares(origins.of_item("K", "Ag")) == {"L-1": 1.0}
    fate = origins.fate_of("L-1", "Ag")
    assert fate.parts[Whereabouts.ON_HAND] == 99.0
    assert fate.lost_g == pytest.approx(1.0)


def test_a_mixture_with_no_rest_for_the_unknown_feed_is_of_unknown_origin() -> None:
    found = two_lots(A=30, S=2).of_item("S", "Ag")
    assert [(one.source.name, one.fine_g, one.share) for one in found] == [
        ("not known: A, B, entry 3", None, None)
    ]


def weighed(fine: dict[str, float], gross: dict[str, float]) -> Origins:
    """Two lots A and B, and a third C of which nothing is known, melted to a bar K."""
    entries = [lot(1, "L-1", "A"), lot(2, "L-2", "B"), lot(3, "L-3", "C", "D"), melt(4, "C D", "E")]
    flow = flow_of(replay([*entries, melt(5, "A B E", "K")]))
    return Origins(flow, {"Ag": grams_of(flow, fine), GROSS: grams_of(flow, gross)})


def test_a_tiny_unknown_item_does_not_hide_where_a_bar_came_from() -> None:
    """E holds nobody knows what, but weighs 4 g: counted as 2 g of 102, and named."""
    origins = weighed({"A": 25, "B": 75, "K": 99}, {"C": 2, "D": 2, "E": 4})
    found = origins.of_item("K", "Ag")
    assert shares(found) == {
        "L-2": pytest.approx(75 / 102),
        "L-1": pytest.approx(25 / 102),
        "L-3": pytest.approx(2 / 102),
    }


def test_an_unknown_item_that_may_be_much_of_it_still_hides_where_it_came_from() -> None:
    origins = weighed({"A": 25, "B": 75, "K": 99}, {"C": 20, "D": 20, "E": 40})
    assert shares(origins.of_item("K", "Ag")) == {"not known: A, B, E, entry 5": None}


def test_an_unknown_item_never_brought_more_than_it_weighs() -> None:
    """20 g more came out than is known to have gone in, but E weighs 4 g."""
    origins = weighed({"A": 25, "B": 75, "K": 120}, {"C": 2, "D": 2, "E": 4})
    assert shares(origins.of_item("K", "Ag"))["L-3"] == pytest.approx(4 / 104)


def test_beside_an_unknown_item_the_shares_of_the_others_keep_their_doubt() -> None:
    origins = weighed({"A": 50, "B": 50, "K": 99}, {"C": 2, "D": 2, "E": 4})
    place = origins.edges.place_of
    draws = np.zeros((100, len(place)))
    draws[:, place["A"]] = np.linspace(40, 60, 100)
    draws[:, place["B"]] = 100 - draws[:, place["A"]]
    draws[:, place["K"]] = 99
    drawn = origins.drawn("Ag", draws)
    parts = drawn[place["A"]]
    assert parts == pytest.approx((100 / 102) * draws[:, place["A"]] / 100)
    assert drawn[place["A"]] + drawn[place["B"]] + drawn[place["E"]] == pytest.approx(1.0)


def test_metal_that_came_from_nowhere_is_of_unknown_origin() -> None:
    found = two_lots(A=0, B=0, K=2, S=0).of_item("K", "Ag")
    assert [(one.source.name, one.share) for one in found] == [("not known: A, B, entry 3", None)]


def test_an_item_of_unknown_content_still_has_shares_but_no_grams() -> None:
    found = two_lots(A=100, B=300, K=380).of_item("S", "Ag")
    assert [(one.source.name, one.fine_g, one.share) for one in found] == [
        ("L-2", None, 0.75),
        ("L-1", None, 0.25),
    ]


def test_whose_unknown_metal_it_is_can_be_told_when_all_upstream_is_one_customers() -> None:
    entries = [
        lot(1, "L-1", "A", party="Fernhill"),
        lot(2, "L-2", "B", party="Fernhill"),
        lot(3, "L-3", "C", party="Pennant"),
        melt(4, "A B", "D E"),
        melt(5, "C D", "K"),
        lot(6, "L-4", "F", party="Pennant"),
        melt(7, "E F", "Q"),
    ]
    found = origins_of(entries, C=30, F=1, K=40, Q=3).of_item("K", "Ag")
    assert [(one.source.name, one.source.owner) for one in found] == [
        ("L-3", "Pennant"),
        ("not known: D", "Fernhill"),
    ]


# --- fate --------------------------------------------------------------------------------------


def test_a_lot_is_found_in_what_is_on_hand_gone_and_missing() -> None:
    entries = [
        lot(1, "L-1", "A"),
        melt(2, "A", "bar:K slag:S bead:T bead:U"),
        returned(3, "K"),
        sent(4, "T"),
        counted(5, missing="U"),
    ]
    fate = origins_of(entries, A=100, K=80, S=4, T=10, U=3).fate_of("L-1", "Ag")
    assert [(one.tag, one.fine_g) for one in fate.on_hand] == [("S", 4.0)]
    assert [(one.tag, one.state) for one in fate.gone] == [
        ("K", State.RETURNED),
        ("T", State.SENT),
    ]
    assert [one.tag for one in fate.missing] == ["U"]
    assert fate.lost_g == pytest.approx(3)
    assert fate.parts == pytest.approx(
        {
            Whereabouts.ON_HAND: 0,
            Whereabouts.IN_RESIDUES: 4,
            Whereabouts.OUT: 90,
            Whereabouts.UNACCOUNTED: 6,
        }
    )


def test_a_gain_is_booked_against_what_fed_the_work() -> None:
    origins = two_lots(A=100, B=300, K=400, S=4)
    assert origins.fate_of("L-1", "Ag").lost_g == pytest.approx(-1.0)
    assert origins.fate_of("L-2", "Ag").lost_g == pytest.approx(-3.0)


def test_items_that_hold_nobody_knows_how_much_of_a_lot_are_listed() -> None:
    assert two_lots(A=100, B=300, K=380).fate_of("L-1", "Ag").not_known == ("S",)


def test_a_lot_that_was_never_received_is_refused() -> None:
    with pytest.raises(KeyError):
        two_lots(A=1, B=1, K=2, S=0).fate_of("L-9", "Ag")


# --- against an independent way ----------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_random_books_agree_with_a_sum_over_all_paths(seed: int) -> None:
    """A source's part is the sum over all paths of the products of the feeds' parts."""
    entries, grams = random_book(seed)
    flow = flow_of(replay(entries))
    origins = Origins(flow, {"Ag": grams_of(flow, grams)})
    graph: nx.DiGraph[object] = nx.DiGraph()
    for work in flow.works.values():
        feed: dict[object, float] = {tag: grams[tag] for tag in work.used}
        if work.added:
            feed["added", work.number] = 12.5
        whole = sum(feed.values())
        for one, amount in feed.items():
            for made in work.made:
                if whole:
                    graph.add_edge(one, made, part=amount / whole)
    sources: dict[object, str] = {item.tag: item.lot for item in flow.sources()}
    sources |= {
        ("added", work.number): f"added: silver, entry {work.number}"
        for work in flow.works.values()
        if work.added
    }
    for tag in flow.items:
        expected = _by_order(graph, sources, tag)
        found = {one.source.name: one.share for one in origins.of_item(tag, "Ag")}
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-15)


def _by_order(graph: nx.DiGraph[object], sources: dict[object, str], tag: str) -> dict[str, float]:
    if tag in sources:
        return {sources[tag]: 1.0}
    if tag not in graph:
        return {}
    part: dict[object, float] = {tag: 1.0}
    behind = graph.subgraph(nx.ancestors(graph, tag) | {tag})
    for node in reversed(list(nx.topological_sort(behind))):
        for before in behind.predecessors(node):
            gain = part.get(node, 0.0) * behind.edges[before, node]["part"]
            part[before] = part.get(before, 0.0) + gain
    found: dict[str, float] = {}
    for node, share in part.items():
        if node in sources and share > 0:
            found[sources[node]] = found.get(sources[node], 0.0) + share
    return found


@pytest.mark.parametrize("seed", range(12))
def test_in_random_books_shares_add_to_one_and_lots_add_up(seed: int) -> None:
    entries, grams = random_book(seed)
    flow = flow_of(replay(entries))
    origins = Origins(flow, {"Ag": grams_of(flow, grams)})
    for tag in flow.items:
        found = origins.of_item(tag, "Ag")
        assert not grams[tag] or sum(one.share or 0.0 for one in found) == pytest.approx(1.0)
    lots = {item.lot for item in flow.items.values() if item.lot}
    held: dict[str, float] = {}
    for name in lots:
        fate = origins.fate_of(name, "Ag")
        received = sum(grams[one.tag] for one in flow.items.values() if one.lot == name)
        assert fate.received_g == pytest.approx(received)
        assert sum(fate.parts.values()) == pytest.approx(received, abs=1e-9)
        for one in fate.on_hand:
            held[one.tag] = held.get(one.tag, 0.0) + one.fine_g
    for tag, amount in held.items():
        assert amount <= grams[tag] + 1e-9


@pytest.mark.parametrize("seed", range(6))
def test_the_sources_of_several_items_are_the_sum_of_each(seed: int) -> None:
    entries, grams = random_book(seed)
    flow = flow_of(replay(entries))
    origins = Origins(flow, {"Ag": grams_of(flow, grams)})
    ends = [item.tag for item in flow.items.values() if item.state is State.ON_HAND]
    expected: dict[str, float] = {}
    for found in origins.of_many(ends, "Ag").values():
        for one in found:
            expected[one.source.name] = expected.get(one.source.name, 0) + (one.fine_g or 0)
    found_all = {one.name: grams for one, grams in origins.by_source(ends, "Ag").items()}
    assert found_all == pytest.approx(expected, abs=1e-12)


# --- what holds when much is not known ---------------------------------------------------------


def with_gaps(seed: int, gaps: float = 0.3) -> tuple[Origins, Origins]:
    """Give a random book, and the same book with some of its contents not known."""
    entries, grams = random_book(seed, works=40)
    chance = random.Random(seed)
    flow = flow_of(replay(entries))
    some = {tag: amount for tag, amount in grams.items() if chance.random() > gaps}
    whole = Origins(flow, {"Ag": grams_of(flow, grams)})
    return whole, Origins(flow, {"Ag": grams_of(flow, some)}, whole.edges)


@pytest.mark.parametrize("seed", range(20))
def test_with_gaps_no_share_is_invented_and_none_is_lost(seed: int) -> None:
    _, gappy = with_gaps(seed)
    mixing = gappy.mixing("Ag")
    open_ended = 0
    for place, tag in enumerate(gappy.edges.tags):
        found = gappy.of_item(tag, "Ag")
        known = sum(one.share for one in found if one.share is not None)
        open_ended += any(one.share is None for one in found)
        assert known <= 1 + 1e-9
        if found and all(one.share is not None for one in found):
            assert known == pytest.approx(1.0)
        assert found or not mixing.known[place] or mixing.grams[place] == 0
    assert open_ended


@pytest.mark.parametrize("seed", range(20))
def test_a_gap_elsewhere_changes_nothing(seed: int) -> None:
    whole, gappy = with_gaps(seed, gaps=0.1)
    mixing = gappy.mixing("Ag")
    compared = 0
    for tag in gappy.flow.items:
        behind = [gappy.edges.place_of[one] for one in gappy.flow.ancestors_of(tag)]
        here = gappy.edges.place_of[tag]
        if behind and mixing.known[here] and all(mixing.known[one] for one in behind):
            assert gappy.of_item(tag, "Ag") == whole.of_item(tag, "Ag")
            compared += 1
    assert compared


@pytest.mark.parametrize("seed", range(20))
def test_with_gaps_every_lot_still_adds_up(seed: int) -> None:
    _, gappy = with_gaps(seed)
    for name in gappy.lots:
        fate = gappy.fate_of(name, "Ag")
        assert sum(fate.parts.values()) == pytest.approx(fate.received_g, abs=1e-9)
    ends = [item.tag for item in gappy.flow.items.values() if item.state is State.ON_HAND]
    mixing = gappy.mixing("Ag")
    held = sum(mixing.grams[gappy.edges.place_of[tag]] for tag in ends)
    assert sum(gappy.by_source(ends, "Ag").values()) == pytest.approx(held)


# --- doubts ------------------------------------------------------------------------------------


def test_the_doubt_of_a_share_is_its_scatter_over_draws() -> None:
    origins = two_lots(A=100, B=300, K=380, S=8)
    names = origins.edges.tags
    chance = np.random.default_rng(3)
    draws = np.tile([100.0, 300.0, 380.0, 8.0], (4000, 1))
    draws[:, names.index("A")] += chance.normal(0, 4, 4000)
    found = origins.of_item("K", "Ag", origins.drawn("Ag", draws))
    # f = 380 A / (A + 300); df/dA = 380·300/400² = 0.7125, so u = 0.7125 × 4 = 2.85 (own).
    assert [one.u_g for one in found] == pytest.approx([2.85, 2.85], rel=0.04)


def test_draws_without_scatter_leave_no_doubt() -> None:
    entries, grams = random_book(4)
    flow = flow_of(replay(entries))
    masses = grams_of(flow, grams)
    origins = Origins(flow, {"Ag": masses})
    drawn = origins.drawn("Ag", np.tile(masses, (5, 1)))
    for tag in flow.items:
        for one in origins.of_item(tag, "Ag", drawn):
            assert one.u_g == pytest.approx(0.0, abs=1e-9)
    for name in {item.lot for item in flow.items.values() if item.lot}:
        fate = origins.fate_of(name, "Ag", drawn)
        assert fate.parts_u == pytest.approx(dict.fromkeys(Whereabouts, 0.0), abs=1e-9)


# --- chief sources -----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_chief_sources_are_the_largest_of_the_full_answer(seed: int) -> None:
    entries, grams = random_book(seed, works=60)
    flow = flow_of(replay(entries))
    origins = Origins(flow, {"Ag": grams_of(flow, grams)})
    found = chief_sources(origins, flow.items)
    received = {item.tag for item in flow.sources()}
    assert set(found) == received | {tag for tag, amount in grams.items() if amount > 0}
    for tag, chief in found.items():
        full = [one for one in origins.of_item(tag, "Ag") if one.share and one.share >= 1e-4]
        assert len(chief.sources) + chief.more == len(full)
        by_owner: dict[str | None, float] = {}
        for one in origins.of_item(tag, "Ag"):
            owner = one.source.owner
            by_owner[owner] = by_owner.get(owner, 0.0) + (one.share or 0.0)
        assert chief.owner_share == pytest.approx(max(by_owner.values()), rel=1e-9)
        named = [next(two.share for two in full if two.source == one) for one in chief.sources]
        assert named == pytest.approx([one.share for one in full[:3]])


def test_the_metals_of_an_item_are_weighed_together() -> None:
    entries = [lot(1, "L-1", "A"), lot(2, "L-2", "B"), melt(3, "A B", "K")]
    flow = flow_of(replay(entries))
    origins = Origins(flow, {"Ag": np.array([90.0, 10.0, 100.0]), "Au": np.array([0, 80.0, 80.0])})
    chief = chief_sources(origins, ["K"])["K"]
    assert [one.name for one in chief.sources] == ["L-1", "L-2"]
    assert chief.owner_share == pytest.approx(1.0)


def test_small_parts_keep_their_owner_when_a_mixture_is_shortened() -> None:
    count = 80
    entries = [lot(n, f"L-{n}", f"A{n}", party="Fernhill") for n in range(1, count + 1)]
    entries.append(lot(count + 1, "L-big", "B", party="Pennant"))
    used = " ".join([*(f"A{n}" for n in range(1, count + 1)), "B"])
    entries.append(melt(count + 2, used, "K"))
    grams = {f"A{n}": 0.001 for n in range(1, count + 1)} | {"B": 0.05, "K": 0.13}
    grams |= {"A1": 100.0}
    chief = chief_sources(origins_of(entries, **grams), ["K"])["K"]
    assert chief.owner == "Fernhill"
    assert chief.owner_share == pytest.approx(100.079 / 100.129, rel=1e-12)
    assert (len(chief.sources), chief.more) == (2, 0)


def test_whose_an_item_is_can_be_told_before_anything_is_known_of_its_metal() -> None:
    entries = [lot(1, "L-1", "A"), melt(2, "A", "K"), lot(3, "L-2", "B", terms="bought")]
    found = chief_sources(origins_of(entries), ["A", "K", "B"])
    assert {tag: one.sources[0].name for tag, one in found.items()} == {
        "A": "L-1",
        "K": "L-1",
        "B": "L-2",
    }
    assert (found["K"].owner, found["B"].owner) == ("Pennant", HOUSE)


def test_an_item_of_which_no_metal_is_said_goes_by_weight_without_what_was_added() -> None:
    entries = [lot(1, "L-1", "A"), lot(2, "L-2", "B"), melt(3, "A B", "K", silver="50")]
    flow = flow_of(replay(entries))
    nothing = np.zeros(3)
    origins = Origins(flow, {"Au": nothing, GROSS: np.array([30.0, 10.0, 85.0])})
    chief = chief_sources(origins, ["K"])["K"]
    assert [one.name for one in chief.sources] == ["L-1", "L-2"]
    assert chief.owner_share == pytest.approx(1.0)
    assert chief_sources(Origins(flow, {"Au": nothing}), ["K"]) == {}


def test_weight_can_be_traced_like_a_metal() -> None:
    entries = [lot(1, "L-1", "A"), melt(2, "A", "K", silver="50")]
    flow = flow_of(replay(entries))
    origins = Origins(flow, {GROSS: np.array([150.0, 199.0])})
    assert origins.metals == ()
    assert shares(origins.of_item("K", GROSS)) == {"L-1": 0.75, "added: silver, entry 2": 0.25}
