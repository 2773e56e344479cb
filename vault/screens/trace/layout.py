"""Where everything in the picture of a trace lies, worked out without a window.

Ribbons are as thick as their grams: one scale for the whole picture. Boxes of a layer keep room
for their labels, so labels never run into each other, and layers stand apart by their labels and
a clear run for the ribbons. Bends of one ribbon pull strongly on each other, so that long ribbons
run straight instead of waving.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from vault.screens.trace.heights import Joint, heights
from vault.screens.trace.ranks import Ranked, Tie, ranked

THINNEST_PX = 1.5
BEND_WIDTH_PX = 18.0
# The book knows nothing smaller than a microgram; less than that is nothing to scale by.
LEAST_GRAMS = 1e-6
# A piece between two bends holds eight times as firmly as one between boxes (the ratio of Gansner
# and others, "A technique for drawing directed graphs", 1993; from memory).
BEND_TO_BEND = 8.0
BOX_TO_BEND = 2.0
# What falls away must not pull its work after it.
FALLING = 0.02


@dataclass(frozen=True, slots=True)
class Measures:
    """Distances of the picture, in pixels.

    Attributes:
        room: height that the ribbons of the thickest layer take together.
        gap: clear height between two labels or boxes of a layer.
        run: clear width between a label and the next layer's boxes, at least.
        longest_run: the same, at most, where ribbons swing far.
        drop: extra height above residues and losses that fall away.
        margin: clear border all around.
    """

    room: float = 300.0
    gap: float = 16.0
    run: float = 56.0
    longest_run: float = 150.0
    drop: float = 30.0
    margin: float = 24.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A box as the layout sees it.

    Attributes:
        key: its name.
        width: of its body.
        least_height: of its body, whatever its ribbons.
        pad: height above and below the ribbons within its body.
        label_height: room that its label needs.
        left, right: width of its label on that side; 0 where there is none.
        is_low: drawn below the others (residues that nothing used, losses).
    """

    key: str
    width: float
    least_height: float = 3.0
    pad: float = 0.0
    label_height: float = 0.0
    left: float = 0.0
    right: float = 0.0
    is_low: bool = False


@dataclass(frozen=True, slots=True)
class Flowing:
    """A ribbon as the layout sees it; `grams` is None where nobody knows."""

    source: str
    target: str
    grams: float | None


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a box lies: the top left corner and size of its body, and its layer."""

    key: str
    x: float
    y: float
    width: float
    height: float
    layer: int

    @property
    def middle(self) -> float:
        """The height of the middle of the body."""
        return self.y + self.height / 2


@dataclass(frozen=True, slots=True)
class Course:
    """How a ribbon runs.

    Attributes:
        thickness: the same all along.
        points: its middle line; from an even point to the next it swings from one height to
            another, from an odd point to the next it runs level.
    """

    thickness: float
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The whole picture.

    Attributes:
        boxes: in the order in which they were asked for.
        courses: in the order of the ribbons.
        width, height: of the picture, margins and labels included.
        px_per_gram: the one scale of all ribbons.
        crossings: how often ribbons cross between neighbouring layers.
    """

    boxes: tuple[Placed, ...]
    courses: tuple[Course, ...]
    width: float
    height: float
    px_per_gram: float
    crossings: int


def laid_out(
    spots: Sequence[Spot], ribbons: Sequence[Flowing], measures: Measures | None = None
) -> Layout:
    """Lay a trace out; the same trace always gives the same picture.

    Args:
        spots: the boxes, each key once.
        ribbons: between those boxes, without a loop.
        measures: distances; the usual ones where not given.
    """
    return _Picture(spots, ribbons, measures or Measures()).layout()


