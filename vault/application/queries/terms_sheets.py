"""Terms: the shop's sheets as they stand today, and what one of them makes of a parcel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from vault.application.book import Book
from vault.application.opening import today_of
from vault.application.queries.answers.terms_sheets import (
    ExampleParcel,
    ExampleReturn,
    KnownTerms,
    MetalSteps,
    SheetRow,
    Stands,
)
from vault.application.terms_sheets import TermsNotKept, key_of, sheets_on, terms_sheets
from vault.application.wording import listed
from vault.core.days import day_to_text
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.micrograms import micrograms
from vault.reckoning.net_return import MetalReturn, NetReturn, Parcel, net_of, weight_of
from vault.reckoning.payable_steps import payable_steps
from vault.reckoning.worth import currency_of, prices_of
from vault.store.bench import late_names
from vault.store.entries import load_prices
from vault.store.terms_sheets import refineries


def known_terms(book: Book) -> KnownTerms:
    """Give the shop's sheets, and what a form for one wants to know."""
    today = today_of(book)
    with book.file.reading() as connection:
        prices = prices_of(load_prices(connection))
        parties = (*refineries(connection), *late_names(connection).parties)
    try:
        rows, trouble = rows_of(terms_sheets(book), today), ""
    except TermsNotKept as error:
        rows, trouble = (), str(error)
    kept = (row.sheet.party for row in rows)
    currency = currency_of(prices)
    return KnownTerms(
        rows=rows,
        parties=tuple(dict.fromkeys((*kept, *parties))),
        currency=currency,
        prices={
            metal: price.per_gram
            for metal, price in prices.items()
            if price.per_gram.currency == currency
        },
        today=today,
        trouble=trouble,
    )


def rows_of(sheets: Sequence[TermsSheet], today: date) -> tuple[SheetRow, ...]:
    """Give every version as it stands on a day, in the order in which they are given."""
    valid = sheets_on(sheets, today)
    newest = {key_of(one): one.version for one in sorted(sheets, key=lambda one: one.version)}
    return tuple(
        SheetRow(
            sheet=one,
            stands=stands,
            words=words,
            is_newest=newest[key_of(one)] == one.version,
        )
        for one in sheets
        for stands, words in [_standing(one, sheets, today, is_valid=one in valid)]
    )


def example_return(
    sheet: TermsSheet, parcel: ExampleParcel, interest: float = 0.0
) -> ExampleReturn:
    """Give what a sheet makes of a parcel, step by step.

    Args:
        sheet: the terms.
        parcel: what is thought of.
        interest: cost of money, a share of it a year.
    """
    received = parcel.received.grams
    dry = None if parcel.dry is None else parcel.dry.grams
    weight = float(weight_of(Parcel(received, {}, dry), sheet))
    contents = {metal: grade.share * weight for metal, grade in parcel.grades.items()}
    shares = {element: share.share for element, share in parcel.shares.items()}
    prices = {metal: float(price.amount) for metal, price in parcel.prices.items()}
    not_said = tuple(one.metal for one in sheet.metals if one.metal not in contents)
    thought_of = Parcel(received, contents, dry, not_said, shares)
    back = net_of(thought_of, sheet, prices, interest)
    return ExampleReturn(
        metals=tuple(_steps(one, sheet, weight, prices[one.metal]) for one in back.metals),
        weight_ug=micrograms(weight),
        treatment=float(back.treatment),
        is_least=float(back.treatment) <= float(sheet.treatment.least.amount),
        assays=back.assays,
        assayed=sum(one.metal in contents for one in sheet.metals),
        sampling=back.sampling,
        penalties=tuple((element, float(amount)) for element, amount in back.penalties),
        freight=float(back.freight),
        drums=float(back.drums),
        manifest=back.manifest,
        waiting=float(back.waiting),
        net=float(back.net),
        left_out=tuple(_left_out(back)),
    )


def _steps(one: MetalReturn, sheet: TermsSheet, weight_g: float, price: float) -> MetalSteps:
    terms = next(terms for terms in sheet.metals if terms.metal == one.metal)
    steps = payable_steps(terms, float(one.content_g), weight_g)
    return MetalSteps(
        metal=one.metal,
        content_ug=micrograms(steps.content_g),
        deducted_ug=micrograms(steps.deducted_g),
        part=steps.part,
        is_too_little=steps.is_too_little,
        payable_ug=micrograms(steps.payable_g),
        price=price,
        refining=float(terms.refining.amount),
        paid=float(one.paid),
    )


def _left_out(back: NetReturn) -> Iterator[str]:
    if back.not_known:
        yield f"No grade is typed for {listed(back.not_known)}: not counted."
    if back.unpriced:
        yield f"No price is typed for {listed(back.unpriced)}: not counted."
    if back.unpaid:
        yield f"The sheet pays nothing for {listed(back.unpaid)}."
    if back.not_told:
        yield f"Nobody says how much {listed(back.not_told)} is in it: no penalty is counted."
    if back.dry_not_told:
        yield "The sheet goes by dry weight; the weight as received is taken for it."


def _standing(
    one: TermsSheet, sheets: Sequence[TermsSheet], today: date, *, is_valid: bool
) -> tuple[Stands, str]:
    if one.valid_from > today:
        return Stands.TO_COME, f"from {day_to_text(one.valid_from)}"
    if is_valid:
        until = one.valid_until
        since = f"since {day_to_text(one.valid_from)}"
        return Stands.VALID, since if until is None else f"until {day_to_text(until)}"
    newer = [
        other.valid_from
        for other in sheets
        if key_of(other) == key_of(one)
        and other.version > one.version
        and other.valid_from <= today
    ]
    if newer and (one.valid_until is None or min(newer) <= one.valid_until):
        return Stands.REPLACED, f"replaced {day_to_text(min(newer))}"
    ended = one.valid_until or one.valid_from
    return Stands.ENDED, f"ended {day_to_text(ended)}"
