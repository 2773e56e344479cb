"""What the screen of shipments may ask of a book."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vault.application.queries.answers.shipments import ShipmentDetail, ShipmentRow
from vault.screens.numbers import Numbers


@dataclass(frozen=True, slots=True)
class ShipmentsQuestions:
    """Plain functions of a book.

    Attributes:
        shipments: every shipment that holds each word of a text, those still out first.
        sent_without_number: a sentence on what was sent without one; empty for nothing.
        sent_without_number: a sentence on what was sent without one; empty for nothing.
        shipment_detail: all about one shipment, told in the reader's number style.
    """

    shipments: Callable[[object, str], Sequence[ShipmentRow]]
    sent_without_number: Callable[[object], str]
    shipment_detail: Callable[[object, str, Numbers], ShipmentDetail]
