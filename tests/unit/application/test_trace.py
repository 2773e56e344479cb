"""Where metal came from and went, as boxes and ribbons."""

from __future__ import annotations

import random
from collections.abc import Iterable

import pytest

from builders import received, returned, shop_of, thing, worked
from trace_books import Book, book_of, shop_of_entries
from vault.application.queries.answers.trace import (
    MAIN_METAL,
    NodeKind,
    Trace,
    TraceNode,
    TraceQuestion,
)
from vault.application.queries.trace import OTHER_LOTS, NothingToTrace, trace_of
from vault.core.daybook import Entry


def asked(book: Book, drawn: bool = False, **question: object) -> Trace:  # noqa: FBT001, FBT002  a switch
    def drawn_of(metal: str) -> object:
        draws = book.contents.draws(metal, 200, 1)
        return book.origins.drawn(metal, draws)

    question.setdefault("metal", "Ag")
    asking = TraceQuestion(**question)  # type: ignore[arg-type]  # one word per fact
    if drawn:
        return trace_of(book.flow, book.contents, book.origins, asking, drawn_of)  # type: ignore[arg-type]
    return trace_of(book.flow, book.contents, book.origins, asking)


def box(trace: Trace, title: str) -> TraceNode:
    (found,) = [node for node in trace.nodes if node.title == title]
    return found


def ways(trace: Trace) -> dict[tuple[str, str], float | None]:
    """Give every ribbon's grams, by the titles of its ends."""
    title = {node.key: node.title for node in trace.nodes}
    return {(title[one.source], title[one.target]): one.amount_g for one in trace.ribbons}


@pytest.fixture
def bar() -> Book:
    """Two lots are smelted and cupelled, and their buttons poured into one bar."""
    shop = shop_of(
        received(1, thing("R-1", "filings", "800"), lot="L-1", party="Pennant"),
        received(2, thing("R-2", "scrap", "500"), lot="L-2", terms="bought", party="Orrin"),
        worked(
            3,
            "smelt",
            used="R-1",
            added=[thing("", "borax", "400")],
            made=[thing("K-1", "button", "700"), thing("S-1", "slag", place="drum D")],
        ),
        worked(
            4,
            "cupel",
            used="R-2",
            made=[thing("K-2", "bead", "290"), thing("C-1", "spent cupel", "600")],
        ),
        worked(5, "remelt", used="K-1 K-2", made=[thing("B-1", "bar", "980", place="safe")]),
        returned(6, "B-1"),
    )
    return book_of(
        shop,
        Ag={
            "R-1": (640, 0.3),
            "R-2": (300, 0.2),
            "K-1": (625, 0.2),
            "S-1": (12, 0.4),
            "K-2": (291, 0.1),
            "C-1": (7, 0.2),
            "B-1": (916, 0.6),
        },
    )


