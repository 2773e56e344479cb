"""A receipt before it is recorded: what it brings by the customer's word, and what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from vault.application.book import Book
from vault.application.holds import NO_HOLD, Hold, hold_of, released_early
from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.operations.receipts import draft_of
from vault.application.queries.answers.receive import BagPreview, ReceiptPreview
from vault.application.queries.receive_findings import findings_of
from vault.core.cautions import cautions_for
from vault.core.daybook import Act, Entry, When
from vault.core.days import day_to_text
from vault.core.fineness import WHOLE_PPB
from vault.core.flow import flow_of
from vault.core.knowledge import Figure
from vault.core.masses import Mass, total
from vault.core.metals import ALL_SYMBOLS
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.reckoning.reckoner import reckon
from vault.reckoning.stock import sums_of
from vault.store.entries import last_number, shop_for
from vault.store.lots import ListedLot, lot_listed

_ALL = "all"


def preview_receipt(book: Book, receipt: ReceiptDraft) -> ReceiptPreview:
    """Work out what a receipt brings, and say what is wrong with it or wants a look."""
    when = receipt.when or _now(book)
    hold = hold_of(book)
    declared = _declared(receipt.bags, when)
    weighed = [net for bag in receipt.bags if (net := _possible_net(bag)) is not None]
    with book.file.reading() as connection:
        entry = _entry(receipt, when, last_number(connection) + 1, book.operator)
        shop = shop_for(connection, entry)
        earlier = lot_listed(connection, receipt.lot) if receipt.lot else None
    return ReceiptPreview(
        bags=tuple(
            BagPreview(
                None if (net := _possible_net(bag)) is None else net.micrograms,
                declared.get(_name(place), {}),
            )
            for place, bag in enumerate(receipt.bags)
        ),
        net_ug=total(weighed).micrograms,
        not_weighed=len(receipt.bags) - len(weighed),
        declared=declared.get(_ALL, {}),
        silent=sum(not bag.contents for bag in receipt.bags),
        findings=tuple(findings_of(receipt, faults_of(entry, shop), shop.latest)),
        cautions=_cautions(receipt),
        hold_ends=None if hold is None else hold.ends(when.day, receipt.terms),
        hold_words=_hold_words(hold, receipt),
        hold_question=_hold_question(hold, receipt, when),
        earlier=_earlier(earlier),
    )


def _now(book: Book) -> When:
    moment = book.clock()
    return When(moment.astimezone(book.zone).date(), moment)


def _entry(receipt: ReceiptDraft, when: When, number: int, by: str) -> Entry:
    return Entry(number, when, by or "somebody", Act.RECEIVE, draft_of(receipt).lines)


def _possible_net(bag: BagDraft) -> Mass | None:
    net = bag.net
    return None if net is None or net.micrograms <= 0 else net


# --- what is declared ---------------------------------------------------------------------------


def _declared(bags: Sequence[BagDraft], when: When) -> dict[str, dict[str, Figure]]:
    """Reckon the bags alone, as if they were all the shop: fine metal by bag, and of all.

    A bag that was not weighed, or whose metals are more than pure, has no figure.
    """
    named = {_name(place): bag for place, bag in enumerate(bags) if _can_be_reckoned(bag)}
    if not named:
        return {}
    shop = Shop()
    shop.take(_entry(_bags_alone(named), when, 1, ""))
    contents = reckon(flow_of(shop))
    groups = {**{name: [name] for name in named}, _ALL: list(named)}
    said = {name: {one.metal for one in bag.contents} for name, bag in named.items()}
    said[_ALL] = set().union(*said.values())
    found: dict[str, dict[str, Figure]] = {name: {} for name in groups}
    for metal in sorted(said[_ALL], key=ALL_SYMBOLS.index):
        for name, one in sums_of(contents, metal, groups).items():
            if metal in said[name]:
                found[name][metal] = one.figure
    return found


def _bags_alone(named: Mapping[str, BagDraft]) -> ReceiptDraft:
    bags = (replace(bag, tag=name, form=bag.form or "scrap") for name, bag in named.items())
    return ReceiptDraft(lot=_ALL, bags=tuple(bags))


def _can_be_reckoned(bag: BagDraft) -> bool:
    pure = sum(one.fineness.ppb for one in bag.contents) <= WHOLE_PPB
    return bool(bag.contents) and pure and _possible_net(bag) is not None


def _name(place: int) -> str:
    return f"bag {place}"


# --- words --------------------------------------------------------------------------------------


def _cautions(receipt: ReceiptDraft) -> tuple[str, ...]:
    told = cautions_for("", receipt.origin, receipt.party)
    for bag in receipt.bags:
        told += cautions_for(bag.form, bag.note)
    return tuple(dict.fromkeys(told))


def _hold_words(hold: Hold | None, receipt: ReceiptDraft) -> str:
    if hold is None:
        return NO_HOLD
    if receipt.terms is not None and receipt.terms not in hold.terms:
        return f"The hold set here is not for a lot on these terms ({receipt.terms.value})."
    return f"Held {hold.in_words()}."


def _hold_question(hold: Hold | None, receipt: ReceiptDraft, when: When) -> str:
    if hold is None or receipt.terms is None:
        return ""
    return released_early(hold, receipt.hold_until, when.day, receipt.terms)


def _earlier(lot: ListedLot | None) -> str:
    if lot is None:
        return ""
    size = f"{lot.items} {'item' if lot.items == 1 else 'items'}"
    return f"Lot {lot.name} was received on {day_to_text(lot.day)} with {size}."
