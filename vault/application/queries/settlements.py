"""A settlement before it is recorded: against the own estimate, against the sheet, and disputes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from vault.application.book import Book
from vault.application.circumstances import settlement_limit, sources
from vault.application.opening import today_of
from vault.application.operations.settlement_draft import SettlementDraft
from vault.application.operations.settlements import drafts_of
from vault.application.queries.answers.settlements import (
    BySheet,
    MetalAgainst,
    SettlementHelp,
    SettlementPreview,
)
from vault.application.queries.answers.shipments import ShipmentRow
from vault.application.queries.answers.terms_sheets import ExampleParcel, ExampleReturn
from vault.application.queries.bench_help import known_names
from vault.application.queries.disputes import LIMIT_WORDS, dispute_of
from vault.application.queries.settlement_words import (
    SettlementNumbers,
    against_in_words,
    by_sheet_in_words,
    prices_in_words,
    weight_in_words,
)
from vault.application.queries.shipments import shipment_row
from vault.application.queries.terms_sheets import example_return
from vault.application.terms_sheets import sheet_named, terms_sheets
from vault.core.circumstances import SETTLING
from vault.core.daybook import Entry, When
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.core.knowledge import Figure, How
from vault.core.masses import Mass
from vault.core.rules import faults_of
from vault.core.terms_sheets import Comes, TermsSheet
from vault.reckoning.differences import Difference, differences
from vault.reckoning.micrograms import micrograms
from vault.reckoning.net_return import Parcel, weight_of
from vault.reckoning.reported import agreed_in
from vault.reckoning.worth import Price, currency_of, prices_of
from vault.store.entries import last_number, load_prices, shop_for
from vault.store.shipments import sent_tags

_NO_CERTIFICATE = (
    "Estimates here are an aid to your own judgement and no certified assay; what binds is what "
    "you and the refinery agreed in writing."
)


@dataclass(frozen=True, slots=True)
class _Case:
    """What a draft is held against; `prices` are those last set by its day."""

    row: ShipmentRow
    tags: tuple[str, ...]
    day: date
    sheet: TermsSheet | None
    prices: dict[str, Price]
    limit_in_u: float


def settlement_help(book: Book, ref: str) -> SettlementHelp:
    """Give what the form wants to know of a shipment.

    Raises:
        NoSuchShipment: when nothing was sent under the number.
    """
    case = _case(book, ref, today_of(book))
    names = known_names(book)
    currency = case.sheet.currency if case.sheet is not None else currency_of(case.prices)
    return SettlementHelp(
        row=case.row,
        tags=case.tags,
        currency=currency or "EUR",
        forms=names.forms,
        places=names.places,
        returns_metal=case.sheet is not None and case.sheet.returns is Comes.METAL,
    )


def preview_settlement(
    book: Book, draft: SettlementDraft, numbers: SettlementNumbers
) -> SettlementPreview:
    """Give all that can be said of a draft; half-filled ones are told as far as they go.

    Raises:
        NoSuchShipment: when nothing was sent under its number.
    """
    case = _case(book, draft.ref, _day_of_prices(book, draft))
    entry, refused = _judged(book, draft)
    gaps = [] if refused else _differences(book, entry, case.limit_in_u)
    by_sheet = _by_sheet(draft, gaps, case, numbers)
    reckoned = book.reckoned
    beyond = [one for one in gaps if one.is_beyond]
    return SettlementPreview(
        row=case.row,
        metals=tuple(_against(one, numbers) for one in gaps),
        limit_words=LIMIT_WORDS.format(
            times=f"{case.limit_in_u:g}", source=sources()[SETTLING].rstrip(".")
        ),
        weight_words=weight_in_words(draft, case.row, numbers),
        by_sheet=by_sheet,
        no_sheet="" if case.sheet is not None else _no_sheet(case.row),
        dispute=None
        if not beyond or reckoned is None
        else dispute_of(
            draft,
            case.row,
            case.tags,
            beyond,
            reckoned.contents,
            _in_money(beyond, draft, case),
            numbers,
        ),
        refused=refused,
        cautions=(_NO_CERTIFICATE,),
    )


def _day_of_prices(book: Book, draft: SettlementDraft) -> date:
    if draft.priced_on is not None:
        return draft.priced_on
    return today_of(book) if draft.when is None else draft.when.day


def _case(book: Book, ref: str, day: date) -> _Case:
    """Give what a settlement at the prices of a day is held against."""
    row = shipment_row(book, ref)
    with book.file.reading() as connection:
        prices = prices_of(load_prices(connection), day)
        tags = sent_tags(connection, ref)
    return _Case(
        row=row,
        tags=tags,
        day=day,
        sheet=sheet_named(terms_sheets(book), row.party, row.terms, row.sent_on),
        prices=prices,
        limit_in_u=settlement_limit(book),
    )


def _judged(book: Book, draft: SettlementDraft) -> tuple[Entry, tuple[str, ...]]:
    """Give the settling entry, and what the rules refuse of all that would be recorded."""
    moment = book.clock()
    when = draft.when or When(moment.astimezone(book.zone).date(), moment)
    refused: list[str] = []
    entries = []
    with book.file.reading() as connection:
        number = last_number(connection)
        for at, one in enumerate(drafts_of(draft), start=1):
            entry = Entry(number + at, when, book.operator or "somebody", one.act, one.lines)
            entries.append(entry)
            if one.lines:
                shop = shop_for(connection, entry)
                refused += [fault.sentence for fault in faults_of(entry, shop)]
    return entries[0], tuple(dict.fromkeys(refused))


def _differences(book: Book, entry: Entry, limit_in_u: float) -> list[Difference]:
    reckoned = book.reckoned
    if reckoned is None or not any(line.contents for line in entry.lines):
        return []
    after = reckoned.shop.after([entry])
    agreed = agreed_in(entry, after, reckoned.contents)
    return list(differences(agreed, reckoned.contents, limit_in_u))


def _against(one: Difference, numbers: SettlementNumbers) -> MetalAgainst:
    own = None if one.own_g is None else _figure(one.own_g, one.own_u_g, How.WORKED_OUT)
    gap = None if one.gap_g is None else _figure(one.gap_g, one.gap_u_g, How.WORKED_OUT)
    agreed = _figure(one.agreed_g, one.agreed_u_g, How.ASSAYED)
    limit = None if one.limit_g is None else micrograms(one.limit_g)
    told = MetalAgainst(one.metal, own, agreed, gap, limit, one.is_beyond, "")
    return MetalAgainst(
        one.metal, own, agreed, gap, limit, one.is_beyond, against_in_words(told, numbers)
    )


def _figure(grams: float, u_g: float | None, how: How) -> Figure:
    return Figure(micrograms(grams), None if u_g is None else micrograms(u_g), how)


# --- by the sheet -------------------------------------------------------------------------------


def _by_sheet(
    draft: SettlementDraft,
    gaps: Sequence[Difference],
    case: _Case,
    numbers: SettlementNumbers,
) -> BySheet | None:
    """Give what the sheet makes of what was found; None where nothing can be reckoned yet."""
    sheet = case.sheet
    if sheet is None or draft.received is None or not gaps:
        return None
    weight_g = _weight_by_sheet(draft.received, draft.dry, sheet)
    grades = {
        one.metal: Fineness(min(WHOLE_PPB, round(one.agreed_g / weight_g * WHOLE_PPB)))
        for one in gaps
    }
    usable = {
        metal: price
        for metal, price in case.prices.items()
        if metal in grades and price.per_gram.currency == sheet.currency
    }
    prices = {metal: price.per_gram for metal, price in usable.items()}
    steps = example_return(sheet, ExampleParcel(draft.received, draft.dry, grades, prices))
    proposed = tuple(_proposed(steps, sheet))
    due = sum(amount for _, amount in proposed)
    amounts = [
        float(money.amount) for _, money in draft.amounts if money.currency == sheet.currency
    ]
    paid = sum(amounts) if amounts else None
    told = by_sheet_in_words(due, paid, sheet.currency, numbers)
    days = {metal: usable[metal].day if metal in usable else None for metal in grades}
    return BySheet(
        sheet, steps, due, paid, told, proposed, prices_in_words(days, case.day, sheet.currency)
    )


def _weight_by_sheet(received: Mass, dry: Mass | None, sheet: TermsSheet) -> float:
    """Give the weight that the sheet goes by; what was agreed is a share of it, dried or not."""
    dry_g = None if dry is None else dry.grams
    return float(weight_of(Parcel(received.grams, {}, dry_g), sheet))


def _proposed(steps: ExampleReturn, sheet: TermsSheet) -> Iterator[tuple[str, float]]:
    """Give the lines of money that a settlement by the sheet has; charges are below zero."""
    if sheet.returns is Comes.MONEY:
        for one in steps.metals:
            yield f"{one.metal} paid, {100 * one.part:g} %", one.paid
    else:
        for one in steps.metals:
            charge = one.payable_ug / 1e6 * one.refining
            if charge:
                yield f"{one.metal} refining", -charge
    told = [
        ("treatment, least for a lot" if steps.is_least else "treatment", steps.treatment),
        (f"assays, {steps.assayed}", steps.assays),
        ("sampling", steps.sampling),
        *((f"penalty for {element}", amount) for element, amount in steps.penalties),
    ]
    yield from ((words, -amount) for words, amount in told if amount)


def _in_money(
    beyond: Sequence[Difference], draft: SettlementDraft, case: _Case
) -> tuple[TermsSheet, float, dict[str, float]] | None:
    """Give the sheet, the weight and the prices by which a dispute is worth something."""
    if case.sheet is None or draft.received is None:
        return None
    prices = {
        one.metal: float(case.prices[one.metal].per_gram.amount)
        for one in beyond
        if one.metal in case.prices
        and case.prices[one.metal].per_gram.currency == case.sheet.currency
    }
    return case.sheet, _weight_by_sheet(draft.received, draft.dry, case.sheet), prices


def _no_sheet(row: ShipmentRow) -> str:
    named = f"“{row.terms}” of {row.party}" if row.terms else "under which it went"
    return (
        f"The terms sheet {named} is not kept here, so what is due by it cannot be said. Sheets "
        "are written down under Terms."
    )
