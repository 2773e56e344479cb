"""A receipt: whose the lot is, and on what terms."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import Entry, Terms
from vault.core.errors import Fault
from vault.core.rules.tags import new_tag
from vault.core.shop import Shop


def faults_of_receipt(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell what is wrong with tags, customer or terms of what was brought."""
    here: dict[str, tuple[str, str]] = {}
    for at, line in enumerate(entry.lines):
        yield from new_tag(at, line, shop)
        whose = (line.party, line.terms)
        if line.terms not in {terms.value for terms in Terms}:
            yield Fault(
                at, "terms", f"“{line.terms}” are no terms of receipt; write toll, bought or own."
            )
        elif line.terms != Terms.OWN.value and not line.party:
            yield Fault(at, "party", f"A lot received as “{line.terms}” needs its customer.")
        elif here.setdefault(line.lot, whose) != whose:
            yield Fault(
                at, "party", f"Lot {line.lot} has two customers or terms within this entry."
            )
        if line.hold_until is not None and line.hold_until < entry.when.day:
            yield Fault(
                at,
                "hold_until",
                f"{line.tag} was received on {entry.when.day.isoformat()} and cannot be held until "
                f"{line.hold_until.isoformat()}, before that; correct the day.",
            )
        known = shop.lots.get(line.lot)
        if known is not None and (known.party, known.terms) != (line.party, line.terms):
            yield Fault(
                at,
                "lot",
                f"Lot {line.lot} was received before, from {known.party or 'the house'} as "
                f"{known.terms}; give this one a number of its own.",
            )
