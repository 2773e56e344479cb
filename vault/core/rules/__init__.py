"""What the book refuses: the rules that every entry keeps, each broken one told in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain

from vault.core.daybook import Act, Entry
from vault.core.errors import Fault, RuleBroken
from vault.core.rules.items import (
    faults_of_assay,
    faults_of_count,
    faults_of_leaving,
    faults_of_move,
    faults_of_photo,
    faults_of_weighing,
)
from vault.core.rules.money import faults_of_price, faults_of_settlement
from vault.core.rules.order import faults_of_order
from vault.core.rules.receipts import faults_of_receipt
from vault.core.rules.scales import faults_of_scale_check
from vault.core.rules.seals import faults_of_seal, faults_of_sealed
from vault.core.rules.shapes import ROLES, faults_of_shape
from vault.core.rules.strikes import faults_of_strike
from vault.core.rules.works import faults_of_work
from vault.core.shop import Shop

__all__ = ["ROLES", "faults_of", "record", "replay"]

Check = Callable[[Entry, Shop], Iterator[Fault]]


def faults_of(entry: Entry, shop: Shop) -> list[Fault]:
    """List everything that is wrong with an entry that would come next in this shop."""
    faults = list(faults_of_order(entry, shop))
    shape = list(faults_of_shape(entry))
    if entry.lines:
        found = chain(_CHECKS[entry.act](entry, shop), faults_of_sealed(entry, shop))
        shape += _not_told(found, shape) if shape else found
    return faults + shape


def _not_told(found: Iterator[Fault], shape: Sequence[Fault]) -> list[Fault]:
    """Leave out what only follows from a line that is not what it should be."""
    told = {(fault.line, fault.column) for fault in shape}
    strange = {fault.line for fault in shape if fault.column == "role"}
    return [
        fault
        for fault in found
        if (fault.line, fault.column) not in told
        and fault.line not in strange
        and not (strange and fault.line is None)
    ]


def record(shop: Shop, entry: Entry) -> None:
    """Take an entry into the shop, or refuse it.

    Raises:
        RuleBroken: with every fault found; nothing is changed then.
    """
    faults = faults_of(entry, shop)
    if faults:
        raise RuleBroken(faults)
    shop.take(entry)


def replay(entries: Iterable[Entry]) -> Shop:
    """Build the shop from its entries, refusing the first that breaks a rule.

    Raises:
        RuleBroken: at the first entry that cannot be true.
    """
    shop = Shop()
    for entry in entries:
        record(shop, entry)
    return shop


_CHECKS: dict[Act, Check] = {
    Act.RECEIVE: faults_of_receipt,
    Act.WORK: faults_of_work,
    Act.ASSAY: faults_of_assay,
    Act.WEIGH: faults_of_weighing,
    Act.MOVE: faults_of_move,
    Act.SEND: faults_of_leaving,
    Act.SETTLE: faults_of_settlement,
    Act.RETURN: faults_of_leaving,
    Act.SELL: faults_of_leaving,
    Act.COUNT: faults_of_count,
    Act.PRICE: faults_of_price,
    Act.PHOTO: faults_of_photo,
    Act.SEAL: faults_of_seal,
    Act.SCALE_CHECK: faults_of_scale_check,
    Act.STRIKE: faults_of_strike,
}
