"""What the form of a receipt shows before it is recorded, and what it wants to know to begin.

Masses are whole micrograms, sentences are ready to show. `None` is "not known", never nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from vault.application.queries.answers.work import Gravity
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class ReceiptFinding:
    """Something that a person looking over one's shoulder would say about the receipt.

    Attributes:
        gravity: how much it matters.
        bag: position in `draft.bags`; None for the receipt as such.
        field: "lot", "party", "terms", "when", "hold", "tag", "form", "gross", "tare", "contents",
            "place", "note" or "".
        sentence: what it is and what to do.
    """

    gravity: Gravity
    bag: int | None
    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class BagPreview:
    """One bag as it will stand in the book.

    Attributes:
        net_ug: what the scale showed less the tare; None where not weighed or impossible.
        declared: fine metal of each metal that is declared of it.
    """

    net_ug: int | None
    declared: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class ReceiptPreview:
    """A receipt that is not recorded yet, worked out.

    Attributes:
        bags: each bag, in the order of the form.
        net_ug: of all bags that were weighed.
        not_weighed: how many were not.
        declared: fine metal of each metal that anybody declared, over all bags, with its ±.
        silent: how many bags nothing is declared of.
        findings: what is wrong, lacks or wants a look; gravest first.
        cautions: what can hurt somebody, by what the bags and notes speak of.
        hold_ends: the first free day by the shop's setting; None where no hold is set for it.
        hold_words: what is set, or that nothing is, in a sentence.
        hold_question: asks where the day in the form is sooner; empty where it is not.
        earlier: says that the lot number was received before; empty where it is new.
    """

    bags: tuple[BagPreview, ...]
    net_ug: int
    not_weighed: int
    declared: Mapping[str, Figure]
    silent: int
    findings: tuple[ReceiptFinding, ...]
    cautions: tuple[str, ...]
    hold_ends: date | None
    hold_words: str
    hold_question: str
    earlier: str

    @property
    def may_be_recorded(self) -> bool:
        """Whether nothing lacks and nothing is impossible."""
        return all(one.gravity is Gravity.WARNS for one in self.findings)


@dataclass(frozen=True, slots=True)
class ReceiptHelp:
    """What a form of receipt wants to know when it is opened.

    Attributes:
        next_lot: a number for the lot, the one after the last.
        parties, places, forms: names that the book knows, the likeliest first.
        place_of: where things of a form were put last.
        now: this moment by the shop's clock, with its zone.
    """

    next_lot: str
    parties: tuple[str, ...]
    places: tuple[str, ...]
    forms: tuple[str, ...]
    place_of: Mapping[str, str]
    now: datetime
