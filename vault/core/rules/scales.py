"""A check of a scale: a test weight, and what the scale showed under it."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import Entry
from vault.core.errors import Fault
from vault.core.shop import Shop


def faults_of_scale_check(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether a check names no test weight, or not what the scale showed."""
    del shop
    for at, line in enumerate(entry.lines):
        if line.tag:
            yield Fault(at, "tag", f"A scale check is no item's; leave the tag {line.tag} out.")
        if line.nominal is None:
            yield Fault(
                at, "nominal_g", "This scale check does not say what the test weight weighs."
            )
        elif line.nominal.micrograms <= 0:
            yield Fault(at, "nominal_g", "The mass of a test weight must be more than nothing.")
        if line.gross is None and line.gross_u is None:
            yield Fault(at, "gross_g", "This scale check does not say what the scale showed.")