def test_the_title_and_the_one_end_say_what_was_asked_for(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    assert trace.title == "Trace of bar B-1"
    assert [node.title for node in trace.nodes if node.is_end] == ["B-1"]


def test_a_bar_is_traced_back_to_its_lots_with_all_that_dropped_away(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    titles = {node.key: node.title for node in trace.nodes}
    amounts = sorted(
        (titles[one.source], titles[one.target], one.amount_g) for one in trace.ribbons
    )
    assert amounts == [
        ("K-1", "remelt", 625),
        ("K-2", "remelt", 291),
        ("L-1", "smelt", 640),
        ("L-2", "cupel", 300),
        ("cupel", "C-1", 7),
        ("cupel", "K-2", 291),
        ("cupel", "unaccounted", 2),
        ("remelt", "B-1", 916),
        ("smelt", "K-1", 625),
        ("smelt", "S-1", 12),
        ("smelt", "unaccounted", 3),
    ]


def test_ribbons_into_residues_and_losses_are_marked_as_such(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    titles = {node.key: node.title for node in trace.nodes}
    assert {titles[one.target] for one in trace.ribbons if one.is_residue} == {"S-1", "C-1"}
    assert {titles[one.target] for one in trace.ribbons if one.is_loss} == {"unaccounted"}


def test_the_last_ribbon_is_coloured_by_its_lots(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    (last,) = [one for one in trace.ribbons if one.target == box(trace, "B-1").key]
    assert trace.lots == ("L-1", "L-2")
    assert dict(last.lots) == pytest.approx({"L-1": 625 / 916, "L-2": 291 / 916})


def test_the_table_says_whose_each_part_is_and_adds_up(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    assert [(row.name, row.words, row.lot) for row in trace.rows] == [
        ("L-1", "Pennant", "L-1"),
        ("L-2", "ours", "L-2"),
    ]
    assert sum(row.fine_ug or 0 for row in trace.rows) == pytest.approx(916_000_000, abs=1)
    assert (trace.total_ug, trace.total_u_ug) == (916_000_000, 600_000)


def test_shares_have_an_uncertainty_when_draws_are_given(bar: Book) -> None:
    assert all(row.u_ug is None for row in asked(bar, tag="B-1").rows)
    told = [row.u_ug for row in asked(bar, drawn=True, tag="B-1").rows]
    assert all(one is not None and 100_000 < one < 1_000_000 for one in told)


def test_a_lot_of_one_item_is_one_box_with_the_words_of_both(bar: Book) -> None:
    lot = box(asked(bar, tag="B-1"), "L-1")
    assert lot.kind is NodeKind.LOT
    assert (lot.tag, lot.lot) == ("R-1", "L-1")
    assert lot.lines == ("filings R-1", "Pennant")


def test_boxes_say_what_they_are_and_where(bar: Book) -> None:
    trace = asked(bar, tag="B-1")
    assert box(trace, "S-1").lines == ("slag", "on hand, drum D")
    assert box(trace, "K-1").lines == ("button",)
    assert box(trace, "cupel").lines == ("4 Jan 2031", "entry 4")
    assert box(trace, "cupel").entry == 4


def test_a_lot_is_followed_ahead_as_its_own_part_only(bar: Book) -> None:
    trace = asked(bar, lot="L-1")
    assert trace.title == "Trace of lot L-1"
    titles = {node.key: node.title for node in trace.nodes}
    amounts = {(titles[one.source], titles[one.target]): one.amount_g for one in trace.ribbons}
    assert amounts["L-1", "smelt"] == 640
    assert amounts["remelt", "B-1"] == pytest.approx(625)
    assert box(trace, "B-1").lines == ("bar", "68 % of its silver", "returned to Pennant")
    assert box(trace, "L-1").is_end
    assert not any(node.title in {"L-2", "K-2"} for node in trace.nodes)


def test_the_whereabouts_of_a_lot_add_up_to_what_was_received(bar: Book) -> None:
    rows = asked(bar, lot="L-1").rows
    assert [row.name for row in rows] == ["B-1", "S-1", "unaccounted"]
    assert sum(row.fine_ug or 0 for row in rows) == 640_000_000
    assert rows[0].words == "bar · returned to Pennant"


def test_both_ways_meet_in_the_item_asked_for(bar: Book) -> None:
    trace = asked(bar, tag="K-1", backward=True, forward=True)
    assert {node.title for node in trace.nodes} >= {"L-1", "smelt", "K-1", "remelt", "B-1"}
    assert box(trace, "K-1").is_end
    assert box(trace, "K-1").amount_g == 625


def test_weight_can_be_traced_too_and_shows_what_was_added(bar: Book) -> None:
    trace = asked(bar, tag="B-1", metal="")
    assert box(trace, "borax").amount_g == 400
    assert box(trace, "K-1").amount_g == 700
    assert box(trace, "S-1").amount_g is None
    assert trace.metals == ("Ag",)


def test_weight_is_traced_where_metals_would_be_drawn_from_their_doubts(bar: Book) -> None:
    assert asked(bar, drawn=True, tag="B-1", metal="").total_ug == 980_000_000


def test_what_nobody_knows_is_said_to_be_not_known() -> None:
    shop = shop_of(
        received(1, thing("R-1", "sweeps", "800")),
        worked(2, "smelt", used="R-1", made=[thing("K-1", "button", "70"), thing("S-1", "slag")]),
    )
    book = book_of(shop, Ag={"R-1": None, "K-1": (60, 1), "S-1": None})
    trace = asked(book, tag="K-1")
    assert box(trace, "L-1").amount_g is None
    assert box(trace, "S-1").amount_g is None
    assert [one.amount_g for one in trace.ribbons if one.amount_g is not None] == [60]
    assert trace.footing == (
        "One step cannot be balanced, since not all that went in or came out is known."
    )


def test_an_item_without_a_story_is_a_trace_of_its_own() -> None:
    book = book_of(shop_of(received(1, thing("R-1", "sweeps", "800"))), Ag={"R-1": (5, 1)})
    trace = asked(book, tag="R-1")
    assert [node.title for node in trace.nodes] == ["R-1", "L-1"]
    assert ways(trace) == {("L-1", "R-1"): 5}
    assert trace.footing == "No work stands in this trace."


def test_a_metal_that_is_not_there_gives_way_to_one_that_is() -> None:
    book = book_of(shop_of(received(1, thing("R-1", "scrap", "8"))), Ag={}, Au={"R-1": (5, 1)})
    trace = asked(book, tag="R-1", metal="Ag")
    assert trace.question.metal == "Au"
    assert trace.metals == ("Au",)


def test_the_main_metal_is_the_one_of_which_there_is_most() -> None:
    shop = shop_of(received(1, thing("R-1", "scrap", "80"), thing("R-2", "scrap", "9")))
    book = book_of(shop, Ag={"R-1": (5, 1), "R-2": None}, Au={"R-1": (50, 1)}, Pt={"R-2": None})
    assert asked(book, tag="R-1", metal=MAIN_METAL).question.metal == "Au"
    assert asked(book, lot="L-1", metal=MAIN_METAL).question.metal == "Au"
    assert asked(book, tag="R-2", metal=MAIN_METAL).question.metal == "Ag"


def test_a_book_that_speaks_of_no_metal_is_traced_by_weight() -> None:
    trace = asked(book_of(shop_of(received(1, thing("R-1", "scrap", "8")))), tag="R-1")
    assert trace.question.metal == ""
    assert trace.total_ug == 8_000_000


def test_unknown_tags_and_lots_are_refused_with_a_sentence(bar: Book) -> None:
    with pytest.raises(NothingToTrace, match="no item X-9 in the book"):
        asked(bar, tag="X-9")
    with pytest.raises(NothingToTrace, match="no lot L-9 in the book"):
        asked(bar, lot="L-9")


def test_the_footing_names_the_largest_gap_and_calls_out_what_is_too_large(bar: Book) -> None:
    assert asked(bar, tag="B-1").footing == (
        "Every step of this trace balances; largest gap: entry 3, 3.0 g of 640 g."
    )
    bar.contents.balances["Ag"].estimates[bar.contents.place_of["K-1"]] = 500
    assert asked(bar, tag="B-1").footing == (
        "2 steps do not balance; look at entry 3, 128 g of 640 g missing."
    )


def test_weights_are_not_judged_since_air_and_fume_take_part(bar: Book) -> None:
    assert asked(bar, tag="K-2", metal="").footing == (
        "Largest gap in weight: entry 4, 390 g of 500 g; "
        "what burns off and what air adds are in it."
    )


def test_a_gap_within_its_own_doubt_is_not_drawn_as_a_loss() -> None:
    shop = shop_of(
        received(1, thing("R-1", "scrap", "800")),
        worked(2, "remelt", used="R-1", made=[thing("B-1", "bar", "790")]),
    )
    sure = asked(book_of(shop, Ag={"R-1": (600, 0.5), "B-1": (596, 0.5)}), tag="B-1")
    unsure = asked(book_of(shop, Ag={"R-1": (600, 5), "B-1": (596, 0.5)}), tag="B-1")
    assert box(sure, "unaccounted").amount_g == 4
    assert not any(node.kind is NodeKind.LOSS for node in unsure.nodes)


def test_a_gain_is_written_on_its_work() -> None:
    shop = shop_of(
        received(1, thing("R-1", "scrap", "800")),
        worked(2, "remelt", used="R-1", made=[thing("B-1", "bar", "790")]),
    )
    book = book_of(shop, Ag={"R-1": (600, 1), "B-1": (640, 1)})
    trace = asked(book, tag="B-1")
    assert "more came out than went in" in box(trace, "remelt").lines
    assert not any(node.kind is NodeKind.LOSS for node in trace.nodes)


def test_the_silver_in_assay_lead_is_too_little_to_draw_and_silver_added_is_not() -> None:
    shop = shop_of(
        received(1, thing("R-1", "scrap", "800")),
        worked(
            2,
            "cupel",
            used="R-1",
            added=[thing("", "lead", "350", "Ag 0.002"), thing("", "silver", "100", "Ag 999")],
            made=[thing("K-1", "bead", "700")],
        ),
    )
    trace = asked(book_of(shop, Ag={"R-1": (600, 1), "K-1": (699, 1)}), tag="K-1")
    assert {node.title for node in trace.nodes} == {"L-1", "silver", "cupel", "K-1"}


def test_several_items_of_a_lot_stand_behind_one_box() -> None:
    shop = shop_of(
        received(1, thing("R-1", "scrap", "80"), thing("R-2", "filings", "20")),
        worked(2, "remelt", used="R-1 R-2", made=[thing("B-1", "bar", "99")]),
    )
    trace = asked(book_of(shop, Ag={"R-1": (70, 1), "R-2": (10, 1), "B-1": (80, 1)}), tag="B-1")
    assert box(trace, "L-1").lines == ("2 items", "Pennant")
    assert box(trace, "L-1").amount_g == 80
    assert ways(trace)["L-1", "R-1"] == 70


def blend(count: int) -> Book:
    """`count` lots of rising weight are blended at once."""
    entries: list[Entry] = [
        received(number, thing(f"R-{number}", "scrap", str(number)), lot=f"L-{number}")
        for number in range(1, count + 1)
    ]
    whole = count * (count + 1) / 2
    entries.append(
        worked(
            count + 1,
            "blend",
            used=[f"R-{number}" for number in range(1, count + 1)],
            made=[thing("G-1", "grain", str(int(whole)))],
        )
    )
    silver = {f"R-{number}": (float(number), 0.1) for number in range(1, count + 1)}
    return book_of(shop_of_entries(*entries), Ag={**silver, "G-1": (whole, 1)})


def folds(trace: Trace) -> list[TraceNode]:
    return [node for node in trace.nodes if node.kind is NodeKind.FOLD]


def test_a_small_trace_is_never_folded() -> None:
    assert folds(asked(blend(40), tag="G-1", most_boxes=50)) == []


def test_a_wide_blend_shows_its_largest_and_folds_the_rest() -> None:
    trace = asked(blend(200), tag="G-1", most_boxes=50)
    (fold,) = folds(trace)
    shown = [node for node in trace.nodes if node.kind is NodeKind.LOT]
    assert fold.title == f"and {200 - len(shown)} more"
    assert len(trace.nodes) <= 50
    assert {node.title for node in shown} == {f"L-{n}" for n in range(200, 200 - len(shown), -1)}
    assert fold.amount_g == sum(range(1, 201 - len(shown)))


def test_folding_hides_no_gram() -> None:
    trace = asked(blend(200), tag="G-1", most_boxes=50)
    work = box(trace, "blend").key
    into = sum(one.amount_g or 0 for one in trace.ribbons if one.target == work)
    assert into == pytest.approx(200 * 201 / 2)


def test_a_fold_opens_bit_by_bit_until_nothing_is_hidden() -> None:
    book = blend(120)
    trace = asked(book, tag="G-1", most_boxes=50)
    opened: frozenset[str] = frozenset()
    before = len(trace.nodes)
    for _ in range(9):
        if not folds(trace):
            break
        opened |= {folds(trace)[0].key}
        trace = asked(book, tag="G-1", most_boxes=50, unfolded=opened)
        assert len(trace.nodes) > before or not folds(trace)
        before = len(trace.nodes)
    assert folds(trace) == []
    assert len([node for node in trace.nodes if node.kind is NodeKind.LOT]) == 120


def test_lots_beyond_the_colours_share_one_name() -> None:
    trace = asked(blend(20), tag="G-1")
    (last,) = [one for one in trace.ribbons if one.target == box(trace, "G-1").key]
    assert len(trace.lots) == 6
    assert last.lots[-1][0] == OTHER_LOTS
    assert sum(share for _, share in last.lots) == pytest.approx(1)


def random_shop(works: int, seed: int) -> Book:
    """Lots, works that join and part them, residues that come back; figures that balance."""
    chance = random.Random(seed)
    entries: list[Entry] = []
    silver: dict[str, tuple[float, float] | None] = {}
    free: list[str] = []
    number = 0
    for step in range(works):
        while len(free) < 6:
            number += 1
            tag = f"R-{number}"
            entries.append(received(number, thing(tag, "scrap", "100"), lot=f"L-{number % 40}"))
            silver[tag] = (chance.uniform(10, 90), 1.0)
            free.append(tag)
        used = chance.sample(free, chance.randint(1, 4))
        free = [tag for tag in free if tag not in used]
        feed = sum((silver[tag] or (0, 0))[0] for tag in used)
        number += 1
        made = {f"K-{number}": 0.7, f"B-{number}": 0.27, f"S-{number}": 0.03}
        forms = ("button", "bead", "slag")
        entries.append(
            worked(
                number,
                "smelt",
                used=used,
                made=[thing(tag, form, "9") for tag, form in zip(made, forms, strict=True)],
            )
        )
        silver.update({tag: (feed * part, 1.0) for tag, part in made.items()})
        free += [tag for tag in made if chance.random() < 0.9 or step == works - 1]
    return book_of(shop_of_entries(*entries), Ag=silver)


def ordered(trace: Trace) -> Iterable[str]:
    """Walk the boxes in an order in which every ribbon runs forward; fails on a loop."""
    missing = {node.key: 0 for node in trace.nodes}
    for one in trace.ribbons:
        missing[one.target] += 1
    waiting = [key for key, count in missing.items() if count == 0]
    while waiting:
        here = waiting.pop()
        yield here
        for one in trace.ribbons:
            if one.source == here:
                missing[one.target] -= 1
                if missing[one.target] == 0:
                    waiting.append(one.target)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("most", [12, 40, 1000])
def test_any_folded_trace_is_whole_has_no_loop_and_keeps_its_limit(seed: int, most: int) -> None:
    book = random_shop(60, seed)
    tag = list(book.flow.items)[-3]
    for ask in ({"tag": tag}, {"lot": "L-3"}, {"tag": tag, "forward": True}):
        trace = asked(book, most_boxes=most, **ask)
        keys = {node.key for node in trace.nodes}
        assert len(keys) == len(trace.nodes)
        assert all(one.source in keys and one.target in keys for one in trace.ribbons)
        assert len(list(ordered(trace))) == len(trace.nodes)
        drawn = [
            node
            for node in trace.nodes
            if node.kind is not NodeKind.LOSS and node.key[:4] != "lot:"
        ]
        assert len(drawn) <= most * (1 + len(ask) // 2)
        for work in (node for node in trace.nodes if node.kind is NodeKind.WORK):
            into = sum(one.amount_g or 0 for one in trace.ribbons if one.target == work.key)
            out = sum(one.amount_g or 0 for one in trace.ribbons if one.source == work.key)
            assert out == pytest.approx(into, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_opening_every_fold_ends_with_everything_shown(seed: int) -> None:
    book = random_shop(40, seed)
    tag = list(book.flow.items)[-3]
    whole = asked(book, tag=tag, most_boxes=10_000)
    wanted = {node.key for node in whole.nodes if node.kind in {NodeKind.ITEM, NodeKind.WORK}}
    opened: frozenset[str] = frozenset()
    for _ in range(200):
        trace = asked(book, tag=tag, most_boxes=12, unfolded=opened)
        if not folds(trace):
            break
        opened |= {node.key for node in folds(trace)}
    assert folds(trace) == []
    assert {node.key for node in trace.nodes} >= wanted


def test_a_bar_with_thousands_of_ancestors_still_fits_a_window() -> None:
    book = random_shop(1200, 1)
    tag = list(book.flow.items)[-3]
    assert len(book.flow.ancestors_of(tag)) > 2500
    trace = asked(book, tag=tag)
    assert len([node for node in trace.nodes if node.key[:4] not in {"lot:", "loss"}]) <= 150
    assert sum(one.amount_g or 0 for one in trace.ribbons if one.target == box(trace, tag).key) == (
        pytest.approx(box(trace, tag).amount_g, abs=1e-5)
    )
