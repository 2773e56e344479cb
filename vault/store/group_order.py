"""Groups in the order in which somebody looks for them: the most metal first, residues below."""

from __future__ import annotations

import json
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from sqlalchemy import Connection

from vault.core.items import State
from vault.store.lists import GroupSum, Wanted, group_sizes, groups_of, ids_of

# So many items speak for a place; of one that holds far more the rest is not looked at.
_SPEAKING = 500
# Groups whose order follows from what all their items hold, so that none is known before all.
_BY_SUM = frozenset({"lot", "owner"})

_PLACES = """
WITH RECURSIVE seen(state, place) AS (
  SELECT value, (SELECT min(place) FROM item WHERE state = value) FROM json_each(?)
  UNION ALL
  SELECT state, (SELECT min(place) FROM item WHERE state = seen.state AND place > seen.place)
  FROM seen WHERE place IS NOT NULL)
SELECT DISTINCT place FROM seen WHERE place IS NOT NULL ORDER BY place
"""
_HELD = """
SELECT count(*), sum(is_residue), sum(
  (SELECT sum(k.fine_ug) FROM content k WHERE k.item = some.id AND ? IN ('', k.metal)))
FROM (SELECT id, is_residue FROM item WHERE state = 'on hand' AND place = ?
      ORDER BY tag LIMIT ?) some
"""


@dataclass(frozen=True, slots=True)
class Grouped:
    """Ids of items, group after group, and the groups in the same order.

    Attributes:
        is_whole: whether these are all; otherwise the groups tell no sums.
    """

    ids: array[int]
    groups: list[GroupSum]
    is_whole: bool


def grouped(connection: Connection, wanted: Wanted, most: int | None = None) -> Grouped:
    """Give the items wanted in their groups, the groups in order.

    Args:
        connection: of a reading transaction.
        wanted: which items.
        most: for a first look: where there are more items, only so many, without any sums. Groups
            whose order is only known from all their items are given whole all the same.
    """
    places = _ranked_places(connection, wanted.metal) if wanted.group == "place" else []
    if most is not None and wanted.group not in _BY_SUM:
        first = _first_ids(connection, wanted, places, most + 1)
        if len(first) > most:
            return _first_look(connection, wanted, first[:most], places)
    ids, groups = ids_of(connection, wanted), groups_of(connection, wanted)
    if wanted.group == "place":
        return _reordered(ids, groups, _by_rank(places, [one.name for one in groups]))
    if wanted.group in _BY_SUM:
        return _reordered(ids, groups, _by_metal(groups, wanted.metal))
    return Grouped(ids, groups, is_whole=True)


def _ranked_places(connection: Connection, metal: str) -> list[str]:
    """Give every place: those of products before those of residues, the most metal first.

    What lies there now decides, whichever of it is shown; so the order stands still while
    somebody types a filter.
    """
    states = json.dumps([state.value for state in State])
    names = [row[0] for row in connection.exec_driver_sql(_PLACES, (states,))]
    ranks: dict[str, tuple[int, int]] = {}
    for name in names:
        items, residues, fine_ug = connection.exec_driver_sql(_HELD, (metal, name, _SPEAKING)).one()
        # 0 products, 1 residues, 2 nothing on hand.
        kind = 2 if not items else int(2 * residues > items)
        ranks[name] = (kind, -(fine_ug or 0))
    return sorted(names, key=lambda name: (ranks[name], name))


def _first_ids(
    connection: Connection, wanted: Wanted, places: Sequence[str], limit: int
) -> array[int]:
    if wanted.group != "place":
        return ids_of(connection, replace(wanted, limit=limit))
    ids: array[int] = array("q")
    for place in places:
        ids += ids_of(connection, replace(wanted, place=place, limit=limit - len(ids)))
        if len(ids) >= limit:
            break
    return ids


def _first_look(
    connection: Connection, wanted: Wanted, ids: array[int], places: Sequence[str]
) -> Grouped:
    sizes = group_sizes(connection, wanted, ids)
    if wanted.group == "place":
        sizes = [sizes[at] for at in _by_rank(places, [name for name, _ in sizes])]
    groups = [GroupSum(name, items, 0, 0, {}) for name, items in sizes]
    return Grouped(ids, groups, is_whole=False)


def _by_rank(ranked: Sequence[str], names: Sequence[str]) -> list[int]:
    rank = {name: at for at, name in enumerate(ranked)}
    return sorted(range(len(names)), key=lambda at: rank[names[at]])


def _by_metal(groups: Sequence[GroupSum], metal: str) -> list[int]:
    def held(at: int) -> int:
        fine = groups[at].fine_ug
        return fine.get(metal, 0) if metal else sum(fine.values())

    return sorted(range(len(groups)), key=lambda at: -held(at))


def _reordered(ids: array[int], groups: Sequence[GroupSum], order: Sequence[int]) -> Grouped:
    """Put groups, and the run of ids that is each one's, into an order."""
    ends = list(accumulate(group.items for group in groups))
    moved: array[int] = array("q")
    for at in order:
        moved += ids[ends[at] - groups[at].items : ends[at]]
    return Grouped(moved, [groups[at] for at in order], is_whole=True)
