"""What every small form is handed: the book, what it may ask and do, and how it looks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from vault.application.changes import Changes
from vault.application.operations.settlement_draft import SettlementDraft
from vault.application.operations.shipment_draft import ShipmentDraft
from vault.application.queries.answers.bench import ItemBrief, KnownNames
from vault.application.queries.answers.daybook import EntryDetail
from vault.application.queries.answers.forms import (
    ContainerFacts,
    ItemFacts,
    KnownContents,
    Learnt,
    RestOfDivide,
    WeighedBefore,
    WeightVerdict,
)
from vault.application.queries.answers.prices import PriceDoubt, PricesSet
from vault.application.queries.answers.send_out import SendOut
from vault.application.queries.answers.settlements import SettlementHelp, SettlementPreview
from vault.application.queries.answers.shipments import ShipmentHelp, ShipmentPreview
from vault.core.masses import Mass
from vault.core.money import Money
from vault.core.tags import Scan
from vault.screens.announcer import Announcer
from vault.screens.background import Background
from vault.screens.choosers import Choosers
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.numbers import Numbers
from vault.screens.recorder import Recorder
from vault.screens.settings.choices import Choices
from vault.screens.widgets.weight_field import TareField, WeightField


@dataclass(frozen=True, slots=True)
class FormQuestions:
    """Plain functions of a book; those marked * need none, and may be called at every letter.

    Attributes:
        item: an item as a form wants it; refuses a tag that names nothing.
        container: what lies in a place; refuses a name that nobody knows.
        briefs: items in short by their tags; what names nothing is left out.
        names: names that the book knows, those used most first.
        read_scan: what a scanned or typed text says.
        tags: new tags for things of these forms, the same again for the same owner.
        let_tags_go: free the tags of an owner.
        now: the present moment by the shop's clock, with its zone.
        entry: all about one entry, told in the reader's number style.
        known: what items hold, as it is believed now.
        compare *: a new weight against the one before.
        rest *: what is left of an item once parts are taken from it.
        learnt *: what is believed otherwise than before.
        prices: the prices that are set.
        worth_sending: what could be done with items, taken together.
        shipment_help: what a form of a shipment wants to know when it is opened.
        shipment_preview: all that can be said of a shipment that is being made up.
        settlement_help: what a form of a settlement wants to know of its shipment.
        settlement_preview: all that can be said of a settlement that is being taken down.
        price_doubts *: which new prices lie far from those before.
    """

    item: Callable[[Any, str], ItemFacts]
    container: Callable[[Any, str], ContainerFacts]
    briefs: Callable[[Any, Sequence[str]], Mapping[str, ItemBrief]]
    names: Callable[[Any], KnownNames]
    read_scan: Callable[[Any, str], Scan]
    tags: Callable[[Any, str, Sequence[str]], Sequence[str]]
    let_tags_go: Callable[[Any, str], None]
    now: Callable[[Any], datetime]
    entry: Callable[[Any, int, Numbers], EntryDetail]
    known: Callable[[Any, Sequence[str]], KnownContents]
    compare: Callable[[str, WeighedBefore, Mass, Mass | None, Numbers], WeightVerdict]
    rest: Callable[[str, WeighedBefore | None, Sequence[Mass], Numbers], RestOfDivide]
    learnt: Callable[[KnownContents, KnownContents], Sequence[Learnt]]
    prices: Callable[[Any], PricesSet]
    worth_sending: Callable[[Any, Sequence[str], Numbers], SendOut]
    shipment_help: Callable[[Any], ShipmentHelp]
    shipment_preview: Callable[[Any, ShipmentDraft, Numbers], ShipmentPreview]
    settlement_help: Callable[[Any, str], SettlementHelp]
    settlement_preview: Callable[[Any, SettlementDraft, Numbers], SettlementPreview]
    price_doubts: Callable[[PricesSet, Sequence[tuple[str, Money]]], Sequence[PriceDoubt]]


@dataclass(frozen=True, slots=True)
class FormActs:
    """What a form can have done: functions of `application/operations`, by the act they record."""

    assay: Callable[..., Changes]
    weigh: Callable[..., Changes]
    move: Callable[..., Changes]
    divide: Callable[..., Changes]
    send_shipment: Callable[..., Changes]
    settle_shipment: Callable[..., Changes]
    return_: Callable[..., Changes]
    sell: Callable[..., Changes]
    strike: Callable[..., Changes]
    seal: Callable[..., Changes]
    photograph: Callable[..., Changes]
    set_prices: Callable[..., Changes]


@dataclass(frozen=True, slots=True)
class FormKit:
    """All of it, for one open book.

    Attributes:
        book: the open book.
        weight_field: makes a field for a weight from its name and its hint.
        tare_field: makes one for what an empty vessel weighs.
        print_shipment: shows the papers of a shipment, to be printed, by the number of its entry.
        print_letter: shows a letter, to be printed, by what it is about and its text.
        take_weight: lets the field that has the focus take what the scale shows.
    """

    book: Any
    questions: FormQuestions
    acts: FormActs
    recorder: Recorder
    background: Background
    announcer: Announcer
    drafts: DraftDesk
    style: HouseStyle
    choices: Choices
    choosers: Choosers
    weight_field: Callable[[str, str], WeightField]
    tare_field: Callable[[str, str], TareField]
    print_shipment: Callable[[Any, int], None]
    print_letter: Callable[[Any, str, str], None]
    take_weight: Callable[[], None]
