"""What happens to items one by one: assayed, weighed, moved, counted, and how they leave."""

from __future__ import annotations

import re
from collections.abc import Iterator

from vault.core.daybook import Act, Entry, Role
from vault.core.errors import Fault
from vault.core.items import State
from vault.core.numerals import shortened
from vault.core.rules.tags import held, item_on_hand, new_tag, unknown_tag
from vault.core.shop import Shop

_SHA256 = re.compile("[0-9a-f]{64}")


def faults_of_assay(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether an assay is of no item, or of no metal."""
    for at, line in enumerate(entry.lines):
        if line.tag not in shop.items:
            yield unknown_tag(at, line.tag, shop)
        if not line.contents:
            yield Fault(at, "Ag", "This assay gives no content of any metal.")


def faults_of_weighing(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether what was weighed is not there, or has no weight.

    A container may be weighed as a whole, by its place name, as it may be moved and sealed.
    """
    for at, line in enumerate(entry.lines):
        if line.tag in shop.items or line.tag in shop.given or line.tag not in shop.places:
            yield from item_on_hand(at, line, shop, "weighed")
        # An uncertainty alone is told already.
        if line.gross is None and line.gross_u is None:
            yield Fault(at, "gross_g", "This weighing gives no weight.")


def faults_of_move(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether an item is not there to be moved, or a place would go into itself."""
    for at, line in enumerate(entry.lines):
        if line.tag in shop.items or line.tag in shop.given or line.tag not in shop.places:
            yield from item_on_hand(at, line, shop, "moved")
        elif line.tag in shop.places_around(line.place):
            yield Fault(at, "place", f"{line.tag} cannot be put into itself.")


def faults_of_leaving(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether what is sent, returned or sold is not there."""
    verb = {Act.SEND: "sent", Act.RETURN: "returned", Act.SELL: "sold"}[entry.act]
    for at, line in enumerate(entry.lines):
        yield from item_on_hand(at, line, shop, verb)
        # What is held may go back to its customer at any time.
        if entry.act is not Act.RETURN:
            yield from held(at, line, entry.when.day, shop, verb)


def faults_of_photo(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether a picture is of no item, is none, or is there already."""
    for at, line in enumerate(entry.lines):
        item = shop.items.get(line.tag)
        if item is None:
            yield unknown_tag(at, line.tag, shop)
        elif any(photo.sha256 == line.ref for photo in item.photos):
            yield Fault(at, "ref", f"This picture is with {line.tag} already.")
        if not _SHA256.fullmatch(line.ref):
            yield Fault(
                at,
                "ref",
                f"“{shortened(line.ref)}” names no picture; it is the SHA-256 of its file, 64 "
                "digits from 0 to 9 and a to f.",
            )


def faults_of_count(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether something counted cannot have been seen or missed."""
    for at, line in enumerate(entry.lines):
        if line.role is Role.EXTRA:
            yield from new_tag(at, line, shop)
            continue
        item = shop.items.get(line.tag)
        if line.role is Role.OF and item is not None and item.state is State.MISSING:
            continue
        yield from item_on_hand(at, line, shop, "counted")
