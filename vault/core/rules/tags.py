"""Tags: new ones that were never given, and those of items that something can still happen to."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from vault.core.daybook import Line, Role
from vault.core.errors import Fault
from vault.core.items import Item, State
from vault.core.shop import Shop


def new_tag(at: int, line: Line, shop: Shop) -> Iterator[Fault]:
    """Tell whether the tag of a line that makes an item was given before."""
    if line.tag in shop.given:
        yield Fault(
            at,
            "tag",
            f"Tag {line.tag} was given before; a tag is never given twice, even after a strike.",
        )


def item_on_hand(at: int, line: Line, shop: Shop, verb: str) -> Iterator[Fault]:
    """Tell whether the item of a line is not there for something to happen to it."""
    item = shop.items.get(line.tag)
    if item is None:
        yield unknown_tag(at, line.tag, shop)
        return
    if item.state is not State.ON_HAND:
        yield Fault(
            at, "tag", f"{line.tag} cannot be {verb}: it was {_whereabouts(item)} before this."
        )
    elif line.form and line.role is not Role.EXTRA and line.form != item.form:
        yield Fault(
            at,
            "form",
            f"{line.tag} is “{item.form}” in the book, not “{line.form}”; leave it empty.",
        )


def held(at: int, line: Line, day: date, shop: Shop, verb: str) -> Iterator[Fault]:
    """Tell whether the item of a line is held beyond a day."""
    item = shop.items.get(line.tag)
    if item is None or item.state is not State.ON_HAND:
        return
    if item.hold_until is not None and item.is_held_on(day):
        until = item.hold_until.isoformat()
        yield Fault(
            at,
            "tag",
            f"{line.tag} is held until {until} and cannot be {verb} before that day; wait, or "
            "return it to its customer.",
        )


def unknown_tag(at: int, tag: str, shop: Shop) -> Fault:
    """Give the fault of a tag that stands for no item."""
    if tag in shop.given:
        return Fault(at, "tag", f"{tag} was struck from the book; nothing can happen to it.")
    return Fault(at, "tag", f"No item with tag {tag} has been recorded up to here; check the tag.")


def _whereabouts(item: Item) -> str:
    state = item.state
    if state is State.USED:
        return f"used up in entry {item.used_by}"
    if state is State.MISSING:
        return f"found missing in entry {item.passages[-1].entry}"
    return f"{state.value} in entry {item.passages[-1].entry}"
