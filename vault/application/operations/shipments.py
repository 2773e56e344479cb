"""From a shipment as it stands in the form to the entries that record it."""

from __future__ import annotations

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import Draft, record_together
from vault.application.operations.shipment_draft import ShipmentDraft
from vault.core.daybook import Act, Line, Role


def send_shipment(book: Book, shipment: ShipmentDraft, key: str) -> Changes:
    """Send a shipment: what its containers weighed, the seals put on them, and all that went.

    Each is an entry of its own, and all are recorded or none; the shipment is the last.

    Raises:
        RuleBroken: when it cannot be true, or lacks what the book cannot do without.
        StoreError: when the file cannot take it.
    """
    return record_together(book, drafts_of(shipment), key=key)


def drafts_of(shipment: ShipmentDraft) -> list[Draft]:
    """Give the entries of a shipment; one not filled in enough gives an entry that is refused."""
    weighed = [
        Line(
            Role.OF,
            tag=drum.name,
            gross=drum.net,
            gross_u=drum.gross_u,
            tare=drum.tare,
            scale=drum.scale,
        )
        for drum in shipment.drums
        if drum.on_scale is not None
    ]
    sealed = [
        Line(Role.APPLIED, tag=drum.name, ref=drum.seal, witness=drum.witness)
        for drum in shipment.drums
        if drum.seal
    ]
    drafts = [Draft(Act.WEIGH, tuple(weighed), when=shipment.when)] if weighed else []
    drafts += [Draft(Act.SEAL, tuple(sealed), when=shipment.when)] if sealed else []
    return [*drafts, Draft(Act.SEND, _sent(shipment), when=shipment.when)]


def _sent(shipment: ShipmentDraft) -> tuple[Line, ...]:
    """Give a line for every item, with the container that it leaves in as its place.

    What is said to the carrier stands with the first.
    """
    packed_in = {tag: drum.name for drum in reversed(shipment.drums) for tag in drum.tags}
    return tuple(
        Line(
            Role.OUT,
            tag=tag,
            party=shipment.party,
            terms=shipment.terms,
            ref=shipment.ref,
            place=packed_in.get(tag, ""),
            note="" if place else shipment.note,
        )
        for place, tag in enumerate(shipment.all_tags)
    )
