"""What the form of a settlement shows: frozen records, no figure left to work out.

Masses are whole micrograms, amounts are in the currency that is named, sentences ready to show.
"""

from __future__ import annotations

from dataclasses import dataclass

from vault.application.queries.answers.shipments import ShipmentRow
from vault.application.queries.answers.terms_sheets import ExampleReturn
from vault.core.knowledge import Figure
from vault.core.terms_sheets import TermsSheet


@dataclass(frozen=True, slots=True)
class MetalAgainst:
    """One metal: what was believed against what is agreed.

    Attributes:
        own: None where nothing was known of some of it.
        gap: how much more is agreed; None where there is no estimate.
        limit_ug: how far the two may lie apart.
        is_beyond: whether they lie further.
        sentence: the same in words.
    """

    metal: str
    own: Figure | None
    agreed: Figure
    gap: Figure | None
    limit_ug: int | None
    is_beyond: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class BySheet:
    """What the terms sheet makes of what was found, against what was paid.

    Attributes:
        steps: what the sheet makes of it, step by step.
        due: by the sheet, what the settlement comes to: without what was paid on the way there
            and without the cost of waiting.
        paid: what the lines of money come to; None while there is none.
        sentence: how the two stand to each other.
        proposed: the lines that the sheet would have, words and amount, charges below zero.
        price_words: of which day the prices are, and for which metal there is none.
    """

    sheet: TermsSheet
    steps: ExampleReturn
    due: float
    paid: float | None
    sentence: str
    proposed: tuple[tuple[str, float], ...]
    price_words: str


@dataclass(frozen=True, slots=True)
class Dispute:
    """What to do about a difference that is beyond its limit.

    Attributes:
        sentence: what is beyond.
        checks: what to look at first, one sentence each, likeliest first.
        umpire: what an umpire costs against what is in dispute; empty where no sheet says it.
        letter: a text to be sent to the refinery; empty where it found more, not less.
    """

    sentence: str
    checks: tuple[str, ...]
    umpire: str
    letter: str


@dataclass(frozen=True, slots=True)
class SettlementPreview:
    """A settlement that is not recorded yet, worked out.

    Attributes:
        row: the shipment.
        metals: those that are agreed, each against the own estimate.
        limit_words: what the limit is and where it is from.
        weight_words: how the weight received stands to that sent; empty where none is given.
        by_sheet: None where no sheet is known, or nothing of it can be reckoned yet.
        no_sheet: why there is none; empty where there is one.
        dispute: None where nothing is beyond its limit.
        refused: what the book refuses, one sentence each.
        cautions: a sentence each.
    """

    row: ShipmentRow
    metals: tuple[MetalAgainst, ...]
    limit_words: str
    weight_words: str
    by_sheet: BySheet | None
    no_sheet: str
    dispute: Dispute | None
    refused: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SettlementHelp:
    """What the form of a settlement wants to know when it is opened.

    Attributes:
        row: the shipment.
        tags: of what left in it.
        currency: of its sheet, or else of the prices; empty where there is neither.
        forms, places: names that the book knows, for metal that came back.
        returns_metal: whether its sheet gives metal back.
    """

    row: ShipmentRow
    tags: tuple[str, ...]
    currency: str
    forms: tuple[str, ...]
    places: tuple[str, ...]
    returns_metal: bool
