"""A work: what goes in, what comes out, and how heavy that can be."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import Entry, Process, Role
from vault.core.errors import Fault
from vault.core.masses import Mass
from vault.core.rules.tags import held, item_on_hand, new_tag
from vault.core.shop import Shop

# Metal that burns takes up oxygen; the most any common metal gains is aluminium's
# Al -> Al2O3, 1.88944 by mass (atomic weights of the IUPAC).
_MOST_GAIN_IN_FIRE = 1.89
_FIRE = frozenset(
    {Process.BURN_OFF, Process.SMELT, Process.CUPEL, Process.REMELT, Process.POUR, Process.OTHER}
)
# Cold work adds nothing but a little moisture from the air (common practice, no source).
_MOST_GAIN_COLD = 1.02
_SLACK = Mass(100_000)


def faults_of_work(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell what is wrong with what went in and came out."""
    roles = [line.role for line in entry.lines]
    if Role.USED not in roles:
        yield Fault(None, "role", "This work uses no item; name at least one that went in.")
    if Role.MADE not in roles:
        yield Fault(None, "role", "This work makes no item; name at least one that came out.")
    for at, line in enumerate(entry.lines):
        if line.role is Role.USED:
            yield from item_on_hand(at, line, shop, "used")
            yield from held(at, line, entry.when.day, shop, "worked")
        elif line.role is Role.MADE:
            yield from new_tag(at, line, shop)
        elif line.tag:
            yield Fault(
                at,
                "tag",
                f"A thing added has no tag; record {line.tag} as used, or leave it empty.",
            )
    if Role.USED in roles:
        yield from _too_heavy(entry, shop)


def _too_heavy(entry: Entry, shop: Shop) -> Iterator[Fault]:
    most = _most_that_can_come_out(entry, shop)
    if most is None:
        return
    out = 0
    for at, line in enumerate(entry.lines):
        if line.role is Role.MADE and line.gross is not None:
            out += line.gross.micrograms
            if out > most:
                yield Fault(
                    at,
                    "gross_g",
                    f"With {line.tag} at {line.gross.to_text()} g more came out than can have "
                    f"gone in ({Mass(most).to_text()} g at the very most); check the weights.",
                )
                return


def _most_that_can_come_out(entry: Entry, shop: Shop) -> int | None:
    put_in = 0
    for line in entry.lines:
        if line.role is Role.USED:
            item = shop.items.get(line.tag)
            gross = item.gross if item is not None else None
        elif line.role is Role.ADDED:
            gross = line.gross
        else:
            continue
        if gross is None:
            return None
        put_in += gross.micrograms
    is_cold = entry.process is not None and entry.process not in _FIRE
    gain = _MOST_GAIN_COLD if is_cold else _MOST_GAIN_IN_FIRE
    return int(put_in * gain) + _SLACK.micrograms
