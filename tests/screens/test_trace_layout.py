"""The layout of a trace: what must hold for any graph, and what a person expects of small ones."""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vault.screens.trace.layout import (
    THINNEST_PX,
    Flowing,
    Layout,
    Measures,
    Spot,
    laid_out,
)
from vault.screens.trace.ranks import Tie, ranked

CLOSE = 1e-6


def spot(key: str, *, low: bool = False, label: float = 30.0) -> Spot:
    return Spot(key, width=18, label_height=label, right=80, left=10, is_low=low)


def flows(*texts: str) -> list[Flowing]:
    """`flows("A B 12", "B C ?")`."""
    found = []
    for text in texts:
        source, target, grams = text.split()
        found.append(Flowing(source, target, None if grams == "?" else float(grams)))
    return found


@st.composite
def graphs(draw: st.DrawFn) -> tuple[list[Spot], list[Flowing]]:
    count = draw(st.integers(1, 30))
    pairs = draw(
        st.sets(
            st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
                lambda pair: pair[0] < pair[1]
            ),
            max_size=45,
        )
    )
    grams = st.one_of(st.none(), st.floats(0, 5000, allow_nan=False))
    ribbons = [Flowing(f"n{one}", f"n{two}", draw(grams)) for one, two in sorted(pairs)]
    feeding = {one.source for one in ribbons}
    spots = [
        Spot(
            f"n{one}",
            width=draw(st.sampled_from([18.0, 104.0])),
            least_height=draw(st.sampled_from([3.0, 40.0])),
            pad=draw(st.sampled_from([0.0, 6.0])),
            label_height=draw(st.floats(0, 60)),
            left=draw(st.floats(0, 120)),
            right=draw(st.floats(0, 120)),
            is_low=f"n{one}" not in feeding and draw(st.booleans()),
        )
        for one in range(count)
    ]
    return spots, ribbons


def rooms(spots: list[Spot], layout: Layout) -> list[tuple[float, float, float, float]]:
    """Give left, top, right, bottom of each box with its label."""
    found = []
    for one, box in zip(spots, layout.boxes, strict=True):
        half = max(box.height, one.label_height) / 2
        found.append(
            (
                box.x - one.left,
                box.middle - half,
                box.x + box.width + one.right,
                box.middle + half,
            )
        )
    return found


@given(graphs())
def test_no_box_or_label_touches_another(graph: tuple[list[Spot], list[Flowing]]) -> None:
    spots, ribbons = graph
    layout = laid_out(spots, ribbons)
    for one, other in itertools.combinations(rooms(spots, layout), 2):
        apart = (
            one[2] <= other[0] + CLOSE
            or other[2] <= one[0] + CLOSE
            or one[3] <= other[1] + CLOSE
            or other[3] <= one[1] + CLOSE
        )
        assert apart, (one, other)


@given(graphs())
def test_everything_lies_inside_the_picture(graph: tuple[list[Spot], list[Flowing]]) -> None:
    spots, ribbons = graph
    layout = laid_out(spots, ribbons)
    for left, top, right, bottom in rooms(spots, layout):
        assert left >= -CLOSE
        assert top >= -CLOSE
        assert right <= layout.width + CLOSE
        assert bottom <= layout.height + CLOSE


@given(graphs())
def test_every_ribbon_is_as_thick_as_its_grams(graph: tuple[list[Spot], list[Flowing]]) -> None:
    spots, ribbons = graph
    layout = laid_out(spots, ribbons)
    for ribbon, course in zip(ribbons, layout.courses, strict=True):
        wanted = (ribbon.grams or 0.0) * layout.px_per_gram
        assert course.thickness == pytest.approx(max(THINNEST_PX, wanted))


@given(graphs())
def test_ribbons_lie_beside_each_other_within_their_box(
    graph: tuple[list[Spot], list[Flowing]],
) -> None:
    spots, ribbons = graph
    layout = laid_out(spots, ribbons)
    box_of = {box.key: box for box in layout.boxes}
    ends: dict[tuple[str, bool], list[tuple[float, float]]] = {}
    for ribbon, course in zip(ribbons, layout.courses, strict=True):
        for key, leaving, point in (
            (ribbon.source, True, course.points[0]),
            (ribbon.target, False, course.points[-1]),
        ):
            box = box_of[key]
            assert point[0] == pytest.approx(box.x + (box.width if leaving else 0))
            ends.setdefault((key, leaving), []).append((point[1], course.thickness))
    for (key, _), fixed in ends.items():
        box = box_of[key]
        fixed.sort()
        at = box.y
        for middle, thickness in fixed:
            assert middle - thickness / 2 >= at - CLOSE
            at = middle + thickness / 2
        assert at <= box.y + box.height + CLOSE


@given(graphs())
def test_ribbons_always_run_to_the_right(graph: tuple[list[Spot], list[Flowing]]) -> None:
    spots, ribbons = graph
    for course in laid_out(spots, ribbons).courses:
        for (left, _), (right, _) in itertools.pairwise(course.points):
            assert right > left


