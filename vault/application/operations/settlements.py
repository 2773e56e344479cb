"""From a settlement as it stands in the form to the entries that record it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import Draft, record_together
from vault.application.operations.settlement_draft import AgreedDraft, SettlementDraft
from vault.core.daybook import Act, Line, Role
from vault.core.days import day_to_text
from vault.core.knowledge import DECLARED, SETTLEMENT


def settle_shipment(book: Book, settlement: SettlementDraft, key: str) -> Changes:
    """Record what a refinery found, paid and charged, and the metal that came back.

    Metal that came back is received as a lot of its own, named after the shipment; both entries
    are recorded or none.

    Raises:
        RuleBroken: when it cannot be true, or lacks what the book cannot do without.
        StoreError: when the file cannot take it.
    """
    return record_together(book, drafts_of(settlement), key=key)


def drafts_of(settlement: SettlementDraft) -> list[Draft]:
    """Give the entries of a settlement; one not filled in enough gives an entry that is refused."""
    lines = [_agreed(settlement, one) for one in settlement.agreed]
    lines += [
        Line(Role.LINE, ref=settlement.ref, party=settlement.party, money=money, note=words)
        for words, money in settlement.amounts
    ]
    # What is of all of it stands with the first line.
    lines[:1] = [
        replace(one, note=_joined(one.note, *_of_the_whole(settlement))) for one in lines[:1]
    ]
    drafts = [Draft(Act.SETTLE, tuple(lines), when=settlement.when)]
    if settlement.back:
        drafts.append(Draft(Act.RECEIVE, _back(settlement), when=settlement.when))
    return drafts


def lot_of(ref: str) -> str:
    """Give the name of the lot as which the metal of a shipment comes back."""
    return f"{ref} back"


def _agreed(settlement: SettlementDraft, one: AgreedDraft) -> Line:
    is_whole = not one.tag and not one.container
    weighed = [one.gross, settlement.assayed] if is_whole else [one.gross]
    return Line(
        Role.LINE,
        tag=one.tag,
        ref=settlement.ref,
        party=settlement.party,
        gross=next((mass for mass in weighed if mass is not None), None),
        contents=one.contents,
        how=SETTLEMENT,
        note=one.container,
    )


def _of_the_whole(settlement: SettlementDraft) -> Iterator[str]:
    """Say what no line has a place for: the wet weight, the day of the prices, and the note."""
    if settlement.dry is not None and settlement.received is not None:
        yield f"received {settlement.received.to_text()} g, dry {settlement.dry.to_text()} g"
    if settlement.priced_on is not None:
        yield f"prices of {day_to_text(settlement.priced_on)}"
    yield settlement.note


def _joined(*words: str) -> str:
    return "; ".join(one for one in words if one)


def _back(settlement: SettlementDraft) -> tuple[Line, ...]:
    return tuple(
        Line(
            Role.IN,
            tag=one.tag,
            form=one.form,
            lot=lot_of(settlement.ref),
            party=settlement.party,
            terms="own",
            gross=one.gross,
            contents=one.contents,
            how=DECLARED if one.contents else "",
            place=one.place,
        )
        for one in settlement.back
    )
