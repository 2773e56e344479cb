"""Settling a shipment as a whole: what was agreed of the rest of it, in one figure for a metal.

A line of a settlement that names an item speaks of that item. One that names none speaks of all
that was sent under the shipment's number and of which no settlement up to then agreed the metal by
itself; several such lines in one entry (drum by drum) add up.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from vault.core.daybook import Act, Entry, Line
from vault.core.items import Agreed, Saying
from vault.core.knowledge import SETTLEMENT

if TYPE_CHECKING:
    from vault.core.shop import Shop


def is_of_the_rest(line: Line) -> bool:
    """Tell whether a line of a settlement agrees a content of the rest of its shipment."""
    return not line.tag and bool(line.contents) and bool(line.ref)


def refs_of_the_rest(entry: Entry) -> set[str]:
    """Give the shipments of whose rest an entry agrees a content."""
    if entry.act is not Act.SETTLE:
        return set()
    return {line.ref for line in entry.lines if is_of_the_rest(line)}


def agreed_in(entry: Entry, shop: Shop) -> Iterator[Agreed]:
    """Give what an entry agrees of the rest of its shipments; the shop is as it was before it."""
    for ref in sorted(refs_of_the_rest(entry)):
        sayings: dict[str, list[Saying]] = {}
        for line in entry.lines:
            if line.ref == ref and is_of_the_rest(line):
                saying = Saying(
                    entry.number, line.how or SETTLEMENT, line.contents, line.gross, line.ref
                )
                for said in line.contents:
                    sayings.setdefault(said.metal, []).append(saying)
        alone = _agreed_alone(entry, ref, shop)
        for metal, told in sayings.items():
            tags = tuple(tag for tag in shop.shipment(ref) if (tag, metal) not in alone)
            if tags:
                yield Agreed(entry.number, ref, metal, tags, tuple(told))


def settles_alone(entry: Entry, ref: str) -> bool:
    """Tell whether an entry agrees a content of single items of a shipment."""
    return entry.act is Act.SETTLE and any(
        line.tag and line.contents and line.ref == ref for line in entry.lines
    )


def _agreed_alone(entry: Entry, ref: str, shop: Shop) -> set[tuple[str, str]]:
    """Give the items and metals of a shipment that were agreed by themselves."""
    found: set[tuple[str, str]] = set()
    for number in {*shop.settled.get(ref, ()), entry.number}:
        settlement = entry if number == entry.number else shop.entries[number]
        for line in settlement.lines:
            if line.tag and line.ref == ref:
                found.update((line.tag, said.metal) for said in line.contents)
    return found
