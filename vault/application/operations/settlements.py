"""From a settlement as it stands in the form to the entries that record it."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import Draft, record_together
from vault.application.operations.settlement_draft import AgreedDraft, SettlementDraft
from vault.core.daybook import Act, Line, Role
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
    words = [one.container, *_of_the_weight(settlement), settlement.note]
    return Line(
        Role.LINE,
        tag=one.tag,
        ref=settlement.ref,
        party=settlement.party,
        gross=next((mass for mass in weighed if mass is not None), None),
        contents=one.contents,
        how=SETTLEMENT,
        # What is of all of it stands with the first line.
        note="; ".join(x for x in (words if one is settlement.agreed[0] else words[:1]) if x),
    )


def _of_the_weight(settlement: SettlementDraft) -> list[str]:
    """Say what was received where the grades are of the dry weight."""
    if settlement.dry is None or settlement.received is None:
        return []
    return [f"received {settlement.received.to_text()} g, dry {settlement.dry.to_text()} g"]


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