class _Picture:
    """Everything about one picture while it is worked out; members are boxes and bends."""

    def __init__(
        self, spots: Sequence[Spot], ribbons: Sequence[Flowing], measures: Measures
    ) -> None:
        self._spots = spots
        self._measures = measures
        number = {spot.key: place for place, spot in enumerate(spots)}
        ties = [Tie(number[one.source], number[one.target]) for one in ribbons]
        low = frozenset(place for place, spot in enumerate(spots) if spot.is_low)
        self._ranked = ranked(len(spots), ties, low)
        self._layer_of = {one: at for at, layer in enumerate(self._ranked.layers) for one in layer}
        self._scale = _scale(self._ranked, self._layer_of, ribbons, measures.room)
        self._thick = [_thickness(one.grams, self._scale) for one in ribbons]
        self._bodies = self._body_heights()
        self._ports = self._all_ports()

    def layout(self) -> Layout:
        middles = self._found_heights()
        axes, width = self._axes(middles)
        rooms = [(middles[one], self._room(one) / 2) for one in range(len(self._spots))]
        top = min((middle - half for middle, half in rooms), default=0.0)
        bottom = max((middle + half for middle, half in rooms), default=0.0)
        shift = self._measures.margin - top
        levels = {one: middle + shift for one, middle in middles.items()}
        return Layout(
            self._placed(levels, axes),
            tuple(self._course(tie, levels, axes) for tie in range(len(self._thick))),
            width,
            bottom + shift + self._measures.margin,
            self._scale,
            self._ranked.crossings,
        )

    def _body_heights(self) -> list[float]:
        """Give each box the height of its ribbons, the larger of what enters and leaves."""
        entering = [0.0] * len(self._spots)
        leaving = [0.0] * len(self._spots)
        for chain, thickness in zip(self._ranked.chains, self._thick, strict=True):
            leaving[chain[0]] += thickness
            entering[chain[-1]] += thickness
        return [
            max(spot.least_height, max(into, out) + 2 * spot.pad)
            for spot, into, out in zip(self._spots, entering, leaving, strict=True)
        ]

    def _all_ports(self) -> dict[tuple[int, bool], float]:
        """Give, for each ribbon and end, how far below its box's middle it is fixed.

        Ribbons leave a box in the order in which they arrive in the next layer, so that they do
        not cross beside it.
        """
        place = {one: at for layer in self._ranked.layers for at, one in enumerate(layer)}
        ends: dict[tuple[int, bool], list[tuple[int, int]]] = {}
        for tie, chain in enumerate(self._ranked.chains):
            ends.setdefault((chain[0], True), []).append((place[chain[1]], tie))
            ends.setdefault((chain[-1], False), []).append((place[chain[-2]], tie))
        ports: dict[tuple[int, bool], float] = {}
        for (box, leaving), fixed in ends.items():
            spot = self._spots[box]
            thick = sum(self._thick[tie] for _, tie in fixed)
            # Single thin things sit in the middle of a box that is taller for its words alone.
            spare = max(0.0, self._bodies[box] - 2 * spot.pad - thick)
            loose = self._bodies[box] <= spot.least_height
            at = -self._bodies[box] / 2 + spot.pad + (spare / 2 if loose else 0.0)
            for _, tie in sorted(fixed):
                ports[tie, leaving] = at + self._thick[tie] / 2
                at += self._thick[tie]
        return ports

    def _found_heights(self) -> dict[int, float]:
        rooms: dict[int, float] = {}
        joints: list[Joint] = []
        for tie, chain in enumerate(self._ranked.chains):
            rooms.update(dict.fromkeys(chain[1:-1], self._thick[tie]))
            joints.extend(self._joints_of(tie, chain))
        rooms.update({one: self._room(one) for one in range(len(self._spots))})
        return heights(self._ranked.layers, joints, rooms, self._gaps())

    def _joints_of(self, tie: int, chain: Sequence[int]) -> list[Joint]:
        last = len(chain) - 2
        falls = self._spots[chain[-1]].is_low
        return [
            Joint(
                left,
                right,
                self._ports[tie, True] if at == 0 else 0.0,
                self._ports[tie, False] if at == last else 0.0,
                FALLING if falls else _firmness(ends=(at == 0) + (at == last)),
            )
            for at, (left, right) in enumerate(itertools.pairwise(chain))
        ]

    def _gaps(self) -> dict[int, float]:
        gaps: dict[int, float] = {}
        for layer in self._ranked.layers:
            above: int | None = None
            for one in layer:
                is_first_low = self._is_low(one) and (above is None or not self._is_low(above))
                gaps[one] = self._measures.gap + (self._measures.drop if is_first_low else 0.0)
                above = one
        return gaps

    def _is_low(self, one: int) -> bool:
        return one < len(self._spots) and self._spots[one].is_low

    def _room(self, box: int) -> float:
        return max(self._bodies[box], self._spots[box].label_height)

    def _axes(self, middles: dict[int, float]) -> tuple[list[float], float]:
        """Give the upright line on which each layer is centred, and the whole width."""
        axes: list[float] = []
        at = self._measures.margin
        runs = self._runs(middles)
        for place, layer in enumerate(self._ranked.layers):
            spots = [self._spots[one] for one in layer if one < len(self._spots)]
            at += max(spot.width / 2 + spot.left for spot in spots)
            axes.append(at)
            at += max(spot.width / 2 + spot.right for spot in spots)
            at += runs[place]
        return axes, at + self._measures.margin

    def _runs(self, middles: dict[int, float]) -> list[float]:
        """Give the clear width after each layer: wider where ribbons swing far."""
        swings = [0.0] * len(self._ranked.layers)
        for chain in self._ranked.chains:
            for left, right in itertools.pairwise(chain):
                at = self._layer_of[left]
                swings[at] = max(swings[at], abs(middles[left] - middles[right]))
        least, most = self._measures.run, self._measures.longest_run
        runs = [min(most, max(least, swing * 0.35)) for swing in swings]
        return [*runs[:-1], 0.0] if runs else []

    def _placed(self, levels: dict[int, float], axes: Sequence[float]) -> tuple[Placed, ...]:
        return tuple(
            Placed(
                spot.key,
                axes[self._layer_of[one]] - spot.width / 2,
                levels[one] - self._bodies[one] / 2,
                spot.width,
                self._bodies[one],
                self._layer_of[one],
            )
            for one, spot in enumerate(self._spots)
        )

    def _course(self, tie: int, levels: dict[int, float], axes: Sequence[float]) -> Course:
        chain = self._ranked.chains[tie]
        first, last = chain[0], chain[-1]
        start = self._layer_of[first]
        points = [
            (
                axes[start] + self._spots[first].width / 2,
                levels[first] + self._ports[tie, True],
            )
        ]
        for at, bend in enumerate(chain[1:-1], start=start + 1):
            points.append((axes[at] - BEND_WIDTH_PX / 2, levels[bend]))
            points.append((axes[at] + BEND_WIDTH_PX / 2, levels[bend]))
        points.append(
            (
                axes[start + len(chain) - 1] - self._spots[last].width / 2,
                levels[last] + self._ports[tie, False],
            )
        )
        return Course(self._thick[tie], tuple(points))


def _thickness(grams: float | None, scale: float) -> float:
    return THINNEST_PX if grams is None else max(THINNEST_PX, abs(grams) * scale)


def _firmness(*, ends: int) -> float:
    """Give how firmly a piece holds, from how many of its two ends are boxes."""
    return (BEND_TO_BEND, BOX_TO_BEND, 1.0)[ends]


def _scale(
    ranked_boxes: Ranked,
    layer_of: Mapping[int, int],
    ribbons: Sequence[Flowing],
    room: float,
) -> float:
    """Give the pixels per gram with which the thickest layer just fills the room."""
    joins = [0.0] * max(1, len(ranked_boxes.layers))
    for chain, ribbon in zip(ranked_boxes.chains, ribbons, strict=True):
        for one in chain[:-1]:
            joins[layer_of[one]] += abs(ribbon.grams or 0.0)
    thickest = max(joins)
    return room / thickest if thickest >= LEAST_GRAMS else 0.0
