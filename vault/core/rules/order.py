"""Number, date and hand of an entry: what holds for it as a whole, before its lines."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import FIRST_YEAR, LAST_YEAR, Entry, When
from vault.core.errors import Fault
from vault.core.shop import Shop
from vault.core.words import trouble_with


def faults_of_order(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell what is wrong with number, date and hand, as entries follow each other."""
    if entry.number <= shop.last_number:
        yield Fault(
            None,
            "entry",
            f"Entry {entry.number} comes after entry {shop.last_number}; numbers must rise.",
        )
    if not FIRST_YEAR <= entry.when.day.year <= LAST_YEAR:
        yield Fault(
            None,
            "when",
            f"The year {entry.when.day.year} lies outside {FIRST_YEAR} to {LAST_YEAR}.",
        )
    elif shop.latest is not None and entry.when.is_before(shop.latest):
        yield Fault(
            None,
            "when",
            f"Entry {entry.number} is dated {_said(entry.when)}, before {_said(shop.latest)} of "
            "an entry above it; put entries in the order in which things happened.",
        )
    if not entry.by.strip():
        yield Fault(None, "by", f"Entry {entry.number} does not say who recorded it.")
    elif trouble := trouble_with(entry.by):
        yield Fault(None, "by", trouble)
    if not entry.lines:
        yield Fault(None, "act", f"Entry {entry.number} has no lines.")


def _said(when: When) -> str:
    return when.day.isoformat() if when.at is None else f"{when.at:%Y-%m-%d %H:%M} UTC"
