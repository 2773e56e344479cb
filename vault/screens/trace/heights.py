"""At which height each box and bend of a trace stands: ribbons level where they can be.

Each layer's order and the room of its members are kept exactly; within that, members stand where
their ribbons want them, in least squares. For one layer that is an isotonic regression, solved by
pooling neighbours (Ayer and others, 1955; from memory), in a time that grows with the layer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

SWEEPS = 12
# What nothing ties to anything keeps its place, but gives way to all others.
SLACK = 0.001


@dataclass(frozen=True, slots=True)
class Joint:
    """A ribbon's piece between two neighbouring layers.

    Attributes:
        left, right: the numbers that it joins.
        left_port, right_port: where it is fixed, below the middle of each.
        firmness: how strongly it wants to be level.
    """

    left: int
    right: int
    left_port: float
    right_port: float
    firmness: float


def heights(
    layers: Sequence[Sequence[int]],
    joints: Sequence[Joint],
    rooms: Mapping[int, float],
    gaps: Mapping[int, float],
) -> dict[int, float]:
    """Give the middle of every member of every layer.

    Args:
        layers: members from top to bottom.
        joints: what ties them.
        rooms: the height each member takes.
        gaps: the clear height above each member.
    """
    middles = {one: at for layer in layers for one, at in _stacked(layer, rooms, gaps).items()}
    pulls = _pulls(joints)
    for sweep in range(SWEEPS):
        rightwards = sweep % 2 == 0
        both = sweep >= SWEEPS - 2
        for layer in layers if rightwards else reversed(layers):
            wanted = [
                _wanted(
                    one,
                    middles,
                    pulls,
                    from_left=rightwards or both,
                    from_right=not rightwards or both,
                )
                for one in layer
            ]
            _settle(layer, wanted, rooms, gaps, middles)
    return middles


def _stacked(
    layer: Sequence[int], rooms: Mapping[int, float], gaps: Mapping[int, float]
) -> dict[int, float]:
    """Stack a layer without looking at ribbons, its middle at height 0."""
    tall = sum(rooms[one] + gaps[one] for one in layer)
    at = -tall / 2
    found: dict[int, float] = {}
    for one in layer:
        at += gaps[one] + rooms[one] / 2
        found[one] = at
        at += rooms[one] / 2
    return found


# For each member and side: (the other, how much higher this one stands when level, firmness).
_Pull = tuple[int, float, float]


def _pulls(joints: Sequence[Joint]) -> dict[tuple[int, bool], list[_Pull]]:
    pulls: dict[tuple[int, bool], list[_Pull]] = {}
    for one in joints:
        shift = one.left_port - one.right_port
        pulls.setdefault((one.right, True), []).append((one.left, shift, one.firmness))
        pulls.setdefault((one.left, False), []).append((one.right, -shift, one.firmness))
    return pulls


def _wanted(
    one: int,
    middles: Mapping[int, float],
    pulls: Mapping[tuple[int, bool], Sequence[_Pull]],
    *,
    from_left: bool,
    from_right: bool,
) -> tuple[float, float]:
    """Give where a member wants to be, and how strongly."""
    total = SLACK
    moment = SLACK * middles[one]
    for side, asked in ((True, from_left), (False, from_right)):
        if asked:
            for other, shift, firmness in pulls.get((one, side), ()):
                total += firmness
                moment += firmness * (middles[other] + shift)
    return moment / total, total


def _settle(
    layer: Sequence[int],
    wanted: Sequence[tuple[float, float]],
    rooms: Mapping[int, float],
    gaps: Mapping[int, float],
    middles: dict[int, float],
) -> None:
    """Put a layer's members as near to where they want to be as their order and room allow."""
    offsets: list[float] = []
    offset = 0.0
    for place, one in enumerate(layer):
        if place:
            offset += (rooms[layer[place - 1]] + rooms[one]) / 2 + gaps[one]
        offsets.append(offset)
    pools: list[tuple[float, float, int]] = []
    for (want, firmness), shift in zip(wanted, offsets, strict=True):
        value, weight, count = want - shift, firmness, 1
        while pools and pools[-1][0] > value:
            before, before_weight, before_count = pools.pop()
            value = (before * before_weight + value * weight) / (before_weight + weight)
            weight += before_weight
            count += before_count
        pools.append((value, weight, count))
    spread = [value for value, _, count in pools for _ in range(count)]
    for one, value, shift in zip(layer, spread, offsets, strict=True):
        middles[one] = value + shift
