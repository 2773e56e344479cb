"""The Safe: what is on hand by metal, whose it is, what it is worth, and how it came to be so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.safe import (
    MetalCard,
    Part,
    Safe,
    Worth,
)
from vault.application.queries.answers.series import Series
from vault.core.forms import is_residue, order_of
from vault.core.knowledge import NOTHING_KNOWN, Figure
from vault.core.metals import ALL_SYMBOLS
from vault.core.shop import Shop
from vault.reckoning.micrograms import PER_GRAM
from vault.reckoning.worth import currency_of, prices_of, worth_of
from vault.store.entries import last_number, load_prices
from vault.store.figures import (
    ALL_FORMS,
    ALL_RESIDUES,
    StockTotal,
    figures_state,
    findings_told,
    reported_totals,
    series_marks,
    series_of,
    stock_owners,
    stock_totals,
)

OWED, OURS, UNCLEAR = "*owed", "*ours", "*unclear"


def safe(book: Book) -> Safe:
    """Give the top of the Safe from the figures kept in the book."""
    with book.file.reading() as connection:
        state = figures_state(connection)
        totals = stock_totals(connection)
        owners = stock_owners(connection)
        findings = len(findings_told(connection))
        last = last_number(connection)
        prices = load_prices(connection)
    return Safe(
        cards=tuple(_cards(totals, owners)),
        worth=worth(prices, totals, owners),
        findings=findings,
        figures_of=None if state is None else state.entry,
        last_entry=last,
    )


def worth(
    prices: Shop, totals: list[StockTotal], owners: Mapping[tuple[str, str], Figure]
) -> Worth:
    """Give what the stock, our part of it and the residues are worth at the set prices."""
    set_prices = prices_of(prices)
    currency = currency_of(set_prices)
    whole = {one.metal: one.figure for one in totals if one.form == ALL_FORMS}
    locked = {one.metal: one.figure for one in totals if one.form == ALL_RESIDUES}
    ours = {metal: figure for (metal, owner), figure in owners.items() if owner == OURS}
    all_of_it = worth_of(whole, set_prices, currency)
    in_residues = worth_of(locked, set_prices, currency)
    return Worth(
        currency=currency,
        amount=all_of_it.amount,
        u=all_of_it.u,
        ours=worth_of(ours, set_prices, currency).amount,
        locked=in_residues.amount,
        locked_u=in_residues.u,
        prices_of=all_of_it.prices_of,
        unpriced=all_of_it.unpriced,
    )


def stock_series(book: Book, metal: str) -> Series:
    """Give the stock of a metal over time, by form, with its band."""
    return _series(book, metal, ALL_FORMS)


def residue_series(book: Book, metal: str) -> Series:
    """Give what is locked up of a metal over time, by residue form, with its band."""
    return _series(book, metal, ALL_RESIDUES)


def _series(book: Book, metal: str, whole: str) -> Series:
    with book.file.reading() as connection:
        points = series_of(connection, metal)
        marks = series_marks(connection)
        told = reported_totals(connection, metal, whole)
    days = tuple(dict.fromkeys(point.day for point in points))
    by_form: dict[str, dict[date, int]] = {}
    doubts: dict[date, int] = {}
    for point in points:
        by_form.setdefault(point.form, {})[point.day] = point.fine_ug
        if point.form == whole:
            doubts[point.day] = point.u_ug or 0
    totals = by_form.get(whole, {})
    forms = tuple(
        form
        for form in sorted(by_form, key=order_of)
        if form not in {ALL_FORMS, ALL_RESIDUES} and (whole == ALL_FORMS or is_residue(form))
    )
    return Series(
        metal=metal,
        days=days,
        forms=forms,
        residues=tuple(is_residue(form) for form in forms),
        fine_g=tuple(tuple(by_form[form].get(day, 0) / PER_GRAM for day in days) for form in forms),
        total_g=tuple(totals.get(day, 0) / PER_GRAM for day in days),
        u_g=tuple(doubts.get(day, 0) / PER_GRAM for day in days),
        as_known_g=_as_known(days, told),
        marks=tuple((day, words) for day, words in marks if days and days[0] <= day <= days[-1]),
    )


def _as_known(days: Sequence[date], told: Mapping[date, Figure]) -> tuple[float | None, ...]:
    """Give for each day the figure last told up to it; None before the first."""
    found: list[float | None] = []
    waiting = sorted(told)
    latest: float | None = None
    for day in days:
        while waiting and waiting[0] <= day:
            fine_ug = told[waiting.pop(0)].fine_ug
            latest = None if fine_ug is None else fine_ug / PER_GRAM
        found.append(latest)
    return tuple(found)


def _cards(totals: list[StockTotal], owners: Mapping[tuple[str, str], Figure]) -> list[MetalCard]:
    whole = {one.metal: one for one in totals if one.form == ALL_FORMS}
    cards = []
    for metal in sorted(whole, key=ALL_SYMBOLS.index):
        parts = [
            Part(one.form, one.figure, one.items, one.not_known, is_residue(one.form))
            for one in totals
            if one.metal == metal and one.form not in {ALL_FORMS, ALL_RESIDUES}
        ]
        parts.sort(key=lambda part: (part.is_residue, order_of(part.form)))
        cards.append(
            MetalCard(
                metal=metal,
                total=whole[metal].figure,
                parts=tuple(parts),
                owed=owners.get((metal, OWED), NOTHING_KNOWN),
                ours=owners.get((metal, OURS), NOTHING_KNOWN),
                not_known=whole[metal].not_known,
            )
        )
    # A metal of which there is nothing left and nothing unknown takes no room.
    return [card for card in cards if card.total.fine_ug or card.not_known]
