"""A strike: one entry taken back, while nothing leans on it."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import Act, Entry
from vault.core.errors import Fault
from vault.core.shop import Shop


def faults_of_strike(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether the entry is not there to be struck, or is leaned on."""
    if len(entry.lines) != 1:
        yield Fault(None, "act", "A strike strikes one entry; record one strike for each.")
        return
    if entry.lines[0].tag:
        yield Fault(0, "tag", "A strike strikes a whole entry; leave the tag out.")
    ref = entry.lines[0].ref
    # Nine digits are more entries than a shop lives to write, and keep int() fast.
    number = int(ref) if ref.isascii() and ref.isdigit() and len(ref) <= 9 else 0
    target = shop.entries.get(number)
    if target is None:
        yield Fault(0, "ref", f"There is no entry {ref} before this one to strike.")
    elif number in shop.struck:
        yield Fault(0, "ref", f"Entry {number} was struck already, by entry {shop.struck[number]}.")
    elif target.act is Act.STRIKE:
        yield Fault(0, "ref", f"Entry {number} is itself a strike; record the facts anew instead.")
    else:
        leaning = shop.leaning_on(number)
        if leaning:
            names = ", ".join(str(one) for one in leaning[:10])
            more = f" and {len(leaning) - 10} more" if len(leaning) > 10 else ""
            yield Fault(
                0,
                "ref",
                f"Entry {number} cannot be struck while later entries lean on it: {names}{more}. "
                "Strike those first, the last one first.",
            )
