"""Settlements and prices."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import Entry, Line
from vault.core.errors import Fault
from vault.core.items import State
from vault.core.metals import BY_SYMBOL
from vault.core.rules.tags import unknown_tag
from vault.core.shop import Shop


def faults_of_settlement(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether a line settles what was not sent, or nothing."""
    for at, line in enumerate(entry.lines):
        if not shop.sent.get(line.ref):
            yield Fault(at, "ref", f"No shipment {line.ref} was sent; check its number.")
        elif line.tag:
            yield from _settled_item(at, line, shop)
        if not line.contents and line.money is None:
            yield Fault(at, "amount", "This line settles neither a content nor an amount.")
        if line.money is not None and line.money.millionths % 10_000:
            yield Fault(at, "amount", "A settled amount has at most two decimals.")


def _settled_item(at: int, line: Line, shop: Shop) -> Iterator[Fault]:
    item = shop.items.get(line.tag)
    if item is None:
        yield unknown_tag(at, line.tag, shop)
    elif not any(one.state is State.SENT and one.ref == line.ref for one in item.passages):
        yield Fault(at, "tag", f"{line.tag} was not in shipment {line.ref}.")


def faults_of_price(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether a price is of no metal, or no price."""
    del shop
    for at, line in enumerate(entry.lines):
        if line.tag:
            yield Fault(at, "tag", f"A price is no item's; leave the tag {line.tag} out.")
        if line.ref not in BY_SYMBOL:
            yield Fault(at, "ref", f"“{line.ref}” is no metal known here; write Ag, Au, Pt or Pd.")
        if line.money is None:
            yield Fault(at, "amount", "A price needs its amount for one gram, and its currency.")
        elif line.money.millionths <= 0:
            yield Fault(at, "amount", "A price must be more than nothing.")
