"""Shipments that left: how far each is, and all about one of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TypeVar

from vault.application.book import Book
from vault.application.opening import today_of
from vault.application.queries.answers.shipments import (
    SettlementTold,
    ShipmentDetail,
    ShipmentPart,
    ShipmentRow,
    Way,
)
from vault.application.reports.shipment import PackedPart, shipment_papers
from vault.application.terms_sheets import TermsNotKept, sheet_named, terms_sheets
from vault.application.wording import PLAIN, Numbers, WorkNumbers, contents_in_words, listed
from vault.core.daybook import Line
from vault.core.days import day_to_text
from vault.core.errors import VaultError
from vault.core.knowledge import Figure, How
from vault.core.terms_sheets import TermsSheet
from vault.core.words import searched_for
from vault.reckoning.micrograms import micrograms
from vault.reckoning.stock import nothing_known, sums_of
from vault.store.entries import load_some
from vault.store.shipments import (
    ContainerWeighing,
    SentPart,
    SettledPart,
    sent_parts,
    settled_parts,
    unnumbered,
    weighings_of,
)

_ALL = ""
_Part = TypeVar("_Part", SentPart, SettledPart)


class NoSuchShipment(VaultError):
    """A number under which nothing was sent."""


def shipments(book: Book, text: str = "") -> tuple[ShipmentRow, ...]:
    """Give every shipment that holds each word of a text: those still out first, the newest first.

    What was sent without a number is no shipment: nothing could ever be settled of it.
    """
    words = searched_for(text.casefold())
    rows = [one for one in _rows(book) if all(word in _searched(one) for word in words)]
    return tuple(sorted(rows, key=lambda one: (one.way is Way.SETTLED, -max(one.sent_by))))


def sent_without_number(book: Book) -> str:
    """Say what was sent without a number, by day and to whom, and what to do; empty for nothing."""
    with book.file.reading() as connection:
        found = unnumbered(connection)
    if not found:
        return ""
    told = [
        f"{many} {'item' if many == 1 else 'items'} on {day_to_text(day)}"
        f"{f' to {party}' if party else ''} (entry {entry})"
        for entry, day, party, many in found
    ]
    return (
        f"Sent without a number: {listed(told)}. A settlement names its shipment by the number, so "
        "such a one cannot be settled: strike its entry and make the shipment up once more."
    )


def shipment_row(book: Book, ref: str) -> ShipmentRow:
    """Give the shipment of a number in short.

    Raises:
        NoSuchShipment: when nothing was sent under it.
    """
    row = next((one for one in _rows(book) if one.ref == ref), None)
    if row is None:
        raise NoSuchShipment(f"Nothing was sent under the number {ref}; check it.")
    return row


def shipment_detail(book: Book, ref: str, numbers: WorkNumbers = PLAIN) -> ShipmentDetail:
    """Give all about the shipment of a number.

    Raises:
        NoSuchShipment: when nothing was sent under it.
    """
    row = shipment_row(book, ref)
    papers = [shipment_papers(book, entry) for entry in row.sent_by]
    with book.file.reading() as connection:
        recorded = [one.entry for one in load_some(connection, [*row.sent_by, *row.settled_by])]
    sent = [one for one in recorded if one.number in row.sent_by]
    tags = tuple(line.tag for one in sent for line in one.lines if line.ref == ref)
    contents, not_known = _believed(book, tags)
    settled = [one for one in recorded if one.number in row.settled_by]
    alone = any(line.tag and line.contents for one in settled for line in one.lines)
    rest = "the rest" if alone else "the whole"
    return ShipmentDetail(
        row=row,
        parts=tuple(_part(one) for paper in papers for one in paper.parts),
        tags=tags,
        contents=contents,
        not_known=not_known,
        settlements=tuple(
            SettlementTold(
                one.number,
                one.when.day,
                tuple(_settled_words(line, numbers, rest) for line in one.lines if line.ref == ref),
                tuple(_against(book, one.number, numbers)),
            )
            for one in settled
        ),
    )


def _rows(book: Book) -> Iterator[ShipmentRow]:
    today = today_of(book)
    sheets = _sheets(book)
    with book.file.reading() as connection:
        sent = _by_ref(sent_parts(connection))
        settled = _by_ref(settled_parts(connection))
        weighed = {
            entry: weighings_of(connection, [one.container for one in some if one.container], entry)
            for entry, some in _by_entry(one for parts in sent.values() for one in parts).items()
        }
    for ref, parts in sent.items():
        yield _row(ref, parts, settled.get(ref, []), weighed, sheets, today)


def _row(
    ref: str,
    parts: Sequence[SentPart],
    settled: Sequence[SettledPart],
    weighed: Mapping[int, Mapping[str, ContainerWeighing]],
    sheets: Sequence[TermsSheet],
    today: date,
) -> ShipmentRow:
    first = parts[0]
    sheet = sheet_named(sheets, first.party, first.terms, first.day)
    expected = None if sheet is None or not sheet.days_to_settle else sheet.days_to_settle
    items = sum(one.items for one in parts)
    settled_on = settled[-1].day if settled else None
    days = ((settled_on or today) - first.day).days
    whole = [weighed[one.entry].get(one.container) for one in parts]
    return ShipmentRow(
        ref=ref,
        party=first.party,
        terms=first.terms,
        way=_way(settled, items, is_late=expected is not None and days > expected),
        sent_on=first.day,
        days=days,
        expected=expected,
        settled_on=settled_on,
        containers=tuple(dict.fromkeys(one.container for one in parts if one.container)),
        items=items,
        weight_ug=sum(
            one.gross_ug if as_whole is None else as_whole.gross_ug
            for one, as_whole in zip(parts, whole, strict=True)
        ),
        not_weighed=sum(
            one.not_weighed for one, as_whole in zip(parts, whole, strict=True) if as_whole is None
        ),
        sent_by=tuple(dict.fromkeys(one.entry for one in parts)),
        settled_by=tuple(one.entry for one in settled),
    )


def _way(settled: Sequence[SettledPart], items: int, *, is_late: bool) -> Way:
    if any(one.whole for one in settled) or sum(one.alone for one in settled) >= items:
        return Way.SETTLED
    if settled:
        return Way.IN_PART
    return Way.LATE if is_late else Way.ON_THE_WAY


def _sheets(book: Book) -> tuple[TermsSheet, ...]:
    """Give the terms sheets; a list of shipments is of use without them, too."""
    try:
        return terms_sheets(book)
    except TermsNotKept:
        return ()


def _by_ref(parts: Iterable[_Part]) -> dict[str, list[_Part]]:
    found: dict[str, list[_Part]] = {}
    for one in parts:
        found.setdefault(one.ref, []).append(one)
    return found


def _by_entry(parts: Iterable[SentPart]) -> dict[int, list[SentPart]]:
    found: dict[int, list[SentPart]] = {}
    for one in parts:
        found.setdefault(one.entry, []).append(one)
    return found


def _part(part: PackedPart) -> ShipmentPart:
    return ShipmentPart(
        name=part.name,
        forms=tuple((one.form, one.items) for one in part.forms),
        weight_ug=None if part.weight is None else part.weight.micrograms,
        not_weighed=part.not_weighed,
        seal=part.seal,
    )


def _settled_words(line: Line, numbers: Numbers, rest: str) -> str:
    """Say what a line settles: `the whole · 2500 g · Ag 3 ‰`, `-30.00 EUR · treatment`."""
    money = "" if line.money is None else f"{line.money.amount:.2f} {line.money.currency}"
    told = [
        line.tag or (rest if line.contents else ""),
        "" if line.gross is None else numbers.mass(line.gross),
        contents_in_words(line.contents, numbers),
        money,
        line.note,
    ]
    return " · ".join(one for one in told if one)


def _against(book: Book, entry: int, numbers: WorkNumbers) -> Iterator[str]:
    """Say of each metal what a settlement agreed beside what was believed just before it."""
    settled = None if book.reckoned is None else book.reckoned.settled.get(entry)
    for metal, one in () if settled is None else settled.metals.items():
        agreed = numbers.uncut_with_unit(_figure(one.agreed_g, one.agreed_u_g))
        if one.own_g is None or one.own_u_g is None:
            yield f"{metal}: {agreed} agreed; you had no estimate of all of it"
        else:
            own = numbers.uncut_with_unit(_figure(one.own_g, one.own_u_g))
            yield f"{metal}: {agreed} agreed, where you had thought {own}"


def _figure(grams: float, u_g: float) -> Figure:
    return Figure(micrograms(grams), micrograms(u_g), How.WORKED_OUT)


def _believed(book: Book, tags: Sequence[str]) -> tuple[dict[str, Figure], int]:
    """Give what is believed to be in some items together, and of how many nothing is."""
    reckoned = book.reckoned
    if reckoned is None:
        return {}, 0
    contents = reckoned.contents
    known = [tag for tag in tags if tag in contents.place_of]
    found = {}
    for metal in contents.metals:
        one = sums_of(contents, metal, {_ALL: known}).get(_ALL)
        if one is not None and one.items:
            found[metal] = one.figure
    return found, len(nothing_known((reckoned.shop.items[tag] for tag in known), contents))


def _searched(row: ShipmentRow) -> str:
    told = (row.ref, row.party, row.terms, row.way.value, *row.containers)
    return "\n".join(told).casefold()