@given(graphs())
def test_the_same_trace_gives_the_same_picture(graph: tuple[list[Spot], list[Flowing]]) -> None:
    spots, ribbons = graph
    assert laid_out(spots, ribbons) == laid_out(list(spots), list(ribbons))


def test_the_thickest_layer_just_fills_its_room() -> None:
    layout = laid_out(
        [spot("A"), spot("B"), spot("W"), spot("C")],
        flows("A W 30", "B W 70", "W C 90"),
        Measures(room=200),
    )
    assert layout.px_per_gram == pytest.approx(2.0)
    assert [course.thickness for course in layout.courses] == [60, 140, 180]


def test_what_is_not_known_is_drawn_thin_and_nothing_is_divided_by_nothing() -> None:
    layout = laid_out([spot("A"), spot("B")], flows("A B ?"))
    assert layout.courses[0].thickness == THINNEST_PX
    assert layout.px_per_gram == 0


def test_an_empty_trace_and_a_single_box_have_a_picture() -> None:
    assert laid_out([], []).boxes == ()
    alone = laid_out([spot("A")], [])
    assert alone.width > 0
    assert alone.height >= 30


def test_lots_stand_left_and_the_last_bar_right_in_a_small_trace() -> None:
    layout = laid_out(
        [spot("L1"), spot("L2"), spot("W1"), spot("K"), spot("W2"), spot("B"), spot("B2")],
        flows("L1 W1 10", "W1 K 9", "K W2 9", "L2 W2 5", "W2 B 13", "W1 B2 1"),
    )
    layers = {box.key: box.layer for box in layout.boxes}
    assert layers["L1"] == layers["L2"] == 0
    assert layers["B"] == max(layers.values())
    # What was made beside the way stays beside its work.
    assert layers["B2"] == layers["W1"] + 1


def test_residues_drop_below_everything_beside_them() -> None:
    layout = laid_out(
        [spot("L"), spot("W"), spot("S", low=True), spot("K1"), spot("K2")],
        flows("L W 10", "W S 1", "W K1 5", "W K2 4"),
    )
    boxes = {box.key: box for box in layout.boxes}
    lowest = max(boxes[key].y + boxes[key].height for key in ("K1", "K2"))
    assert boxes["S"].y > lowest + Measures().drop


def test_a_long_ribbon_runs_straight_between_its_ends() -> None:
    chain = [f"N{number}" for number in range(9)]
    layout = laid_out(
        [spot(key) for key in chain],
        flows(*(f"{one} {two} 10" for one, two in itertools.pairwise(chain)), "N0 N8 4"),
    )
    bends = [y for _, y in layout.courses[-1].points[2:-1]]
    assert max(bends) - min(bends) < 12


def test_parallel_chains_do_not_cross() -> None:
    ties = [Tie(row * 4 + step, row * 4 + step + 1) for row in range(6) for step in range(3)]
    assert ranked(24, ties, frozenset()).crossings == 0


def test_a_tangled_pair_is_untangled() -> None:
    # 0 → 5, 1 → 4, 2 → 3: each crosses the others until the right side is turned over.
    assert ranked(6, [Tie(0, 5), Tie(1, 4), Tie(2, 3)], frozenset()).crossings == 0


def test_a_loop_is_refused() -> None:
    with pytest.raises(ValueError, match="loop"):
        ranked(2, [Tie(0, 1), Tie(1, 0)], frozenset())


def random_works(boxes: int, seed: int) -> tuple[list[Spot], list[Flowing]]:
    """A shop-like graph: works join a few recent things and make a few new ones."""
    chance = random.Random(seed)
    spots: list[Spot] = []
    ribbons: list[Flowing] = []
    free: list[str] = []
    while len(spots) < boxes:
        while len(free) < 4:
            free.append(f"L{len(spots)}")
            spots.append(spot(free[-1]))
        work = f"W{len(spots)}"
        spots.append(Spot(work, 104, 40, 6))
        for _ in range(chance.randint(1, 3)):
            used = free.pop(chance.randrange(len(free)))
            ribbons.append(Flowing(used, work, chance.uniform(1, 50)))
        for number in range(chance.randint(1, 3)):
            made = f"I{len(spots)}"
            low = number == 2
            spots.append(spot(made, low=low))
            ribbons.append(Flowing(work, made, chance.uniform(1, 50)))
            if not low:
                free.append(made)
    return spots, ribbons


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sweeping_leaves_few_of_the_crossings_that_an_unordered_picture_has(seed: int) -> None:
    spots, ribbons = random_works(120, seed)
    number = {one.key: place for place, one in enumerate(spots)}
    ties = [Tie(number[one.source], number[one.target]) for one in ribbons]
    chance = random.Random(seed)
    mixed = list(range(len(spots)))
    chance.shuffle(mixed)
    swept = ranked(len(spots), ties, frozenset()).crossings
    again = ranked(
        len(spots), [Tie(mixed[one.source], mixed[one.target]) for one in ties], frozenset()
    ).crossings
    # Whatever order the boxes come in, about one crossing for each box is left at most.
    assert swept <= len(spots)
    assert again <= len(spots)
